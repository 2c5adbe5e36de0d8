//! Old parts: what must be wiped, returned or disposed of is done, or has a reason.

use lidoff_catalog::format::{Disposal, Spare};
use lidoff_catalog::model::Catalog;
use lidoff_job::{Duty, EventKind, from_json, tally, to_json};
use lidoff_report::exchange::report::report;
use lidoff_testkit::powered_unit::powered_file;
use lidoff_testkit::visit::{Visit, replace};

/// The fan's old part goes back; the board's old part holds data.
fn unit() -> Catalog {
    let mut file = powered_file();
    for (part, return_old, disposal) in [
        (
            "fan",
            Some("To the stores, in the box of the new one."),
            None,
        ),
        ("board", None, Some(Disposal::DataCarrier)),
    ] {
        file.spares.push(Spare {
            price: None,
            id: part.into(),
            name: part.to_owned(),
            number: format!("N-{part}"),
            replaces: Vec::new(),
            includes: Vec::new(),
            return_old: return_old.map(str::to_owned),
            disposal,
        });
        let mut parts = file.parts.iter_mut();
        let part = parts.find(|one| one.id.as_str() == part).expect("a part");
        part.swap.as_mut().expect("a swap").spare = Some(part.id.as_str().into());
    }
    lidoff_catalog::check(file).expect("a good unit")
}

fn open(visit: &Visit<'_>) -> Vec<String> {
    let owed = tally(&visit.job()).unaccounted();
    owed.iter().map(|one| one.describe()).collect()
}

fn do_all(visit: &mut Visit<'_>) {
    while visit.job().next().is_some() {
        visit.do_one();
    }
}

#[test]
fn only_a_part_that_was_replaced_has_anything_to_be_done_with() {
    let catalog = unit();
    let mut visit = Visit::begin(&catalog, &[replace("fan")]);
    visit.do_up_to("fan-new");
    assert_eq!(visit.job().duties().count(), 0);
    let swapped = visit.do_one();
    let fan = "fan: pack it for return. To the stores, in the box of the new one.";
    assert!(open(&visit).contains(&fan.to_owned()));
    visit.note(EventKind::Undone { event: swapped });
    assert_eq!(visit.job().duties().count(), 0);
    do_all(&mut visit);
    assert_eq!(open(&visit), [fan]);
}

#[test]
fn what_was_done_with_an_old_part_is_stored_and_reported() {
    let catalog = unit();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    do_all(&mut visit);
    assert_eq!(
        open(&visit),
        [
            "board: wipe it, or seal it for destruction",
            "board: take it to electronics recycling",
        ]
    );
    let handle = |visit: &mut Visit<'_>, duty| {
        let part = "board".into();
        visit.note(EventKind::OldPartHandled { part, duty })
    };
    let wiped = handle(&mut visit, Duty::Wipe);
    handle(&mut visit, Duty::Dispose);
    assert_eq!(open(&visit), [] as [String; 0]);
    visit.note(EventKind::Undone { event: wiped });
    assert_eq!(open(&visit), ["board: wipe it, or seal it for destruction"]);
    handle(&mut visit, Duty::Wipe);
    assert_eq!(open(&visit), [] as [String; 0]);
    let (read, _) = from_json(&to_json(&visit.log)).expect("a log");
    let text = report(&lidoff_job::fold(&read));
    assert!(
        text.contains("- board: wipe it, or seal it for destruction (done)"),
        "{text}"
    );
}

#[test]
fn what_is_not_done_with_an_old_part_needs_a_reason() {
    let catalog = unit();
    let mut visit = Visit::begin(&catalog, &[replace("fan")]);
    do_all(&mut visit);
    let owed = tally(&visit.job()).unaccounted();
    visit.note(owed[0].because("the customer keeps it".to_owned()));
    assert_eq!(open(&visit), [] as [String; 0]);
    let text = report(&visit.job());
    let line = "(not done: the customer keeps it)";
    assert_eq!(text.matches("the customer keeps it").count(), 1, "{text}");
    assert!(text.contains(line), "{text}");
}
