//! The languages that there are, and what each does in its own way.

/// A language that the app speaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Language {
    /// As it stands in the code and in the catalogs.
    English,
    /// From `words/de/`.
    German,
}

impl Language {
    /// Every one, English first.
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// Its tag by BCP 47, as the page and a translation's file carry it.
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en-GB",
            Self::German => "de",
        }
    }

    /// What it calls itself.
    pub const fn name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::German => "Deutsch",
        }
    }

    /// Which way its lines run, as the page's `dir` says it.
    pub const fn direction(self) -> &'static str {
        match self {
            Self::English | Self::German => "ltr",
        }
    }

    /// What parts the whole of a number from its decimals.
    pub const fn decimal(self) -> char {
        match self {
            Self::English => '.',
            Self::German => ',',
        }
    }

    /// Which of its plural forms goes with a number (GNU gettext manual, "Plural
    /// forms": both belong to the family `nplurals=2; plural=n != 1`).
    pub const fn form(self, n: u64) -> usize {
        match self {
            Self::English | Self::German => (n != 1) as usize,
        }
    }

    /// How a translation's file says that (`Plural-Forms`).
    pub const fn forms(self) -> &'static str {
        match self {
            Self::English | Self::German => "nplurals=2; plural=(n != 1);",
        }
    }

    /// The language of a tag, whatever its region ("de-AT"); `None` for one that
    /// the app does not speak.
    pub fn from_tag(tag: &str) -> Option<Self> {
        let primary = |tag: &str| {
            let end = tag.find(['-', '_']).unwrap_or(tag.len());
            tag[..end].to_ascii_lowercase()
        };
        Self::ALL
            .into_iter()
            .find(|language| primary(language.tag()) == primary(tag))
    }

    /// The first of the languages that a person prefers which the app speaks;
    /// English where it speaks none.
    pub fn preferred<'a>(tags: impl IntoIterator<Item = &'a str>) -> Self {
        tags.into_iter()
            .find_map(Self::from_tag)
            .unwrap_or(Self::English)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_language_that_the_app_speaks_is_taken() {
        assert_eq!(
            Language::preferred(["fr-CA", "de-AT", "en"]),
            Language::German
        );
        assert_eq!(Language::preferred(["en-US", "de"]), Language::English);
        assert_eq!(Language::preferred(["fr", "den"]), Language::English);
        assert_eq!(Language::preferred([]), Language::English);
    }

    #[test]
    fn german_counts_like_english_and_none_is_many() {
        let forms = [0, 1, 2, 101].map(|n| Language::German.form(n));
        assert_eq!(forms, [1, 0, 1, 1]);
    }
}
