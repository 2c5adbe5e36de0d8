//! Whether what is on a screen fits on it: nothing is wider than the phone, nothing
//! is cut off, and what is tapped is large enough for a gloved thumb.

use crate::phone::Phone;

/// Puts into scope: what is looked at, and what stands in for it in a list.
const SEEN: &str = "
    const root = document.querySelector('dialog[open]') ?? document.body;
    const seen = css => [...root.querySelectorAll(css)].filter(it => it.checkVisibility()
      && it.getClientRects().length > 0 && !it.closest('.hush, .skip, #boot, #stopped'));
    const name = it => `<${it.localName} class=\"${it.getAttribute('class') ?? ''}\"> `
      + (it.innerText ?? it.getAttribute('aria-label') ?? '').slice(0, 60).replace(/\\s+/g, ' ');
";

fn lines(phone: &Phone, script: &str) -> Vec<String> {
    let found = phone.script(&format!("{SEEN} {script}"));
    let lines = found.as_array().expect("a list").iter();
    lines
        .map(|line| line.as_str().expect("text").to_owned())
        .collect()
}

/// What is wider than the screen, or can be scrolled sideways, or is cut off.
pub fn does_not_fit(phone: &Phone) -> Vec<String> {
    lines(
        phone,
        "const wide = document.scrollingElement.scrollWidth;
         const wrong = wide > innerWidth ? [`the page is ${wide} px wide, the screen ${innerWidth}`] : [];
         for (const it of seen('*')) {
           const { overflowX, overflowY } = getComputedStyle(it);
           const own = [...it.childNodes].some(node => node.nodeType === 3 && node.data.trim());
           const { left, right } = it.getBoundingClientRect();
           if (right > innerWidth + 1 || left < -1) {
             if (own || it.matches('button, input, svg')) wrong.push(`beyond the edge (${Math.round(left)} to ${Math.round(right)}): ${name(it)}`);
           } else if (overflowX !== 'visible' && it.scrollWidth > it.clientWidth + 1 && !it.matches('input, select')) {
             wrong.push(`can be moved sideways or is cut off (${it.scrollWidth} in ${it.clientWidth}): ${name(it)}`);
           } else if (overflowY === 'hidden' && it.scrollHeight > it.clientHeight + 1) {
             wrong.push(`cut off below: ${name(it)}`);
           } else if (own && overflowX === 'visible' && it.scrollWidth > it.clientWidth + 1 && it.clientWidth > 0
               && getComputedStyle(it).display !== 'inline') {
             wrong.push(`runs over its box (${it.scrollWidth} in ${it.clientWidth}): ${name(it)}`);
           }
         }
         return wrong",
    )
}

/// Words of a drawing that reach beyond it.
pub fn cut_off_in_drawings(phone: &Phone) -> Vec<String> {
    lines(
        phone,
        "return seen('svg text').filter(it => {
           const drawing = it.closest('svg').getBoundingClientRect();
           const { left, right } = it.getBoundingClientRect();
           return left < drawing.left - 1 || right > drawing.right + 1;
         }).map(it => `beyond the drawing: ${it.textContent}`)",
    )
}

/// What can be tapped and is less than 48 × 48 CSS px; for a tick with its label,
/// the label.
pub fn too_small(phone: &Phone) -> Vec<String> {
    lines(
        phone,
        "const taps = seen('a[href], button, input, select, textarea, summary, [role=button], [tabindex=\"0\"]');
         return taps.filter(it => !it.closest('svg')).map(it => it.closest('label.tick') ?? it)
           .map(it => [it, it.getBoundingClientRect()])
           .filter(([, at]) => at.width < 47.99 || at.height < 47.99)
           .map(([it, at]) => `${at.width.toFixed(1)} × ${at.height.toFixed(1)}: ${name(it)}`)",
    )
}
