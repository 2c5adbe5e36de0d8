//! A log is English, whatever language its writer reads.

use lidoff_i18n::{Language, TranslationEntry, Translations, set_language, write};
use lidoff_job::fold::Pause;
use lidoff_job::{Lack, NamedTask, PauseReason, Stamp, TaskRef, UnavailablePart};

use crate::{catalogs, po};

/// The words as the build makes them.
pub fn german() -> Translations {
    let files = catalogs::units().into_iter().chain(["lidoff".to_owned()]);
    let entries: Vec<TranslationEntry> = files
        .flat_map(|file| po::forms(Language::German, &file))
        .map(|(text, forms)| TranslationEntry {
            text: text.one,
            context: text.context,
            forms,
        })
        .collect();
    let text = write(Language::German, &entries).expect("no two share a key");
    Translations::read(Language::German, &text).expect("what was written is read")
}

/// It chooses German, and so does every test of this program from then on; none asks
/// for English.
#[test]
fn a_pause_for_a_missing_part_is_read_in_german() {
    set_language(german());
    let part = UnavailablePart {
        task: NamedTask {
            task: TaskRef::Replace("receipt-printer".into()),
            name: "Receipt printer".into(),
        },
        lack: Lack::Wrong,
    };
    let pause = |part, note: &str| Pause {
        reason: PauseReason::PartMissing,
        part,
        note: note.into(),
        from: Stamp::default(),
        ms: 0,
    };
    let structured = pause(Some(part), "the van is on its way");
    assert_eq!(
        structured.describe_note(),
        "Bondrucker: Das falsche Teil wurde mitgebracht, the van is on its way"
    );
    // What a log from before there was the part says is shown as it was written.
    let old = "Receipt printer: the wrong part was brought";
    assert_eq!(pause(None, old).describe_note(), old);
}
