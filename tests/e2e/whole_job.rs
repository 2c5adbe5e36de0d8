//! One whole job on a phone: begun with a network, interrupted by a dead battery,
//! finished without one.

use crate::job::begun;

#[test]
fn a_whole_job_survives_a_dead_battery_and_needs_no_network() {
    let (mut server, mut phone) = begun("TM-0101");
    for _ in 0..9 {
        phone.do_step();
    }
    let action = phone.action();

    // In mid-step: no network any more, and then no battery.
    server.stop();
    phone.crash();
    phone.open(server.address());
    phone.see_words("TM-0101");
    phone.tap_words("Carry on");
    assert_eq!(phone.action(), action, "it does not go on where it stopped");

    // A pause, and on.
    phone.tap_words("Pause");
    phone.tap_words("Break");
    phone.see_words("Paused");
    phone.tap_words("Resume work");
    assert_eq!(phone.action(), action);

    // Marked done by mistake, and taken back.
    phone.do_step();
    assert_ne!(phone.action(), action);
    phone.tap("[aria-label='Undo the last entry']");
    phone.wait_until("the step is in hand again", || phone.action() == action);

    // A second fault turns up.
    phone.tap_words("Add a task");
    phone.tap_words("Replace: Coin cell");
    phone.tap_words("Add this task");
    phone.wait_until("there is a new plan", || {
        phone.script("return document.querySelector('dialog[open]') === null") == true
    });

    let mut steps = 0;
    while phone.script("return location.hash.endsWith('/step')") == true {
        phone.do_step();
        steps += 1;
        assert!(steps < 120, "the job has no end");
    }
    assert!(
        steps > 20,
        "after {steps} steps the job says that it is done"
    );

    phone.see_words("Zero: everything taken out is accounted for.");
    phone.see_words("Replace: Memory");
    phone.see_words("Replace: Coin cell");
    assert_eq!(
        phone.script("return document.body.innerText.includes('not done')"),
        false
    );
    let report = phone.saved_by(|| phone.tap_words("Save the job to a file"));
    assert!(report.contains("lidoff-job/1") && report.contains("TM-0101"));
    phone.clear_old_parts();
    phone.tap_words("leave out the technician");
    let copy = phone.saved_by(|| phone.tap_words("Save the job to a file"));
    assert!(
        copy.contains("TM-0101") && copy.contains("-copy\""),
        "{copy}"
    );
    phone.tap_words("Complete");
    phone.see_words("Closed");

    phone.tap_words("Desk");
    phone.see_words("TM-0101");
    phone.see_words("By step");
    phone.see_words(", actual ");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn two_open_jobs_do_not_mix() {
    let (_server, phone) = begun("TM-0201");
    phone.do_step();
    let first = phone.action();
    phone.tap_words("Lidoff");
    crate::job::begin(&phone, "TM-0202");
    let second = phone.action();
    assert_ne!(
        first, second,
        "the second job goes on where the first one stands"
    );
    phone.tap_words("Lidoff");
    phone.see_words("TM-0202");
    phone.tap_words("TM-0201");
    // Until then "Carry on" is the first screen's, and means the other job.
    phone.see_words("Planned time left");
    phone.tap_words("Carry on");
    assert_eq!(phone.action(), first);
}

#[test]
fn after_a_close_during_a_step_the_app_asks_how_to_count_the_time() {
    let (server, mut phone) = begun("TM-0401");
    for _ in 0..3 {
        phone.do_step();
    }
    let action = phone.action();
    phone.crash();
    phone.let_pass(20);
    phone.open(server.address());
    phone.see_words("TM-0401");
    phone.tap_words("Carry on");
    phone.see_words("Lidoff was closed during the job");
    phone.see_words("(20 min)");

    // Closed before that was answered, it asks again, about all of it.
    phone.crash();
    phone.let_pass(21);
    phone.open(server.address());
    phone.see_words("TM-0401");
    phone.tap_words("Carry on");
    phone.see_words("(21 min)");
    phone.type_into("form input", "5");
    phone.tap_words("Count these minutes as work");
    assert_eq!(phone.action(), action);
    let clock = phone.read("[role=timer]");
    assert!(
        clock.starts_with("5:"),
        "five of the 21 minutes were work, not {clock}"
    );
    assert_eq!(phone.console_errors(), [""; 0]);
}
