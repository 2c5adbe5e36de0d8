//! The one-file edition, opened from a file: no server, no network.

use std::path::Path;

use crate::job::begin;
use crate::phone::Phone;

fn opened() -> Phone {
    let page = std::env::var("LIDOFF_ONEFILE").expect("LIDOFF_ONEFILE: the built page");
    assert!(Path::new(&page).is_absolute(), "{page}");
    let phone = Phone::new();
    phone.open(&format!("file://{page}"));
    phone.see("#app");
    phone
}

#[test]
fn a_whole_job_runs_in_one_file_and_is_still_there_when_it_is_opened_again() {
    let phone = opened();
    phone.network(false);
    phone.see_words("One-file edition. This browser keeps the records for this file");
    begin(&phone, "TM-0401");
    for _ in 0..5 {
        phone.do_step();
    }
    let action = phone.action();
    phone.reload();
    phone.wait_until("the job goes on where it was", || phone.action() == action);
    let mut steps = 0;
    while phone.script("return location.hash.endsWith('/step')") == true {
        phone.do_step();
        steps += 1;
        assert!(steps < 120, "the job has no end");
    }
    phone.see_words("Zero: everything taken out is accounted for.");
    let saved = phone.saved_by(|| phone.tap_words("Save the job to a file"));
    assert!(saved.contains("lidoff-job/1") && saved.contains("TM-0401"));
    phone.clear_old_parts();
    phone.tap_words("Complete");
    phone.see_words("Closed");
    assert_eq!(phone.console_errors(), [""; 0]);
}
