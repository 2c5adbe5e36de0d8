//! One small good catalog, and how to put one thing in it wrong.

use lidoff_catalog::check::{Fault, FaultKind, examine_text};
use serde_json::Value;

/// The catalog as written.
pub const TEXT: &str = include_str!("good.json");

/// The good catalog with something changed.
pub struct BrokenCatalog(Value);

/// What the checks say of it.
pub struct FoundFaults(Vec<Fault>);

impl BrokenCatalog {
    /// Nothing changed yet.
    pub fn new() -> Self {
        Self(serde_json::from_str(TEXT).expect("the good catalog is JSON"))
    }

    /// Puts a value at this JSON pointer, in place of another or as a new field.
    pub fn set(mut self, pointer: &str, value: Value) -> Self {
        let (parent, key) = pointer.rsplit_once('/').expect("a pointer");
        let parent = self.at(parent);
        match parent {
            Value::Object(fields) => {
                fields.insert(key.to_owned(), value);
            }
            Value::Array(list) => list[key.parse::<usize>().expect("a place")] = value,
            other => panic!("nothing can be put into {other}"),
        }
        self
    }

    /// Takes a field or an entry out.
    pub fn without(mut self, pointer: &str) -> Self {
        let (parent, key) = pointer.rsplit_once('/').expect("a pointer");
        match self.at(parent) {
            Value::Object(fields) => {
                fields.remove(key).expect("a field to take out");
            }
            Value::Array(list) => {
                list.remove(key.parse().expect("a place"));
            }
            other => panic!("nothing can be taken out of {other}"),
        }
        self
    }

    /// Adds an entry to the list at this pointer.
    pub fn add(mut self, pointer: &str, value: Value) -> Self {
        self.at(pointer).as_array_mut().expect("a list").push(value);
        self
    }

    fn at(&mut self, pointer: &str) -> &mut Value {
        let found = self.0.pointer_mut(pointer);
        found.unwrap_or_else(|| panic!("nothing at {pointer}"))
    }

    /// Checks it.
    pub fn check(self) -> FoundFaults {
        let text = self.0.to_string();
        let faults = match examine_text("tern-5.json", &text) {
            Ok(checked) => checked.warnings,
            Err(faults) => faults,
        };
        FoundFaults(faults.iter().cloned().collect())
    }
}

impl FoundFaults {
    /// Nothing is wrong with it.
    pub fn nothing(&self) {
        assert!(self.0.is_empty(), "{}", self.lines());
    }

    /// There is this fault, and no other.
    pub fn only(&self, kind: FaultKind, path: &str) -> &Fault {
        assert_eq!(self.0.len(), 1, "{}", self.lines());
        self.has(kind, path)
    }

    /// There is this fault, and maybe what follows from it.
    pub fn has(&self, kind: FaultKind, path: &str) -> &Fault {
        let found = self
            .0
            .iter()
            .find(|fault| fault.kind == kind && fault.path == path);
        found.unwrap_or_else(|| panic!("no {kind:?} at {path} among:\n{}", self.lines()))
    }

    fn lines(&self) -> String {
        let lines = self
            .0
            .iter()
            .map(|fault| format!("{:?} {fault}\n", fault.kind));
        lines.collect()
    }
}
