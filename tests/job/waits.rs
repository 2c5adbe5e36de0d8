//! Waits: counted down from the log's stamps, whoever closed the app meanwhile.

use lidoff_job::{EventKind, HazardWait, RunId};

use lidoff_testkit::visit::{MINUTE, Visit, perch, replace};

#[test]
fn a_wait_runs_down_from_the_step_that_begins_it_and_holds_what_comes_after() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("psu")]);
    visit.do_up_to("safe-7");
    assert_eq!(visit.job().wait_before(&visit.now), None);
    let before = visit.now;
    visit.do_up_to("safe-11");
    // "The charge in the power supply drains": 300 s, less what the steps between took.
    let wait = visit.job().wait_before(&visit.now).unwrap();
    assert_eq!(wait.long_ms, 300_000);
    assert!(
        wait.left_ms > 0 && wait.left_ms < 300_000 - (visit.now.mono_ms - before.mono_ms) + 20_000
    );
    let left = |visit: &Visit| visit.job().wait_before(&visit.now).unwrap().left_ms;
    visit.pass_ms(wait.left_ms - 1_000);
    assert_eq!(left(&visit), 1_000);
    visit.pass_ms(5_000);
    assert_eq!(left(&visit), 0);
}

/// Another run begins: the monotonic clock starts anew, the wall clock goes on.
fn restart(visit: &mut Visit, after_ms: i64) {
    visit.now.run = RunId(visit.now.run.0 + 1);
    visit.now.mono_ms = 0;
    visit.now.wall_ms += after_ms;
}

#[test]
fn a_wait_for_glue_goes_on_while_the_app_is_closed_and_one_for_safety_does_not() {
    let catalog = perch();
    let left = |visit: &Visit| visit.job().wait_before(&visit.now).unwrap().left_ms;
    let mut glue = Visit::begin(&catalog, &[replace("rfid-antenna")]);
    glue.do_up_to("shelf-top-back-1");
    let before = left(&glue);
    restart(&mut glue, 10_000);
    assert_eq!(left(&glue), before - 10_000);
    // A wall clock that was set back shortens nothing.
    glue.now.wall_ms -= 60_000;
    assert_eq!(left(&glue), before);

    // Nobody measured this time: the wall clock may have been set.
    let mut safety = Visit::begin(&catalog, &[replace("psu")]);
    safety.do_up_to("safe-11");
    let before = left(&safety);
    restart(&mut safety, 3_600_000);
    assert_eq!(left(&safety), before);
    safety.now.wall_ms -= 7_200_000;
    assert_eq!(left(&safety), before);
}

#[test]
fn a_wait_that_a_hazard_demands_guards_and_one_for_glue_can_be_cut_short() {
    let kiosk = perch();
    let mut visit = Visit::begin(&kiosk, &[replace("psu")]);
    visit.do_up_to("safe-11");
    assert!(visit.job().wait_before(&visit.now).unwrap().guards);
    let mut visit = Visit::begin(&kiosk, &[replace("rfid-antenna")]);
    visit.do_up_to("shelf-top-back-1");
    let wait = visit.job().wait_before(&visit.now).unwrap();
    assert_eq!(wait.wait.as_str(), "antenna-holds");
    assert!(!wait.guards);
    let step = visit.job().next().unwrap().number;
    visit.note(EventKind::WaitCutShort {
        wait: wait.wait,
        step,
        why: "the library opens; told not to press on it".into(),
    });
    assert_eq!(visit.job().wait_before(&visit.now), None);
}

/// How the wait of the heater stands before the step in hand.
fn heater(visit: &Visit) -> HazardWait {
    let job = visit.job();
    job.hazard_wait(&"hot-heater".into(), job.next().unwrap(), 10, &visit.now)
}

#[test]
fn the_wait_of_a_hazard_runs_from_when_the_supply_was_cut() {
    let catalog = perch();
    let mut setup = lidoff_catalog::setup::Configuration::usual(&catalog);
    setup.fitted.push("cabinet-heater".into());
    let mut visit = Visit::begin_on(&catalog, setup, &[replace("heater")]);
    // Nothing has cut the supply yet.
    assert_eq!(heater(&visit), HazardWait::NotBegun);
    let wall = lidoff_catalog::format::StepId::from("safe-6");
    let floor = lidoff_catalog::format::StepId::from("safe-5");
    while ![&wall, &floor].contains(&&visit.job().next().unwrap().step) {
        visit.do_one();
    }
    visit.do_in_ms(60_000);
    visit.pass_ms(4 * MINUTE);
    // The step in hand begins a wait itself, for the charge.
    assert_eq!(heater(&visit), HazardWait::BegunByStep);
    visit.do_in_ms(0);
    assert_eq!(
        heater(&visit),
        HazardWait::Running {
            left_ms: 6 * MINUTE,
            unmeasured_ms: 0
        }
    );
    visit.pass_ms(6 * MINUTE);
    assert_eq!(heater(&visit), HazardWait::Over);
}

#[test]
fn where_nothing_cut_the_supply_the_technician_says_when_the_wait_begins() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("filter")]);
    visit.note(EventKind::WaitBegun {
        hazard: "hot-heater".into(),
    });
    visit.pass_ms(3 * MINUTE);
    assert_eq!(
        heater(&visit),
        HazardWait::Running {
            left_ms: 7 * MINUTE,
            unmeasured_ms: 0
        }
    );
}
