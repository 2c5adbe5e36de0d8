//! Which file of a crate imports from which, read from the sources as tokens.
//!
//! A path that begins with `crate`, `super`, `self` or the name of a child module is
//! followed to the file that defines its last known part; a re-export is followed to
//! where it comes from. Code under `#[cfg(test)]` does not count.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use lidoff_testkit::repository;
use proc_macro2::{TokenStream, TokenTree};

/// The names from the top of the crate to a module.
type ModulePath = Vec<String>;

/// One file, which is one module.
#[derive(Default)]
struct Module {
    file: String,
    /// Modules that are declared here and lie in files of their own.
    children: BTreeSet<String>,
    /// Names that this module takes from elsewhere, each with its path.
    imports: BTreeMap<String, Vec<String>>,
    /// Modules whose names are all taken over here (`use x::*`).
    globs: Vec<Vec<String>>,
    /// Every path that is written here.
    paths: BTreeSet<Vec<String>>,
}

type Modules = BTreeMap<ModulePath, Module>;

fn read_crate(folder: &Path) -> Modules {
    let mut modules = Modules::new();
    for root in ["lib.rs", "main.rs"] {
        if folder.join(root).is_file() {
            read_module(folder, root, Vec::new(), &mut modules);
            break;
        }
    }
    modules
}

fn read_module(folder: &Path, file: &str, path: ModulePath, modules: &mut Modules) {
    let text = fs::read_to_string(folder.join(file)).expect("a source");
    let tokens: TokenStream = text.parse().expect("Rust");
    let mut module = Module {
        file: file.to_owned(),
        ..Module::default()
    };
    scan(tokens, &mut module);
    let below = match file {
        "lib.rs" | "main.rs" => String::new(),
        _ => {
            file.trim_end_matches("/mod.rs")
                .trim_end_matches(".rs")
                .to_owned()
                + "/"
        }
    };
    module.children.retain(|child| {
        let files = [
            format!("{below}{child}.rs"),
            format!("{below}{child}/mod.rs"),
        ];
        let Some(found) = files.iter().find(|file| folder.join(file).is_file()) else {
            return false;
        };
        let mut path = path.clone();
        path.push(child.clone());
        read_module(folder, found, path, modules);
        true
    });
    modules.insert(path, module);
}

fn ident(token: Option<&TokenTree>) -> Option<String> {
    match token {
        Some(TokenTree::Ident(name)) => Some(name.to_string()),
        _ => None,
    }
}

fn is_punct(token: Option<&TokenTree>, letter: char) -> bool {
    matches!(token, Some(TokenTree::Punct(punct)) if punct.as_char() == letter)
}

fn is_path_sign(tokens: &[TokenTree], at: usize) -> bool {
    is_punct(tokens.get(at), ':') && is_punct(tokens.get(at + 1), ':')
}

fn scan(tokens: TokenStream, module: &mut Module) {
    let tokens: Vec<TokenTree> = tokens.into_iter().collect();
    let mut at = 0;
    while at < tokens.len() {
        if is_punct(tokens.get(at), '#')
            && let Some(TokenTree::Group(attribute)) = tokens.get(at + 1)
        {
            at += 2;
            let attribute = attribute.stream().to_string();
            if attribute.starts_with("cfg") && attribute.contains("test") {
                at = end_of_item(&tokens, at);
            }
            continue;
        }
        match (&tokens[at], ident(tokens.get(at + 1))) {
            // `pub(in crate::x)` says who sees it and takes nothing from there.
            (TokenTree::Ident(word), _)
                if word == "pub" && matches!(tokens.get(at + 1), Some(TokenTree::Group(_))) =>
            {
                at += 2;
            }
            (TokenTree::Ident(word), Some(child)) if word == "mod" => {
                if is_punct(tokens.get(at + 2), ';') {
                    module.children.insert(child);
                }
                at += 2;
            }
            (TokenTree::Ident(word), _) if word == "use" => {
                let end = (at..tokens.len())
                    .find(|at| is_punct(tokens.get(*at), ';'))
                    .unwrap_or(tokens.len());
                use_tree(&tokens[at + 1..end], &[], module);
                at = end;
            }
            (TokenTree::Ident(word), _) => {
                let mut path = vec![word.to_string()];
                while is_path_sign(&tokens, at + 1)
                    && let Some(next) = ident(tokens.get(at + 3))
                {
                    path.push(next);
                    at += 3;
                }
                if path.len() > 1 {
                    module.paths.insert(path);
                }
                at += 1;
            }
            (TokenTree::Group(group), _) => {
                scan(group.stream(), module);
                at += 1;
            }
            _ => at += 1,
        }
    }
}

/// Behind the item that begins here: behind its braces or its semicolon.
fn end_of_item(tokens: &[TokenTree], from: usize) -> usize {
    let is_end = |token: &TokenTree| match token {
        TokenTree::Group(group) => group.delimiter() == proc_macro2::Delimiter::Brace,
        TokenTree::Punct(punct) => punct.as_char() == ';',
        _ => false,
    };
    let rest = tokens[from..].iter().position(is_end);
    rest.map_or(tokens.len(), |behind| from + behind + 1)
}

fn use_tree(tokens: &[TokenTree], before: &[String], module: &mut Module) {
    for tree in tokens.split(|token| is_punct(Some(token), ',')) {
        // Behind the last comma.
        if tree.is_empty() {
            continue;
        }
        let mut path = before.to_vec();
        let mut at = 0;
        while let Some(name) = ident(tree.get(at)) {
            path.push(name);
            at += 1;
            if !is_path_sign(tree, at) {
                break;
            }
            at += 2;
        }
        match tree.get(at) {
            Some(TokenTree::Group(group)) => {
                let inner: Vec<TokenTree> = group.stream().into_iter().collect();
                use_tree(&inner, &path, module);
            }
            Some(TokenTree::Punct(star)) if star.as_char() == '*' => module.globs.push(path),
            rest => {
                if path.last().is_some_and(|name| name == "self") {
                    path.pop();
                }
                let renamed = ident(rest).filter(|word| word == "as");
                let name = match renamed {
                    Some(_) => ident(tree.get(at + 1)),
                    None => path.last().cloned(),
                };
                if let Some(name) = name
                    && !path.is_empty()
                {
                    module.paths.insert(path.clone());
                    module.imports.insert(name, path);
                }
            }
        }
    }
}

/// The modules that a path written in a module leads to.
struct Resolver<'a> {
    modules: &'a Modules,
}

impl Resolver<'_> {
    /// The file that defines what the path names, if it is one of this crate.
    fn defining(&self, from: &ModulePath, path: &[String], depth: usize) -> Option<ModulePath> {
        if depth > 16 {
            return None;
        }
        let mut at = from.clone();
        let mut rest = path;
        let (first, others) = rest.split_first()?;
        match first.as_str() {
            "crate" => at.clear(),
            "self" => {}
            "super" => {
                at.pop()?;
            }
            name => {
                let module = &self.modules[from];
                if module.children.contains(name) {
                    at.push(name.to_owned());
                } else if let Some(import) = module.imports.get(name)
                    && import.first() != Some(first)
                {
                    let mut whole = import.clone();
                    whole.extend(others.iter().cloned());
                    return self.defining(from, &whole, depth + 1);
                } else {
                    return None;
                }
            }
        }
        rest = others;
        while let Some((name, others)) = rest.split_first() {
            let module = self.modules.get(&at)?;
            if name == "super" {
                at.pop()?;
            } else if module.children.contains(name) {
                at.push(name.clone());
            } else if let Some(import) = module.imports.get(name)
                && at != *from
            {
                let found = self.defining(&at, import, depth + 1);
                return found.or(Some(at));
            } else {
                return Some(at);
            }
            rest = others;
        }
        Some(at)
    }

    fn arrows(&self) -> BTreeMap<&str, BTreeSet<&str>> {
        let mut arrows = BTreeMap::new();
        for (path, module) in self.modules {
            let targets: &mut BTreeSet<&str> = arrows.entry(&*module.file).or_default();
            for written in module.paths.iter().chain(&module.globs) {
                if let Some(found) = self.defining(path, written, 0)
                    && found != *path
                {
                    targets.insert(&self.modules[&found].file);
                }
            }
        }
        arrows
    }
}

/// Groups of files of which each leads to each other one.
fn circles<'a>(arrows: &BTreeMap<&'a str, BTreeSet<&'a str>>) -> Vec<BTreeSet<&'a str>> {
    let reachable = |from: &'a str| {
        let mut seen = BTreeSet::new();
        let mut open = vec![from];
        while let Some(file) = open.pop() {
            for next in arrows.get(file).into_iter().flatten() {
                if seen.insert(*next) {
                    open.push(next);
                }
            }
        }
        seen
    };
    let reachable: BTreeMap<&str, BTreeSet<&str>> =
        arrows.keys().map(|file| (*file, reachable(file))).collect();
    let mut circles = BTreeSet::new();
    for (file, seen) in &reachable {
        let both = |other: &&&str| reachable[**other].contains(file);
        let circle: BTreeSet<&str> = seen.iter().filter(both).copied().collect();
        if circle.len() > 1 {
            circles.insert(circle);
        }
    }
    circles.into_iter().collect()
}

#[test]
fn no_files_of_a_crate_import_each_other_in_a_circle() {
    let mut wrong = Vec::new();
    let mut files = 0;
    for entry in fs::read_dir(repository("src")).expect("the crates") {
        let folder = entry.expect("a crate").path();
        let modules = read_crate(&folder);
        files += modules.len();
        let resolver = Resolver { modules: &modules };
        for circle in circles(&resolver.arrows()) {
            let name = folder.file_name().unwrap_or_default().to_string_lossy();
            let arrows = resolver.arrows();
            for file in &circle {
                let into: Vec<_> = arrows[file].intersection(&circle).collect();
                wrong.push(format!("{name}: {file} -> {into:?}"));
            }
            wrong.push(String::new());
        }
    }
    assert!(files > 200, "the sources were found: {files}");
    assert!(wrong.is_empty(), "circles of files:\n{}", wrong.join("\n"));
}

#[test]
fn a_circle_is_seen_through_a_re_export_and_a_parent() {
    let folder = tempfile::tempdir().expect("a folder");
    let put = |name: &str, text: &str| fs::write(folder.path().join(name), text).expect("a file");
    put("lib.rs", "mod a; mod b; mod c; pub use b::B;");
    put("a.rs", "use crate::B; pub struct A(B);");
    put("b.rs", "pub struct B; fn f() { super::c::g() }");
    put(
        "c.rs",
        "#[cfg(test)] mod tests { use crate::a::A; } pub fn g() {}",
    );
    let modules = read_crate(folder.path());
    let resolver = Resolver { modules: &modules };
    assert!(circles(&resolver.arrows()).is_empty());
    put("c.rs", "use crate::a::A; pub fn g() -> A { todo!() }");
    let modules = read_crate(folder.path());
    let resolver = Resolver { modules: &modules };
    assert_eq!(
        circles(&resolver.arrows()),
        [BTreeSet::from(["a.rs", "b.rs", "c.rs"])]
    );
}
