//! Positions in a catalog file, as a JSON path and as text.

use std::fmt::Write as _;
use std::rc::Rc;

use super::entry_kind::EntryKind;

/// A position: `parts[3].take_off.needs`, as text `part lid`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Path {
    json: String,
    /// What it is a place of, from the outside in. Kept as it is and put into words
    /// only for a fault: a good catalog has some thousand places and no fault.
    subjects: Rc<[(EntryKind, String)]>,
}

impl Path {
    /// The file as a whole.
    pub(super) fn root() -> Self {
        Self {
            json: String::new(),
            subjects: Rc::new([]),
        }
    }

    /// A field of this place.
    pub(super) fn field(&self, name: &str) -> Self {
        let dot = if self.json.is_empty() { "" } else { "." };
        Self {
            json: format!("{}{dot}{name}", self.json),
            subjects: Rc::clone(&self.subjects),
        }
    }

    /// An entry of the list at this place, counted from 0.
    pub(super) fn nth(&self, nth: usize) -> Self {
        Self {
            json: format!("{}[{nth}]", self.json),
            subjects: Rc::clone(&self.subjects),
        }
    }

    /// The same place, with the entry of this kind and id that it belongs to.
    pub(super) fn about(self, sort: EntryKind, id: &str) -> Self {
        let inner = std::iter::once((sort, id.to_owned()));
        Self {
            json: self.json,
            subjects: self.subjects.iter().cloned().chain(inner).collect(),
        }
    }

    /// As a JSON path, as an editor shows it.
    pub(super) fn json(&self) -> &str {
        &self.json
    }

    /// As text for the author.
    pub(super) fn describe(&self) -> String {
        let mut text = String::new();
        for (nth, (sort, id)) in self.subjects.iter().enumerate() {
            let comma = if nth > 0 { ", " } else { "" };
            // Writing to a string does not fail.
            let _written = write!(text, "{comma}{sort} {id}");
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::{EntryKind, Path};

    #[test]
    fn a_place_is_shown_as_a_path_and_as_text() {
        let lid = Path::root()
            .field("parts")
            .nth(3)
            .about(EntryKind::Part, "lid");
        let atom = lid.field("take_off").field("needs").field("all").nth(1);
        assert_eq!(atom.json(), "parts[3].take_off.needs.all[1]");
        assert_eq!(
            atom.about(EntryKind::Step, "lid-up").describe(),
            "part lid, step lid-up"
        );
    }
}
