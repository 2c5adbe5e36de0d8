//! Places in a catalog file, as a JSON path and in words.

/// A place: `parts[3].take_off.needs`, in words `part lid`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Path {
    json: String,
    words: String,
}

impl Path {
    /// The file as a whole.
    pub(super) const fn root() -> Self {
        Self {
            json: String::new(),
            words: String::new(),
        }
    }

    /// A field of this place.
    pub(super) fn field(&self, name: &str) -> Self {
        let dot = if self.json.is_empty() { "" } else { "." };
        Self {
            json: format!("{}{dot}{name}", self.json),
            words: self.words.clone(),
        }
    }

    /// An entry of the list at this place, counted from 0.
    pub(super) fn nth(&self, nth: usize) -> Self {
        Self {
            json: format!("{}[{nth}]", self.json),
            words: self.words.clone(),
        }
    }

    /// The same place, said to be that of `what` named `id`.
    pub(super) fn of(mut self, what: &str, id: &str) -> Self {
        if !self.words.is_empty() {
            self.words.push_str(", ");
        }
        self.words.push_str(what);
        self.words.push(' ');
        self.words.push_str(id);
        self
    }

    /// As an editor shows it.
    pub(super) fn json(&self) -> &str {
        &self.json
    }

    /// As an author says it.
    pub(super) fn words(&self) -> &str {
        &self.words
    }
}

#[cfg(test)]
mod tests {
    use super::Path;

    #[test]
    fn a_place_is_said_as_a_path_and_in_words() {
        let lid = Path::root().field("parts").nth(3).of("part", "lid");
        let atom = lid.field("take_off").field("needs").field("all").nth(1);
        assert_eq!(atom.json(), "parts[3].take_off.needs.all[1]");
        assert_eq!(atom.of("step", "lid-up").words(), "part lid, step lid-up");
    }
}
