//! Changes to a text: of its bytes, and of the JSON in it.

use proptest::prelude::*;
use proptest::sample::{Index, select};
use serde_json::Value;

/// One change. Places are drawn before the text is known.
#[derive(Clone, Debug)]
pub enum Mutation {
    /// Puts a letter or token there.
    Insert(Index, &'static str),
    /// Takes out this many bytes.
    Remove(Index, usize),
    /// Ends the text there.
    Cut(Index),
    /// Writes a part of the text a second time, somewhere else.
    Copy(Index, usize, Index),
    /// Another value in place of one in the JSON.
    Replace(Index, &'static str),
    /// One value of the JSON in place of another.
    Swap(Index, Index),
    /// A value of the JSON is missing.
    Drop(Index),
    /// An element of a list comes this many times.
    Repeat(Index, usize),
    /// The value is nested this deep in lists.
    Nest(Index, usize),
}

/// What breaks parsers.
const TOKENS: [&str; 26] = [
    "null",
    "true",
    "0",
    "-1",
    "1",
    "65536",
    "4294967295",
    "4294967296",
    "9223372036854775807",
    "-9223372036854775808",
    "18446744073709551615",
    "18446744073709551616",
    "0.5",
    "-0.0",
    "1e308",
    "1e-320",
    "1e999",
    "\"\"",
    "\" \"",
    "\"\\u0000\"",
    "\"\u{202e}=1+1\"",
    "[]",
    "{}",
    "[[]]",
    "\"../../x\"",
    "{\"a\":1}",
];

const LETTERS: [&str; 14] = [
    "\"", "\\", "{", "}", "[", "]", ",", ":", "\n", "\u{feff}", "\u{0}", "é", "#", "/",
];

pub fn mutation() -> impl Strategy<Value = Mutation> {
    let place = any::<Index>;
    let count = || prop_oneof![6 => 1..8usize, 2 => 8..200usize, 1 => 200..4_000usize];
    prop_oneof![
        2 => (place(), select(&LETTERS[..])).prop_map(|(at, text)| Mutation::Insert(at, text)),
        1 => (place(), select(&TOKENS[..])).prop_map(|(at, text)| Mutation::Insert(at, text)),
        1 => (place(), count()).prop_map(|(at, many)| Mutation::Remove(at, many)),
        1 => place().prop_map(Mutation::Cut),
        1 => (place(), count(), place()).prop_map(|(at, many, to)| Mutation::Copy(at, many, to)),
        12 => (place(), select(&TOKENS[..])).prop_map(|(at, text)| Mutation::Replace(at, text)),
        6 => (place(), place()).prop_map(|(at, from)| Mutation::Swap(at, from)),
        5 => place().prop_map(Mutation::Drop),
        3 => (place(), count()).prop_map(|(at, many)| Mutation::Repeat(at, many)),
        1 => (place(), count()).prop_map(|(at, many)| Mutation::Nest(at, many)),
    ]
}

impl Mutation {
    /// The changed text. A change of the JSON does nothing to a text that is not JSON.
    pub fn apply(text: String, one: &Self) -> String {
        match one {
            Self::Insert(at, token) => {
                let (start, end) = text.split_at(place(&text, at));
                format!("{start}{token}{end}")
            }
            Self::Remove(at, many) => {
                let (start, end) = text.split_at(place(&text, at));
                start.chars().chain(end.chars().skip(*many)).collect()
            }
            Self::Cut(at) => text[..place(&text, at)].to_owned(),
            Self::Copy(at, many, to) => {
                let part: String = text[place(&text, at)..].chars().take(*many).collect();
                let (start, end) = text.split_at(place(&text, to));
                format!("{start}{part}{end}")
            }
            Self::Replace(at, token) => in_json(text, |json| {
                *node(json, at) = raw(token);
            }),
            Self::Swap(at, from) => in_json(text, |json| {
                let value = node(json, from).clone();
                *node(json, at) = value;
            }),
            Self::Drop(at) => in_json(text, |json| match node(json, at) {
                Value::Array(list) if !list.is_empty() => {
                    let nth = at.index(list.len());
                    list.remove(nth);
                }
                Value::Object(fields) if !fields.is_empty() => {
                    let name = fields.keys().nth(at.index(fields.len())).cloned();
                    fields.remove(&name.unwrap_or_default());
                }
                other => *other = Value::Null,
            }),
            Self::Repeat(at, many) => in_json(text, |json| {
                if let Value::Array(list) = node(json, at)
                    && !list.is_empty()
                {
                    let copy = list[at.index(list.len())].clone();
                    list.extend(std::iter::repeat_n(copy, *many));
                }
            }),
            Self::Nest(at, many) => in_json(text, |json| {
                let at = node(json, at);
                for _ in 0..(*many).min(100) {
                    *at = Value::Array(vec![at.take()]);
                }
            }),
        }
    }
}

/// A token that JSON values cannot hold is a text.
fn raw(token: &str) -> Value {
    serde_json::from_str(token).unwrap_or_else(|_| Value::from(token))
}

/// A place between two letters.
fn place(text: &str, at: &Index) -> usize {
    let mut place = at.index(text.len() + 1);
    while !text.is_char_boundary(place) {
        place -= 1;
    }
    place
}

fn in_json(text: String, change: impl FnOnce(&mut Value)) -> String {
    match serde_json::from_str(&text) {
        Ok(mut json) => {
            change(&mut json);
            json.to_string()
        }
        Err(_) => text,
    }
}

/// Any value in the JSON, itself included.
fn node<'a>(json: &'a mut Value, at: &Index) -> &'a mut Value {
    let mut nth = at.index(count(json));
    let mut here = json;
    loop {
        if nth == 0 {
            return here;
        }
        nth -= 1;
        let inner: Vec<&mut Value> = match here {
            Value::Array(list) => list.iter_mut().collect(),
            Value::Object(fields) => fields.values_mut().collect(),
            _ => unreachable!("the nodes were counted"),
        };
        let mut inner = inner.into_iter();
        here = loop {
            let one = inner.next().expect("the nodes were counted");
            let many = count(one);
            if nth < many {
                break one;
            }
            nth -= many;
        };
    }
}

fn count(json: &Value) -> usize {
    1 + match json {
        Value::Array(list) => list.iter().map(count).sum(),
        Value::Object(fields) => fields.values().map(count).sum(),
        _ => 0,
    }
}
