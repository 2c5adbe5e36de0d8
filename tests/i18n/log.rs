//! A log is English, whatever language its writer reads.

use lidoff_i18n::{TranslationEntry, Language, Translations, set_language, write};
use lidoff_job::fold::Pause;
use lidoff_job::{Job, Lack, NamedTask, NotToHand, PauseReason, Stamp, TaskRef};

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

/// It speaks German, and so does every test of this program from then on; none asks
/// for English.
#[test]
fn a_note_of_a_missing_part_is_kept_in_english_and_read_in_german() {
    set_language(german());
    let lack = |lack| NotToHand {
        task: NamedTask {
            task: TaskRef::Replace("receipt-printer".into()),
            name: "Receipt printer".into(),
        },
        lack,
    };
    let pause = |note: &str| Pause {
        reason: PauseReason::PartMissing,
        note: note.into(),
        from: Stamp::default(),
        ms: 0,
    };
    let kept = lack(Lack::Wrong).note();
    assert_eq!(kept, "Receipt printer: the wrong part was brought");
    // Since then it was found to be missing.
    let mut job = Job::default();
    job.not_to_hand.push(lack(Lack::Missing));
    assert_eq!(
        job.pause_note(&pause(&kept)),
        "Bondrucker: Das falsche Teil wurde mitgebracht"
    );
    let own = "the van is on its way";
    assert_eq!(job.pause_note(&pause(own)), own);
}
