//! The words of each language: the PO files of `dist/words/de/` become the one
//! small `dist/words/de.txt`.

use std::fs;
use std::path::Path;

use lidoff_i18n::{Language, TranslationEntry, write};
use rspolib::{POFile, pofile};

use super::{OfflineError, files};

/// Makes one file of words a language, and takes the PO files out of the build.
pub fn write_words(dist: &Path) -> Result<(), OfflineError> {
    let folder = dist.join("words");
    for language in Language::ALL {
        if language == Language::English {
            continue;
        }
        let sources = folder.join(language.tag());
        let mut entries = Vec::new();
        for file in files::to_keep(&sources)? {
            let path = sources.join(file);
            let text = fs::read_to_string(&path).map_err(OfflineError::io("read", &path))?;
            let unreadable = |why: String| OfflineError::Words {
                file: path.clone(),
                why,
            };
            let po = pofile(text.as_str()).map_err(|error| unreadable(error.to_string()))?;
            entries.extend(translated(&po, language).map_err(unreadable)?);
        }
        let text = write(language, &entries).map_err(|(one, other)| OfflineError::Words {
            file: sources.clone(),
            why: format!("{one:?} and {other:?} share a key, or one is translated in two ways"),
        })?;
        let path = folder.join(format!("{}.txt", language.tag()));
        fs::write(&path, text).map_err(OfflineError::io("write", path))?;
        fs::remove_dir_all(&sources).map_err(OfflineError::io("remove", sources))?;
    }
    Ok(())
}

/// What is translated in a file; it must count as its language does.
fn translated(po: &POFile, language: Language) -> Result<Vec<TranslationEntry>, String> {
    let forms = po.metadata.get("Plural-Forms").map(String::as_str);
    if forms != Some(language.forms()) {
        return Err(format!("“Plural-Forms” must be “{}”", language.forms()));
    }
    let live = po.entries.iter().filter(|entry| !entry.obsolete);
    let entries = live.map(|entry| TranslationEntry {
        text: entry.msgid.clone(),
        context: entry.msgctxt.clone(),
        forms: match &entry.msgstr {
            Some(one) if entry.msgid_plural.is_none() => vec![one.clone()],
            _ => entry.msgstr_plural.clone(),
        },
    });
    Ok(entries
        .filter(|entry| entry.forms.iter().all(|form| !form.is_empty()) && !entry.forms.is_empty())
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_i18n::Translations;

    fn built(po: &str) -> Result<Translations, OfflineError> {
        let dist = crate::offline::tests::staged();
        fs::write(dist.path().join("words/de/lidoff.po"), po).expect("a file");
        write_words(dist.path())?;
        assert!(!dist.path().join("words/de").exists());
        let text = fs::read_to_string(dist.path().join("words/de.txt")).expect("words");
        Ok(Translations::read(Language::German, &text).expect("whole"))
    }

    const HEAD: &str = "msgid \"\"\nmsgstr \"Plural-Forms: nplurals=2; plural=(n != 1);\\n\"\n\n";

    #[test]
    fn a_translation_goes_into_the_build_with_its_forms_and_contexts() {
        let words = built(&format!(
            "{HEAD}msgid \"one \\\"part\\\"\"\nmsgid_plural \"{{n}} parts\"\n\
             msgstr[0] \"ein „Teil“\"\nmsgstr[1] \"{{n}} Teile\"\n\n\
             msgctxt \"side\"\nmsgid \"Back\"\nmsgstr \"\"\n\"Rück\"\n\"seite\"\n\n\
             msgid \"Not yet\"\nmsgstr \"\"\n"
        ))
        .expect("a whole translation");
        assert!(
            words
                .find("one \"part\"", None)
                .is_some_and(|said| said.starts_with("ein „Teil“"))
        );
        assert_eq!(words.find("Back", Some("side")), Some("Rückseite"));
        assert_eq!(words.find("Not yet", None), None);
    }

    #[test]
    fn a_file_that_counts_otherwise_than_its_language_is_refused() {
        let po = "msgid \"\"\nmsgstr \"Plural-Forms: nplurals=1; plural=0;\\n\"\n";
        let error = built(po).expect_err("one form is not enough for German");
        assert!(error.to_string().contains("Plural-Forms"), "{error}");
    }
}
