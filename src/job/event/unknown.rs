//! What a newer version recorded.

use serde::ser::Error as _;
use serde::{Serialize, Serializer};
use serde_json::value::RawValue;

use lidoff_limits::UNKNOWN_EVENT;

/// What happened, as written by a version that knows more. Its text is kept without the
/// space between its tokens, so that two copies of it are equal however they were laid out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownKind(String);

impl UnknownKind {
    /// The kind that could not be read because of this error; `None` if the text is damaged
    /// and not new, or too large to be kept.
    pub(super) fn read(json: &str, error: &serde_json::Error) -> Option<Self> {
        // Serde has no category for it. A damaged text has other faults: a missing field, a
        // value of the wrong type.
        let is_new = error.to_string().starts_with("unknown ");
        let is_kept = is_new && UNKNOWN_EVENT.check(json).is_ok();
        is_kept.then(|| Self(without_space(json)))
    }

    /// Its JSON text.
    pub fn json(&self) -> &str {
        &self.0
    }
}

impl Serialize for UnknownKind {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let raw: &RawValue = serde_json::from_str(&self.0).map_err(S::Error::custom)?;
        raw.serialize(to)
    }
}

/// JSON without the space between its tokens.
fn without_space(json: &str) -> String {
    let mut is_text = false;
    let mut is_escaped = false;
    let keeps = |letter: &char| {
        let keeps = is_text || !letter.is_ascii_whitespace();
        is_text ^= *letter == '"' && !is_escaped;
        is_escaped = *letter == '\\' && !is_escaped;
        keeps
    };
    json.chars().filter(keeps).collect()
}

#[cfg(test)]
mod tests {
    use super::without_space;

    #[test]
    fn space_is_removed_between_tokens_and_kept_in_texts() {
        let json = "{ \"a b\" :\n[1e3,\t\"\\\\\", \"say \\\" x \\\" \" ] }";
        let short = "{\"a b\":[1e3,\"\\\\\",\"say \\\" x \\\" \"]}";
        assert_eq!(without_space(json), short);
    }
}
