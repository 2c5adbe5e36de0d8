//! Rust sources as tokens: each `tr!` and `tr_noop!` with its texts, and each string
//! that stands outside of them.

use std::fs;
use std::path::{Path, PathBuf};

use lidoff_testkit::repository;

use proc_macro2::{Delimiter, Group, TokenStream, TokenTree};

use crate::po::Text;

/// A `tr!` or `tr_noop!`.
#[derive(Debug)]
pub struct Call {
    /// "src/app/words.rs:12".
    pub place: String,
    /// What is to be translated.
    pub text: Text,
    /// Names of its arguments; `None` for one that has none.
    pub arguments: Vec<Option<String>>,
    /// It is looked up as a whole: `tr_noop!`.
    pub noop: bool,
}

/// A string outside of them.
#[derive(Debug)]
pub struct Loose {
    /// "src/app/words.rs:12".
    pub place: String,
    /// The string.
    pub text: String,
    /// The attribute that it is the value of.
    pub attribute: Option<String>,
    /// It stands between the tags of a view.
    pub in_view: bool,
}

/// What one file says.
#[derive(Debug, Default)]
pub struct ExtractedTexts {
    /// In `tr!` and `tr_noop!`.
    pub calls: Vec<Call>,
    /// Outside of them.
    pub loose: Vec<Loose>,
}

/// Every source file below a folder or, for a file, that one; in order. Files of
/// tests alone are left out.
pub fn files(under: &str) -> Vec<PathBuf> {
    let root = repository(under);
    if root.is_file() {
        return vec![root];
    }
    let mut found = Vec::new();
    let mut folders = vec![root];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder of sources") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                if !matches!(name_of(&path), "tests" | "benches" | "testkit") {
                    folders.push(path);
                }
            } else if path.extension().is_some_and(|ending| ending == "rs")
                && !path.ends_with("tests.rs")
            {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

fn name_of(path: &Path) -> &str {
    path.file_name()
        .and_then(|name| name.to_str())
        .unwrap_or("")
}

/// What the sources below a folder say.
pub fn extract(under: &str) -> ExtractedTexts {
    let mut said = ExtractedTexts::default();
    for path in files(under) {
        let text = fs::read_to_string(&path).expect("a source");
        let name = path.strip_prefix(repository("")).expect("below");
        read(&name.to_string_lossy(), &text, &mut said);
    }
    said
}

/// What one source says.
pub fn read(name: &str, text: &str, said: &mut ExtractedTexts) {
    let tokens: TokenStream = text.parse().expect("Rust");
    Reader { name, said }.walk(tokens, false);
}

struct Reader<'a> {
    name: &'a str,
    said: &'a mut ExtractedTexts,
}

fn is_punct(token: Option<&TokenTree>, letter: char) -> bool {
    matches!(token, Some(TokenTree::Punct(punct)) if punct.as_char() == letter)
}

/// The value of a string literal.
fn string(token: Option<&TokenTree>) -> Option<String> {
    let Some(TokenTree::Literal(literal)) = token else {
        return None;
    };
    syn::parse_str::<syn::LitStr>(&literal.to_string())
        .ok()
        .map(|literal| literal.value())
}

/// Macros and methods whose words are for those who work on the app.
const FOR_US: [&str; 14] = [
    "assert",
    "assert_eq",
    "assert_ne",
    "concat",
    "debug_assert",
    "debug_assert_eq",
    "env",
    "expect",
    "include_str",
    "panic",
    "todo",
    "unreachable",
    "matches",
    "cfg",
];

impl Reader<'_> {
    fn place(&self, token: &TokenTree) -> String {
        format!("{}:{}", self.name, token.span().start().line)
    }

    fn walk(&mut self, tokens: TokenStream, in_view: bool) {
        let tokens: Vec<TokenTree> = tokens.into_iter().collect();
        let mut at = 0;
        while at < tokens.len() {
            // An attribute, and what is for tests alone.
            if is_punct(tokens.get(at), '#') {
                let mut inner = at + 1;
                if is_punct(tokens.get(inner), '!') {
                    inner += 1;
                }
                if let Some(TokenTree::Group(group)) = tokens.get(inner)
                    && group.delimiter() == Delimiter::Bracket
                {
                    at = inner + 1;
                    if for_tests(group) {
                        while at < tokens.len() && !ends_item(&tokens[at]) {
                            at += 1;
                        }
                        at += 1;
                    }
                    continue;
                }
            }
            match &tokens[at] {
                TokenTree::Ident(name) => {
                    let name = name.to_string();
                    let bang = usize::from(is_punct(tokens.get(at + 1), '!'));
                    if let Some(TokenTree::Group(group)) = tokens.get(at + 1 + bang) {
                        let taken = match name.as_str() {
                            "tr" | "tr_noop" if bang == 1 => {
                                self.call(&tokens[at], group, name == "tr_noop");
                                true
                            }
                            "view" if bang == 1 => {
                                self.walk(group.stream(), true);
                                true
                            }
                            name => FOR_US.contains(&name),
                        };
                        if taken {
                            at += 2 + bang;
                            continue;
                        }
                    }
                }
                TokenTree::Group(group) => self.walk(group.stream(), false),
                token @ TokenTree::Literal(_) => {
                    if let Some(text) = string(Some(token)) {
                        let attribute = attribute(&tokens[..at]);
                        self.said.loose.push(Loose {
                            place: self.place(token),
                            in_view: in_view && attribute.is_none(),
                            text,
                            attribute,
                        });
                    }
                }
                TokenTree::Punct(_) => {}
            }
            at += 1;
        }
    }

    /// `tr!("context" => "one" | "many" % n, name = value)`.
    fn call(&mut self, at: &TokenTree, group: &Group, noop: bool) {
        let place = self.place(at);
        let tokens: Vec<TokenTree> = group.stream().into_iter().collect();
        let literal = |at: usize| {
            string(tokens.get(at))
                .unwrap_or_else(|| panic!("{place}: only a literal can be translated"))
        };
        let (mut next, mut context) = (0, None);
        if is_punct(tokens.get(1), '=') && is_punct(tokens.get(2), '>') {
            context = Some(literal(0));
            next = 3;
        }
        let one = literal(next);
        next += 1;
        let mut many = None;
        if is_punct(tokens.get(next), '|') {
            many = Some(literal(next + 1));
            next += 2;
        }
        let mut arguments = Vec::new();
        let rest: Vec<TokenTree> = tokens[next..].to_vec();
        let mut pieces = rest.split(|token| is_punct(Some(token), ','));
        // What stands before the first comma is the count, or nothing.
        pieces.next();
        for piece in pieces.filter(|piece| !piece.is_empty()) {
            let name = match piece {
                [TokenTree::Ident(name)] => Some(name.to_string()),
                [TokenTree::Ident(name), second, third, ..]
                    if is_punct(Some(second), '=') && !is_punct(Some(third), '=') =>
                {
                    Some(name.to_string())
                }
                _ => None,
            };
            arguments.push(name);
        }
        self.said.calls.push(Call {
            place,
            text: Text { context, one, many },
            arguments,
            noop,
        });
        self.walk(rest.into_iter().collect(), false);
    }
}

fn for_tests(attribute: &Group) -> bool {
    let words = attribute.stream().to_string();
    words.starts_with("cfg") && words.contains("test") && !words.contains("not (test")
}

fn ends_item(token: &TokenTree) -> bool {
    is_punct(Some(token), ';')
        || matches!(token, TokenTree::Group(group) if group.delimiter() == Delimiter::Brace)
}

/// The name before `=`, with its dashes: "aria-label".
fn attribute(before: &[TokenTree]) -> Option<String> {
    let (equals, mut before) = before.split_last()?;
    if !is_punct(Some(equals), '=') {
        return None;
    }
    let mut name = String::new();
    loop {
        let (TokenTree::Ident(part), rest) = before.split_last()? else {
            return None;
        };
        name.insert_str(0, &part.to_string());
        match rest.split_last() {
            Some((dash, rest)) if is_punct(Some(dash), '-') => {
                name.insert(0, '-');
                before = rest;
            }
            _ => return Some(name),
        }
    }
}

#[test]
fn texts_are_found_with_their_context_their_plural_and_their_arguments() {
    let mut said = ExtractedTexts::default();
    let source = r#"
        // tr!("a comment")
        fn shown() -> String {
            let x = tr!("in a lift" => "Up {by}, {}", count(a, b), by = tr!("one" | "{n} all" % n));
            let y = view! { <p aria-label="loud" class="row big">"Loose " {tr!("Fast")} </p> };
            assert!(x == y, "not for reading");
            tr_noop!("Later")
        }
        #[cfg(test)]
        mod tests { fn x() { tr!("only in tests"); "Only in tests" } }
    "#;
    read("x.rs", source, &mut said);
    let texts: Vec<_> = said
        .calls
        .iter()
        .map(|call| call.text.one.as_str())
        .collect();
    assert_eq!(texts, ["Up {by}, {}", "one", "Fast", "Later"]);
    assert_eq!(said.calls[0].text.context.as_deref(), Some("in a lift"));
    assert_eq!(said.calls[0].arguments, [None, Some("by".to_owned())]);
    assert_eq!(said.calls[1].text.many.as_deref(), Some("{n} all"));
    assert!(said.calls[3].noop);
    let loose: Vec<_> = said
        .loose
        .iter()
        .map(|one| (one.text.as_str(), one.attribute.as_deref(), one.in_view))
        .collect();
    assert_eq!(
        loose,
        [
            ("loud", Some("aria-label"), false),
            ("row big", Some("class"), false),
            ("Loose ", None, true)
        ]
    );
}
