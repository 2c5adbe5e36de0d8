//! The text file of each language: its gettext files become one small
//! `dist/words/de.txt`.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result, anyhow, ensure};
use rspolib::{POFile, pofile};

use crate::files;
use crate::project::{
    self,
    i18n::{Language, TranslationEntry, write},
};

/// Writes the text file of each language except English, which is in the app.
pub fn write_all(dist: &Path) -> Result<()> {
    for language in Language::ALL {
        if language != Language::English {
            let sources = project::translations(language.tag())?;
            write_language(dist, language, &sources)?;
        }
    }
    Ok(())
}

fn write_language(dist: &Path, language: Language, sources: &[PathBuf]) -> Result<()> {
    let mut entries = Vec::new();
    for path in sources {
        let unusable = || format!("the translation {} cannot be used", path.display());
        let text = files::read_text(path)?;
        let po = pofile(text.as_str())
            .map_err(|error| anyhow!("{error}"))
            .with_context(unusable)?;
        entries.extend(translated(&po, language).with_context(unusable)?);
    }
    let text = write(language, &entries).map_err(|(one, other)| {
        anyhow!(
            "the translations of {:?} cannot be used: {one:?} and {other:?} share a key, \
             or one of them has two translations",
            language.tag()
        )
    })?;
    let folder = dist.join("words");
    files::create_folder(&folder)?;
    files::write(&folder.join(format!("{}.txt", language.tag())), text)
}

/// The translated entries of a file. Its plural rule must be that of its language.
fn translated(po: &POFile, language: Language) -> Result<Vec<TranslationEntry>> {
    let forms = po.metadata.get("Plural-Forms").map(String::as_str);
    ensure!(
        forms == Some(language.forms()),
        "“Plural-Forms” must be “{}”",
        language.forms()
    );
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
    use crate::project::i18n::Translations;
    use std::fs;

    fn built(po: &str) -> Result<Translations> {
        let dist = tempfile::TempDir::new().expect("a folder");
        let source = dist.path().join("de.po");
        fs::write(&source, po).expect("a file");
        write_language(dist.path(), Language::German, &[source])?;
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
                .is_some_and(|text| text.starts_with("ein „Teil“"))
        );
        assert_eq!(words.find("Back", Some("side")), Some("Rückseite"));
        assert_eq!(words.find("Not yet", None), None);
    }

    #[test]
    fn a_file_with_another_plural_rule_than_its_language_is_refused() {
        let po = "msgid \"\"\nmsgstr \"Plural-Forms: nplurals=1; plural=0;\\n\"\n";
        let error = built(po).expect_err("one form is not enough for German");
        assert!(format!("{error:#}").contains("Plural-Forms"), "{error:#}");
    }
}
