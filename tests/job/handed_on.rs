//! What leaves the job for others: notes for the catalog's author, photos, the
//! report as a page.

use lidoff_job::{EventKind, Photo, from_json};
use lidoff_report::exchange::author::author_notes;
use lidoff_report::exchange::job_document::{job_document, without_names};
use lidoff_report::exchange::page::{Picture, page};
use lidoff_report::exchange::report::report;

use lidoff_testkit::visit::{Visit, recorder, replace};

#[test]
fn a_note_on_a_wrong_catalog_reaches_its_author_with_the_step() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    let before = [(visit.log.job().clone(), visit.job())];
    assert_eq!(author_notes(&before), None);
    visit.do_up_to("w3");
    let step = Some(visit.job().next().unwrap().number);
    let text = "There are two set screws, not one.".to_owned();
    visit.note(EventKind::CatalogWrong { text, step });
    let table = author_notes(&[(visit.log.job().clone(), visit.job())]).unwrap();
    let rows: Vec<&str> = table.lines().collect();
    assert_eq!(rows.len(), 2);
    assert!(
        rows[1].starts_with(
            "recorder,1,w3,Loosen the set screw of the knob.,\"There are two set screws, not one.\",TM-0001,"
        ),
        "{}",
        rows[1]
    );
    assert!(report(&visit.job()).contains("FOR THE CATALOG AUTHOR"));
}

#[test]
fn a_photo_is_in_the_report_and_on_the_page_and_a_deleted_one_is_in_neither() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    let step = Some(visit.job().next().unwrap().number);
    let photo = |name: &str| {
        EventKind::PhotoTaken(Photo {
            name: name.into(),
            step,
            bytes: 1_000,
        })
    };
    visit.note(photo("photo-1"));
    let second = visit.note(photo("photo-2"));
    let third = visit.note(photo("photo-3"));
    visit.note(EventKind::Undone { event: third });
    let job = visit.job();
    assert_eq!(job.photos.len(), 2);
    assert!(report(&job).contains("photo-1, 2026-11-04 08:50 (at “Pull the mains plug.”)"));
    let shown = page(
        &job,
        &[Picture {
            name: "photo-1".into(),
            data: "data:image/jpeg;base64,AAAA".into(),
        }],
    );
    assert!(shown.contains("src=\"data:image/jpeg;base64,AAAA\""));
    assert_eq!(shown.matches("<img").count(), 1);
    assert!(shown.contains("This photo is on another device."));
    assert!(!shown.contains("photo-3"));
    visit.note(EventKind::Undone { event: second });
    assert_eq!(visit.job().photos.len(), 1);
}

#[test]
fn typed_text_is_never_markup_on_the_page() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.note(EventKind::Note {
        text: "<script>alert(1)</script>".into(),
        step: None,
    });
    let shown = page(&visit.job(), &[]);
    assert!(!shown.contains("<script"), "{shown}");
    assert!(shown.contains("&lt;script&gt;alert(1)"));
}

#[test]
fn a_copy_without_names_does_not_say_who_where_and_to_whom() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_all();
    visit.note(EventKind::HandedOver {
        to: "M. Larkin".into(),
        note: "key returned".into(),
    });
    let names = ["R. Finch", "Thornmere", "Wharf Street", "M. Larkin"];
    let (_, whole) = job_document(&visit.log);
    assert!(names.iter().all(|name| whole.contains(name)), "{whole}");

    // A newer version may have recorded a name in a form that is not known here.
    let newer = visit.log.draft(visit.now, EventKind::Resumed);
    let newer = lidoff_job::log::json(&newer).replace("\"resumed\"", "{\"signed\":\"M. Larkin\"}");
    visit
        .log
        .append(serde_json::from_str(&newer).unwrap())
        .unwrap();

    let copy = without_names(&visit.log);
    let (name, text) = job_document(&copy);
    assert_eq!(name, "TM-0001-recorder.lidoff-job.json");
    for name in names {
        assert!(!text.contains(name), "{name} in {text}");
    }
    assert!(text.contains("key returned"));
    let (read, aside) = from_json(&text).unwrap();
    assert_eq!((&read, aside.len()), (&copy, 0));
    assert_ne!(
        read.job(),
        visit.log.job(),
        "it is not merged with the job itself"
    );
    let (shown, job) = (lidoff_job::fold(&read), visit.job());
    assert_eq!(shown.done, job.done);
    assert_eq!((shown.worked_ms, shown.status), (job.worked_ms, job.status));
    let read = report(&lidoff_job::fold(&read));
    assert!(
        !read.contains("Technician") && !read.contains("Site"),
        "{read}"
    );
}
