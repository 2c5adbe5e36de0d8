//! A plan that takes a while, on a slow phone: the screen lives on, says how far
//! it is, and the technician can take what there is.

use crate::job::opening;

#[test]
fn a_long_plan_leaves_the_screen_alive_and_can_be_cut_short() {
    let (_server, phone) = opening("Sorrel 14");
    for part in ["Main board", "Keyboard", "Fan"] {
        phone.tap_words(part);
        phone.see_words("Proven: no");
    }
    // From here on every frame is counted that the page paints while it plans.
    phone.script(
        "window.frames = 0;
         const count = () => {
           if (document.querySelector('.working')) window.frames += 1;
           requestAnimationFrame(count);
         };
         requestAnimationFrame(count)",
    );
    phone.slow_down(20);
    phone.tap_words("Screen panel");
    phone.see_words("Working out the best order");
    // Something is found to be shown, and it is better than nothing.
    phone.see_words("Best order so far");
    let frames = || phone.script("return window.frames").as_u64().unwrap_or(0);
    let before = frames();
    phone.wait_until("the page paints while it plans", || frames() > before);
    phone.tap_words("Use the best so far");
    phone.slow_down(1);
    phone.see_no(".working");
    phone.see_words("of the best possible");
    phone.tap_words("Start: about");
    phone.see_words("Planned time left");
}
