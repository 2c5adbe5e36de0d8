//! A plan that takes a while, on a slow phone: the screen lives on, says how far
//! it is, and the technician can take what there is.

use crate::job::opening;

#[test]
fn a_long_plan_keeps_the_screen_responsive_and_can_be_stopped() {
    let (_server, phone) = opening("Sorrel 14");
    for part in ["Main board", "Keyboard", "Fan"] {
        phone.tap_words(part);
        if part == "Main board" {
            phone.tap_words("What this job takes");
        }
        phone.see_words("Proven: no");
    }
    // The page watches and taps by itself: on a processor as slow as this, the driver's
    // own tap can take longer than the plan.
    phone.script(
        "window.seen = { frames: 0, tapped: false };
         const watch = () => {
           const strip = document.querySelector('.working');
           const button = strip?.querySelector('button');
           if (strip && !seen.tapped) {
             seen.frames += 1;
             if (strip.innerText.includes('Best order so far') && seen.frames > 1) {
               const { x, y, width, height } = button.getBoundingClientRect();
               const hit = document.elementFromPoint(x + width / 2, y + height / 2);
               if (hit === button) { seen.tapped = true; button.click(); }
             }
           }
           requestAnimationFrame(watch);
         };
         requestAnimationFrame(watch)",
    );
    phone.slow_down(20);
    phone.tap_words("Screen panel");
    phone.wait_until("the best order so far is shown and taken", || {
        phone.script("return seen.tapped") == true
    });
    let frames = phone.script("return seen.frames").as_u64();
    assert!(
        frames > Some(1),
        "the page paints while it plans: {frames:?}"
    );
    phone.slow_down(1);
    phone.see_no(".working");
    phone.see_words("of the best possible");
    phone.tap_words("Start: about");
    phone.see_words("Planned time left");
}
