//! Brings the PO files up to date: `make words`. What is new waits there to be
//! translated, and what no longer used is taken out.

use std::fmt::Write as _;
use std::fs;

use lidoff_i18n::Language;
use rspolib::{POEntry, POFile};

use crate::po::{self, Text};
use crate::{catalogs, source};

#[test]
#[ignore = "writes files: make words"]
fn bring_up_to_date() {
    for language in po::others() {
        let mut code: Vec<(Text, Option<String>)> = Vec::new();
        for call in source::extract("src").calls {
            if code.iter().all(|(known, _)| *known != call.text) {
                let file = call.place.split(':').next().unwrap_or_default().to_owned();
                code.push((call.text, Some(file)));
            }
        }
        bring(language, "lidoff", &code);
        for unit in catalogs::units() {
            let texts = catalogs::texts(&unit).into_iter();
            bring(
                language,
                &unit,
                &texts.map(|text| (text, None)).collect::<Vec<_>>(),
            );
        }
    }
}

/// Stands for a space at the end of a translation, which the library would not
/// write: a letter of Unicode's private use.
const HELD: char = '\u{E000}';

fn held(form: &str) -> String {
    match form.strip_suffix(' ') {
        Some(rest) => format!("{rest}{HELD}"),
        None => form.to_owned(),
    }
}

fn bring(language: Language, of: &str, texts: &[(Text, Option<String>)]) {
    let path = po::path(language, of);
    let known = if path.exists() {
        po::forms(language, of)
    } else {
        Default::default()
    };
    let mut text = format!(
        "# {}, translation of {of}. `make words` adds new texts and removes unused ones.\n\
         msgid \"\"\nmsgstr \"\"\n\
         \"Language: {}\\n\"\n\
         \"MIME-Version: 1.0\\n\"\n\
         \"Content-Type: text/plain; charset=UTF-8\\n\"\n\
         \"Content-Transfer-Encoding: 8bit\\n\"\n\
         \"Plural-Forms: {}\\n\"\n",
        language.name(),
        language.tag(),
        language.forms()
    );
    let mut missing = 0;
    for (wanted, place) in texts {
        let forms = known.get(wanted).cloned();
        missing += usize::from(forms.is_none());
        let forms =
            forms.unwrap_or_else(|| vec![String::new(); 1 + usize::from(wanted.many.is_some())]);
        let forms: Vec<String> = forms.iter().map(|form| held(form)).collect();
        let mut entry = POEntry::new(0);
        entry.msgid.clone_from(&wanted.one);
        entry.msgctxt.clone_from(&wanted.context);
        entry.msgid_plural.clone_from(&wanted.many);
        if wanted.many.is_some() {
            entry.msgstr_plural = forms;
        } else {
            entry.msgstr = forms.into_iter().next();
        }
        if let Some(place) = place {
            entry.occurrences = vec![(place.clone(), String::new())];
        }
        let written = entry.to_string_with_wrapwidth(100);
        // Writing to a string does not fail.
        let _ = write!(text, "\n{}\n", written.trim_end().replace(HELD, " "));
    }
    fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
    fs::write(&path, text).expect("the translation is written");
    println!("{}: {missing} new of {}", path.display(), texts.len());
    let _whole: POFile = po::file(language, of);
}
