//! A screen against WCAG 2.2, levels A and AA, as far as a program can tell: by
//! axe-core, which `cargo xtask tools test` fetches.

use serde_json::Value;

use crate::phone::{Phone, Theme};

/// axe-core's own text.
pub fn source() -> String {
    let path = std::env::var("LIDOFF_AXE").unwrap_or_default();
    std::fs::read_to_string(&path).unwrap_or_else(|error| {
        panic!("no axe-core at “{path}”: run the tests with `cargo xtask e2e` ({error})")
    })
}

/// What is wrong with the screen, one line an element. In sunlight words are held
/// to 7:1 (1.4.6).
pub fn violations(phone: &Phone, axe: &str, theme: Theme) -> Vec<String> {
    if phone.script("return !!window.axe") == false {
        phone.script(axe);
    }
    // The size of targets (2.5.8) is off unless asked for.
    let found = phone.script(&format!(
        "const found = await axe.run(document, {{
           runOnly: {{ type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }},
           rules: {{ 'target-size': {{ enabled: true }}, 'color-contrast-enhanced': {{ enabled: {} }} }},
           resultTypes: ['violations'],
         }});
         return {{
           passed: found.passes.reduce((sum, rule) => sum + rule.nodes.length, 0),
           wrong: found.violations.flatMap(rule => rule.nodes.map(node =>
             `${{rule.id}}: ${{node.html.slice(0, 200)}}: ${{node.failureSummary.replace(/\\s+/g, ' ')}}`)),
         }}",
        theme == Theme::Sunlight
    ));
    let lines = found["wrong"].as_array().expect("a list").iter();
    let passed = found["passed"].as_u64().unwrap_or(0);
    assert!(passed > 5, "axe-core looked at nothing");
    lines
        .map(|line| line.as_str().unwrap_or_default().to_owned())
        .collect()
}

#[test]
fn axe_finds_a_planted_fault() {
    // The check itself: a page with a fault of each kind that is counted on.
    let (_server, phone) = crate::job::begun("TM-0904");
    phone.script(
        "document.querySelector('#app').insertAdjacentHTML('beforeend',
           '<p><button aria-label=\"\"></button><img src=\"icons/icon.svg\"></p>'
           + '<p class=\"faint\">Faint words</p>'
           + '<div><button class=\"tiny\">a</button><button class=\"tiny\">b</button></div>');
         document.querySelector('.faint').style.color = '#cccccc';
         document.querySelectorAll('.tiny').forEach(it =>
           Object.assign(it.style, { width: '12px', height: '12px', minWidth: 0, minHeight: 0, padding: 0 }))",
    );
    phone.stretch(true);
    let wrong = violations(&phone, &source(), Theme::Light);
    for rule in ["button-name", "image-alt", "color-contrast", "target-size"] {
        let found = wrong
            .iter()
            .any(|line| line.starts_with(&format!("{rule}:")));
        assert!(found, "{rule} is not found: {wrong:#?}");
    }
    assert_eq!(phone.script("return axe.version"), Value::from(version()));
}

/// The version that is asked for.
fn version() -> String {
    std::env::var("LIDOFF_AXE_VERSION")
        .expect("LIDOFF_AXE_VERSION: run the tests with `cargo xtask e2e`")
}
