//! Places in a catalog file, as a JSON path and in words.

use std::fmt::Write as _;
use std::rc::Rc;

use super::sort::Sort;

/// A place: `parts[3].take_off.needs`, in words `part lid`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Path {
    json: String,
    /// What it is a place of, from the outside in. Kept as it is and put into words
    /// only for a fault: a good catalog has some thousand places and no fault.
    of: Rc<[(Sort, String)]>,
}

impl Path {
    /// The file as a whole.
    pub(super) fn root() -> Self {
        Self {
            json: String::new(),
            of: Rc::new([]),
        }
    }

    /// A field of this place.
    pub(super) fn field(&self, name: &str) -> Self {
        let dot = if self.json.is_empty() { "" } else { "." };
        Self {
            json: format!("{}{dot}{name}", self.json),
            of: Rc::clone(&self.of),
        }
    }

    /// An entry of the list at this place, counted from 0.
    pub(super) fn nth(&self, nth: usize) -> Self {
        Self {
            json: format!("{}[{nth}]", self.json),
            of: Rc::clone(&self.of),
        }
    }

    /// The same place, said to be that of the thing of that sort named `id`.
    pub(super) fn of(self, sort: Sort, id: &str) -> Self {
        let inner = std::iter::once((sort, id.to_owned()));
        Self {
            json: self.json,
            of: self.of.iter().cloned().chain(inner).collect(),
        }
    }

    /// As an editor shows it.
    pub(super) fn json(&self) -> &str {
        &self.json
    }

    /// As an author says it.
    pub(super) fn words(&self) -> String {
        let mut words = String::new();
        for (nth, (sort, id)) in self.of.iter().enumerate() {
            let comma = if nth > 0 { ", " } else { "" };
            // Writing to a string does not fail.
            let _written = write!(words, "{comma}{sort} {id}");
        }
        words
    }
}

#[cfg(test)]
mod tests {
    use super::{Path, Sort};

    #[test]
    fn a_place_is_said_as_a_path_and_in_words() {
        let lid = Path::root().field("parts").nth(3).of(Sort::Part, "lid");
        let atom = lid.field("take_off").field("needs").field("all").nth(1);
        assert_eq!(atom.json(), "parts[3].take_off.needs.all[1]");
        assert_eq!(
            atom.of(Sort::Step, "lid-up").words(),
            "part lid, step lid-up"
        );
    }
}
