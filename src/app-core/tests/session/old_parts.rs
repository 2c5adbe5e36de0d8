//! What is done with the parts that were replaced.

use lidoff_app_core::session::Executed;
use lidoff_job::{Duty, EventKind, tally};
use lidoff_testkit::demo::perch;
use lidoff_testkit::visit::replace;

use super::device::{Device, meeting_demands};

#[test]
fn what_is_done_with_an_old_part_is_stored_once_and_can_be_undone() {
    let mut device = Device::new(perch());
    let id = device.open(&[replace("coin-cell")]);
    while let Some(step) = device.job(&id).next().map(|step| step.number) {
        let (wait_ms, mut entries) =
            meeting_demands(&device.catalog, &device.job(&id), &device.now);
        device.pass(wait_ms + 1_000);
        entries.push(EventKind::Done { step });
        device.record(&id, entries).expect("the step is done");
    }
    let open = || tally(&device.job(&id)).unaccounted().len();
    assert_eq!(open(), 1);
    let handle = || {
        let part = "coin-cell".into();
        let entry = EventKind::OldPartHandled {
            part,
            duty: Duty::Dispose,
        };
        device.record(&id, vec![entry]).expect("it is stored")
    };
    assert!(matches!(handle(), Executed::Stored { .. }));
    assert!(!matches!(handle(), Executed::Stored { .. }), "a double tap");
    assert_eq!(open(), 0);
    let event = device.job(&id).handled[0].0;
    let undone = device.record(&id, vec![EventKind::Undone { event }]);
    assert!(undone.is_ok());
    assert_eq!(open(), 1);
}
