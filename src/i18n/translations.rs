//! The translations of one language in a compact download format: it holds no English,
//! only a hash of each English text.
//!
//! The format is text, so that any server can compress it. It has three parts: a line
//! with the format and language; a line with the keys in ascending order, seven letters
//! each; then one line per text, in the same order. A line break within a text is
//! written as [`BREAK`]. [`FORM`] separates plural forms.

use std::fmt;

use super::language::Language;

/// Start of the first line.
const FORMAT: &str = "lidoff-words/1";
const BREAK: char = '\u{1}';
const FORM: char = '\u{2}';
/// Separates the context from the text, as in a gettext MO file.
const CONTEXT: u8 = 4;
const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
/// Letters of a key, six bits each.
const KEY: usize = 7;

/// What stands for a text: 42 bits of its FNV-1a hash (constants of 64 bits and
/// folding by xor: draft-eastlake-fnv, "The FNV Non-Cryptographic Hash
/// Algorithm"). Of some thousand texts one that is none of them is
/// taken for one of them once in a thousand million times.
pub fn key(text: &str, context: Option<&str>) -> u64 {
    let context = context.map(|context| context.bytes().chain([CONTEXT]));
    let bytes = context.into_iter().flatten().chain(text.bytes());
    let hash = bytes.fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    let bits = 6 * KEY as u32;
    (hash >> bits) ^ (hash & ((1 << bits) - 1))
}

/// Why a translation file cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TranslationsError {
    /// It does not begin as one.
    Format,
    /// It is of another language.
    Language,
    /// Its keys cannot be read.
    Keys,
    /// It has not as many texts as keys.
    Texts,
}

impl fmt::Display for TranslationsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let what = match self {
            Self::Format => "this is not a translation file",
            Self::Language => "these translations are of another language",
            Self::Keys => "the keys cannot be read",
            Self::Texts => "the file has fewer texts than keys",
        };
        write!(f, "{what}; rebuild the app")
    }
}

impl std::error::Error for TranslationsError {}

/// The translations of a language.
#[derive(Clone, Debug, PartialEq)]
pub struct Translations {
    language: Language,
    /// In rising order of the keys; the forms of a plural are separated by [`FORM`].
    texts: Vec<(u64, String)>,
}

impl Translations {
    /// English: every text as it stands.
    pub const fn english() -> Self {
        Self {
            language: Language::English,
            texts: Vec::new(),
        }
    }

    /// Reads the small form.
    ///
    /// # Errors
    /// When it is not whole, or of another language.
    pub fn read(language: Language, text: &str) -> Result<Self, TranslationsError> {
        let mut lines = text.split('\n');
        let head = lines.next().and_then(|head| head.strip_prefix(FORMAT));
        if head.ok_or(TranslationsError::Format)?.trim() != language.tag() {
            return Err(TranslationsError::Language);
        }
        let keys = lines.next().ok_or(TranslationsError::Keys)?.as_bytes();
        let mut texts = Vec::with_capacity(keys.len() / KEY);
        for letters in keys.chunks(KEY) {
            let mut key = 0;
            for letter in letters {
                let six = LETTERS.iter().position(|one| one == letter);
                key = key << 6 | six.ok_or(TranslationsError::Keys)? as u64;
            }
            let text = lines.next().ok_or(TranslationsError::Texts)?;
            texts.push((key, text.replace(BREAK, "\n")));
        }
        Ok(Self { language, texts })
    }

    /// The language.
    pub const fn language(&self) -> Language {
        self.language
    }

    /// The form of a counted text that goes with this number; `None` where there are
    /// no words for it.
    pub fn find_counted(&self, n: u64, one: &str, context: Option<&str>) -> Option<&str> {
        let forms = self.find(one, context)?;
        forms.split(FORM).nth(self.language.form(n))
    }

    /// What a text is in this language; `None` where it has no words for it.
    pub fn find(&self, text: &str, context: Option<&str>) -> Option<&str> {
        let key = key(text, context);
        let at = self.texts.binary_search_by_key(&key, |(key, _)| *key);
        self.texts.get(at.ok()?).map(|(_, text)| text.as_str())
    }
}

/// One text with its translation: as many forms as the language has where it is
/// counted, else one.
#[cfg(not(target_arch = "wasm32"))]
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TranslationEntry {
    /// The English text.
    pub text: String,
    /// What distinguishes it from another text with the same letters.
    pub context: Option<String>,
    /// What it is in the other language.
    pub forms: Vec<String>,
}

/// Two texts that share a key and not their translation: the first and the second.
#[cfg(not(target_arch = "wasm32"))]
pub type KeyClash = (String, String);

/// Writes the small form.
///
/// # Errors
/// When two texts have the same key and are not translated alike.
#[cfg(not(target_arch = "wasm32"))]
pub fn write(language: Language, entries: &[TranslationEntry]) -> Result<String, KeyClash> {
    let mut texts: std::collections::BTreeMap<u64, (&TranslationEntry, String)> =
        Default::default();
    for entry in entries {
        let text = entry
            .forms
            .join(&FORM.to_string())
            .replace('\n', &BREAK.to_string());
        let key = key(&entry.text, entry.context.as_deref());
        if let Some((other, other_text)) = texts.get(&key)
            && (*other_text != text || other.text != entry.text)
        {
            return Err((other.text.clone(), entry.text.clone()));
        }
        texts.insert(key, (entry, text));
    }
    let mut out = format!("{FORMAT} {}\n", language.tag());
    for key in texts.keys() {
        for nth in (0..KEY).rev() {
            out.push(char::from(LETTERS[(key >> (6 * nth) & 63) as usize]));
        }
    }
    for (_, text) in texts.values() {
        out.push('\n');
        out.push_str(text);
    }
    Ok(out)
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests {
    use super::*;

    fn entry(text: &str, context: Option<&str>, forms: &[&str]) -> TranslationEntry {
        TranslationEntry {
            text: text.into(),
            context: context.map(Into::into),
            forms: forms.iter().map(|form| (*form).to_owned()).collect(),
        }
    }

    fn german(entries: &[TranslationEntry]) -> Translations {
        let text = write(Language::German, entries).expect("no clash");
        Translations::read(Language::German, &text).expect("whole")
    }

    #[test]
    fn translations_read_back_with_line_breaks_and_contexts() {
        let words = german(&[
            entry("Back", None, &["Zurück"]),
            entry("Back", Some("side"), &["Rückseite"]),
            entry("one\ntwo", None, &["eins\nzwei"]),
        ]);
        assert_eq!(words.find("Back", None), Some("Zurück"));
        assert_eq!(words.find("Back", Some("side")), Some("Rückseite"));
        assert_eq!(words.find("one\ntwo", None), Some("eins\nzwei"));
        assert_eq!(words.find("unknown", None), None);
    }

    #[test]
    fn a_count_takes_its_plural_form() {
        let words = german(&[entry("{n} part", None, &["{n} Teil", "{n} Teile"])]);
        let other_text = |n| words.find_counted(n, "{n} part", None);
        let (one, many) = (Some("{n} Teil"), Some("{n} Teile"));
        assert_eq!(
            [other_text(1), other_text(0), other_text(2)],
            [one, many, many]
        );
        assert_eq!(words.find_counted(2, "one", None), None);
    }

    #[test]
    fn two_translations_of_one_text_are_refused() {
        let twice = [
            entry("Back", None, &["Zurück"]),
            entry("Back", None, &["Hinten"]),
        ];
        assert!(write(Language::German, &twice).is_err());
        let same = [
            entry("Back", None, &["Zurück"]),
            entry("Back", None, &["Zurück"]),
        ];
        assert!(write(Language::German, &same).is_ok());
    }

    #[test]
    fn an_incomplete_file_or_one_of_another_language_is_refused() {
        let text = write(Language::German, &[entry("Back", None, &["Zurück"])]).expect("no clash");
        let read = |text: &str| Translations::read(Language::German, text);
        assert_eq!(read("<!doctype html>"), Err(TranslationsError::Format));
        assert_eq!(
            read(&text.replacen("de", "fr", 1)),
            Err(TranslationsError::Language)
        );
        let cut = text.rsplit_once('\n').expect("lines").0;
        assert_eq!(read(cut), Err(TranslationsError::Texts));
        assert_eq!(
            read("lidoff-words/1 de\nabc!\nx"),
            Err(TranslationsError::Keys)
        );
    }

    #[test]
    fn the_hash_is_that_of_the_published_test_vectors() {
        // FNV-1a of 64 bits of "foobar" is 85944171f73967e8 (draft-eastlake-fnv,
        // test vectors), here folded to 42 bits.
        let whole = 0x8594_4171_f739_67e8_u64;
        assert_eq!(
            key("foobar", None),
            (whole >> 42) ^ (whole & ((1 << 42) - 1))
        );
    }
}
