//! The languages of the app: tag, direction, decimal sign and plural forms of each.

/// A language of the app.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Language {
    /// The language of the code and of the catalogs.
    English,
    German,
}

impl Language {
    /// All languages, English first.
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// Its tag by BCP 47, as the page and a translation's file carry it.
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en-GB",
            Self::German => "de",
        }
    }

    /// Its name in the language itself.
    pub const fn name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::German => "Deutsch",
        }
    }

    /// Its writing direction, as the page's `dir` attribute names it.
    pub const fn direction(self) -> &'static str {
        match self {
            Self::English | Self::German => "ltr",
        }
    }

    /// The decimal sign.
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

    /// The same rule as a PO file states it (`Plural-Forms`).
    pub const fn forms(self) -> &'static str {
        match self {
            Self::English | Self::German => "nplurals=2; plural=(n != 1);",
        }
    }

    /// The language of a tag, whatever its region ("de-AT"); `None` for one that
    /// the app does not have.
    pub fn from_tag(tag: &str) -> Option<Self> {
        let primary = |tag: &str| {
            let end = tag.find(['-', '_']).unwrap_or(tag.len());
            tag[..end].to_ascii_lowercase()
        };
        Self::ALL
            .into_iter()
            .find(|language| primary(language.tag()) == primary(tag))
    }

    /// The first preferred language that the app has; English where it has none.
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
    fn the_first_preferred_language_that_the_app_has_is_used() {
        assert_eq!(
            Language::preferred(["fr-CA", "de-AT", "en"]),
            Language::German
        );
        assert_eq!(Language::preferred(["en-US", "de"]), Language::English);
        assert_eq!(Language::preferred(["fr", "den"]), Language::English);
        assert_eq!(Language::preferred([]), Language::English);
    }

    #[test]
    fn german_counts_like_english_and_zero_is_plural() {
        let forms = [0, 1, 2, 101].map(|n| Language::German.form(n));
        assert_eq!(forms, [1, 0, 1, 1]);
    }
}
