//! What may use what: the table, and a check of every `crate::` and `super::` path in `src/` against it.
//!
//! The table is our own decision, so there is no source outside the project; the checker itself is tested on small
//! texts that break the rules.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use proc_macro2::{Delimiter, TokenStream, TokenTree};

/// Modules of one row may use what the row names, and each other without a cycle.
struct Row {
    modules: &'static [&'static str],
    uses: &'static [&'static str],
}

const ROWS: &[Row] = &[
    Row { modules: &["units", "rooms"], uses: &[] },
    Row { modules: &["theory", "rhythm"], uses: &["units", "rooms"] },
    Row { modules: &["riff", "form"], uses: &["units", "rooms", "theory", "rhythm"] },
    Row {
        modules: &["insight", "chorus", "found", "band", "notation", "files"],
        uses: &["units", "rooms", "theory", "rhythm", "riff", "form"],
    },
    Row {
        modules: &["perform"],
        uses: &[
            "units", "rooms", "theory", "rhythm", "riff", "form", "insight", "chorus", "found", "band",
            "notation", "files",
        ],
    },
    Row { modules: &["sound"], uses: &["units", "rooms", "perform"] },
    Row { modules: &["listen"], uses: &["units", "rooms", "theory", "rhythm", "riff", "form", "perform"] },
    Row {
        modules: &["practice"],
        uses: &[
            "units", "rooms", "theory", "rhythm", "riff", "form", "insight", "chorus", "found", "band",
            "notation", "files", "perform", "listen",
        ],
    },
    Row {
        modules: &["notebook"],
        uses: &[
            "units", "rooms", "theory", "rhythm", "riff", "form", "insight", "chorus", "found", "band",
            "notation", "files", "perform", "practice",
        ],
    },
    Row {
        modules: &["desk"],
        uses: &[
            "units", "rooms", "theory", "rhythm", "riff", "form", "insight", "chorus", "found", "band",
            "notation", "files", "perform", "practice", "notebook",
        ],
    },
    Row {
        modules: &["view"],
        uses: &[
            "units", "rooms", "theory", "rhythm", "riff", "form", "insight", "chorus", "found", "band",
            "notation", "files", "perform", "sound", "listen", "practice", "notebook", "desk",
        ],
    },
    Row {
        modules: &["web"],
        uses: &[
            "units", "rooms", "theory", "rhythm", "riff", "form", "insight", "chorus", "found", "band",
            "notation", "files", "perform", "sound", "listen", "practice", "notebook", "desk", "view",
        ],
    },
];

/// A file that may use less than its module.
const NARROWER: &[(&str, &[&str])] = &[("files/wav.rs", &["units"])];

/// Names that only some modules may say: the core has no clock, no files, no browser and no log.
const KEPT_TO: &[(&str, &[&str])] = &[
    ("web_sys", &["web"]),
    ("js_sys", &["web"]),
    ("wasm_bindgen", &["web"]),
    ("tsify", &["desk", "view", "web"]),
    ("serde", &["files", "notebook", "desk", "view", "web"]),
    ("serde_json", &["files", "notebook", "desk", "view", "web"]),
    ("std::env", &[]),
    ("std::fs", &[]),
    ("std::net", &[]),
    ("std::process", &[]),
    ("std::thread", &[]),
    ("std::time", &[]),
    ("println", &[]),
    ("eprintln", &[]),
    ("dbg", &[]),
];

/// A place where one module names another, or a name that is kept to some modules.
#[derive(Debug)]
struct Mention {
    file: String,
    line: usize,
    from: String,
    to: String,
}

/// A path read from tokens, such as `crate::theory::{key, pitch}`: its first names, with `super` resolved.
struct Reader<'a> {
    file: &'a str,
    from: String,
    mentions: Vec<Mention>,
}

impl Reader<'_> {
    /// Walks the tokens of a module. `module` is its path from the crate's root.
    fn read(&mut self, tokens: TokenStream, module: &[String]) {
        let tokens: Vec<TokenTree> = tokens.into_iter().collect();
        let mut at = 0;
        while at < tokens.len() {
            match &tokens[at] {
                TokenTree::Group(group) => {
                    let inner = declared_module(&tokens[..at]);
                    let path: Vec<String> = module.iter().cloned().chain(inner).collect();
                    self.read(group.stream(), &path);
                    at += 1;
                }
                TokenTree::Ident(_) => at += self.read_path(&tokens[at..], module),
                _ => at += 1,
            }
        }
    }

    /// Reads the path that begins here; returns how many tokens it took.
    fn read_path(&mut self, tokens: &[TokenTree], module: &[String]) -> usize {
        let (names, used) = path_names(tokens);
        let line = tokens[0].span().start().line;
        let branches = branches(tokens.get(used));
        let Some(base) = base_of(&names, module) else {
            let with_branches =
                branches.iter().map(|branch| [names.as_slice(), std::slice::from_ref(branch)].concat());
            let paths: Vec<Vec<String>> = with_branches.chain([names.clone()]).collect();
            for (kept, _) in KEPT_TO {
                if paths.iter().any(|path| starts_with_path(path, kept)) {
                    self.mention(line, kept);
                }
            }
            return used;
        };
        if base.is_root {
            let named = names.get(base.names_used).map_or(branches, |name| vec![name.clone()]);
            for name in named {
                self.mention(line, &name);
            }
        }
        used
    }

    fn mention(&mut self, line: usize, to: &str) {
        self.mentions.push(Mention {
            file: self.file.to_owned(),
            line,
            from: self.from.clone(),
            to: to.to_owned(),
        });
    }
}

/// Where the leading `crate`, `self` and `super` of a path lead.
struct Base {
    is_root: bool,
    names_used: usize,
}

fn base_of(names: &[String], module: &[String]) -> Option<Base> {
    let (mut depth, mut used) = match names[0].as_str() {
        "crate" => return Some(Base { is_root: true, names_used: 1 }),
        "self" => (module.len(), 1),
        "super" => (module.len(), 0),
        _ => return None,
    };
    while names.get(used).is_some_and(|name| name == "super") {
        depth = depth.saturating_sub(1);
        used += 1;
    }
    Some(Base { is_root: depth == 0, names_used: used })
}

/// `a::b::c` as names, and the number of tokens read, a last `::` before braces included.
fn path_names(tokens: &[TokenTree]) -> (Vec<String>, usize) {
    let mut names = Vec::new();
    let mut at = 0;
    while let Some(TokenTree::Ident(name)) = tokens.get(at) {
        names.push(name.to_string());
        at += 1;
        if !is_colon(tokens.get(at)) || !is_colon(tokens.get(at + 1)) {
            break;
        }
        at += 2;
    }
    (names, at.max(1))
}

/// The first name of every branch of `{a::b, c}`; none where there are no braces.
fn branches(token: Option<&TokenTree>) -> Vec<String> {
    let Some(TokenTree::Group(group)) = token else { return Vec::new() };
    if group.delimiter() != Delimiter::Brace {
        return Vec::new();
    }
    let tokens: Vec<TokenTree> = group.stream().into_iter().collect();
    tokens
        .split(|token| matches!(token, TokenTree::Punct(mark) if mark.as_char() == ','))
        .filter_map(|branch| match branch.first() {
            Some(TokenTree::Ident(name)) => Some(name.to_string()),
            _ => None,
        })
        .collect()
}

/// The name of an inline module whose braces come next.
fn declared_module(before: &[TokenTree]) -> Option<String> {
    match before {
        [.., TokenTree::Ident(word), TokenTree::Ident(name)] if word == "mod" => Some(name.to_string()),
        _ => None,
    }
}

fn is_colon(token: Option<&TokenTree>) -> bool {
    matches!(token, Some(TokenTree::Punct(mark)) if mark.as_char() == ':')
}

fn starts_with_path(names: &[String], path: &str) -> bool {
    path.split("::").enumerate().all(|(place, part)| names.get(place).is_some_and(|name| name == part))
}

/// The mentions in one source text; `file` is its path below `src/`, with `/`.
fn mentions(file: &str, text: &str) -> Vec<Mention> {
    let path = file.trim_end_matches(".rs").trim_end_matches("/mod");
    let module: Vec<String> = path.split('/').filter(|part| *part != "lib").map(str::to_owned).collect();
    let from = module.first().cloned().unwrap_or_default();
    let tokens: TokenStream = text.parse().unwrap_or_else(|error| panic!("{file}: {error}"));
    let mut reader = Reader { file, from, mentions: Vec::new() };
    reader.read(tokens, &module);
    reader.mentions
}

/// Every breach of the table, in words.
fn breaches(sources: &[(String, String)]) -> Vec<String> {
    let mentions: Vec<Mention> = sources.iter().flat_map(|(file, text)| mentions(file, text)).collect();
    let mut breaches: Vec<String> = mentions.iter().filter_map(breach).collect();
    breaches.extend(cycles(&mentions));
    breaches
}

fn breach(mention: &Mention) -> Option<String> {
    let Mention { file, line, from, to } = mention;
    if from.is_empty() || from == to {
        return None;
    }
    if let Some((_, allowed)) = KEPT_TO.iter().find(|(kept, _)| kept == to) {
        let refused = !allowed.contains(&from.as_str());
        return refused.then(|| format!("{file}:{line}: `{from}` may not say `{to}`"));
    }
    row_of(to)?;
    let Some(row) = row_of(from) else {
        return Some(format!("{file}:{line}: `{from}` is in no row of the table"));
    };
    let narrower = NARROWER.iter().find(|(path, _)| path == file);
    let allowed = match narrower {
        Some((_, uses)) => uses.contains(&to.as_str()),
        None => row.uses.contains(&to.as_str()) || row.modules.contains(&to.as_str()),
    };
    (!allowed).then(|| format!("{file}:{line}: `{from}` may not use `{to}`"))
}

fn row_of(module: &str) -> Option<&'static Row> {
    ROWS.iter().find(|row| row.modules.contains(&module))
}

/// Modules that lead back to themselves, each once.
fn cycles(mentions: &[Mention]) -> Vec<String> {
    let mut uses: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for mention in
        mentions.iter().filter(|mention| row_of(&mention.to).is_some() && mention.from != mention.to)
    {
        uses.entry(&mention.from).or_default().insert(&mention.to);
    }
    uses.keys()
        .filter(|module| reaches_itself(&uses, module))
        .map(|module| format!("`{module}` uses itself"))
        .collect()
}

fn reaches_itself(uses: &BTreeMap<&str, BTreeSet<&str>>, module: &str) -> bool {
    let mut seen = BTreeSet::new();
    let mut next = vec![module];
    while let Some(here) = next.pop() {
        for &there in uses.get(here).into_iter().flatten() {
            if there == module {
                return true;
            }
            if seen.insert(there) {
                next.push(there);
            }
        }
    }
    false
}

/// The library's sources (the binary in `src/bin` may use everything and is used by nothing).
fn library_sources() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut sources = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        let entries = fs::read_dir(&folder).expect("src can be listed");
        let mut paths: Vec<PathBuf> =
            entries.map(|entry| entry.expect("an entry can be read").path()).collect();
        paths.sort();
        for path in paths {
            let name = path.strip_prefix(&root).expect("below src").to_string_lossy().replace('\\', "/");
            if path.is_dir() && name != "bin" {
                folders.push(path);
            } else if name.ends_with(".rs") {
                sources.push((name, fs::read_to_string(&path).expect("a source is text")));
            }
        }
    }
    sources
}

#[test]
fn the_library_keeps_to_the_table() {
    let sources = library_sources();
    assert!(sources.iter().any(|(file, _)| file == "units.rs"), "the sources were not found");
    let breaches = breaches(&sources);
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
}

#[test]
fn every_module_of_the_library_is_in_the_table() {
    let modules: BTreeSet<String> = library_sources()
        .into_iter()
        .filter(|(file, _)| file != "lib.rs")
        .map(|(file, _)| file.trim_end_matches(".rs").split('/').next().unwrap_or_default().to_owned())
        .collect();
    let strangers: Vec<&String> = modules.iter().filter(|module| row_of(module).is_none()).collect();
    assert!(strangers.is_empty(), "in no row: {strangers:?}");
}

#[track_caller]
fn check(sources: &[(&str, &str)], expected: &[&str]) {
    let sources: Vec<_> =
        sources.iter().map(|(file, text)| ((*file).to_owned(), (*text).to_owned())).collect();
    assert_eq!(breaches(&sources), expected);
}

#[test]
fn a_path_against_the_arrows_is_found() {
    let found = ["theory/key.rs:2: `theory` may not use `desk`"];
    check(&[("theory/key.rs", "use crate::units::Ticks;\nuse crate::desk::Desk;")], &found);
    check(&[("theory/key.rs", "\nuse super::super::desk::Desk;")], &found);
    check(&[("theory/key.rs", "\nfn f() { self::super::super::desk::g() }")], &found);
    check(&[("theory/key.rs", "\nfn f() { format!(\"{}\", crate::desk::g()) }")], &found);
    check(&[("theory/key.rs", "\nuse crate::{units, desk::{self, Desk}};")], &found);
    check(&[("theory/key.rs", "\nmod tests { use super::super::super::desk::Desk; }")], &found);
    check(&[("theory/mod.rs", "use super::{riff};")], &["theory/mod.rs:1: `theory` may not use `riff`"]);
}

#[test]
fn a_path_along_the_arrows_passes() {
    check(&[("desk/mod.rs", "use crate::{units, riff::Riff};\nuse super::notebook::Book;")], &[]);
    check(
        &[("theory/key.rs", "use super::pitch;\nmod tests { use super::*; use super::super::pitch; }")],
        &[],
    );
    check(
        &[("theory/key.rs", "// crate::desk\n/// See [`crate::desk`].\nconst A: &str = \"crate::desk\";")],
        &[],
    );
}

#[test]
fn neighbours_may_know_each_other_but_not_in_a_circle() {
    check(&[("form/mod.rs", "use crate::riff::Riff;")], &[]);
    check(
        &[("form/mod.rs", "use crate::riff::Riff;"), ("riff/mod.rs", "use crate::form::Form;")],
        &["`form` uses itself", "`riff` uses itself"],
    );
}

#[test]
fn the_core_has_no_browser_clock_or_log() {
    check(&[("units.rs", "use std::time::Instant;")], &["units.rs:1: `units` may not say `std::time`"]);
    check(&[("units.rs", "use std::{fmt, fs::File};")], &["units.rs:1: `units` may not say `std::fs`"]);
    check(&[("riff/mod.rs", "fn f() { println!(\"x\") }")], &["riff/mod.rs:1: `riff` may not say `println`"]);
    check(&[("view/mod.rs", "use web_sys::Window;")], &["view/mod.rs:1: `view` may not say `web_sys`"]);
    check(&[("web/mod.rs", "use web_sys::Window;\nuse std::fmt;")], &[]);
}

#[test]
fn a_file_may_be_held_to_less_than_its_module() {
    check(&[("files/midi.rs", "use crate::riff::Riff;")], &[]);
    check(&[("files/wav.rs", "use crate::riff::Riff;")], &["files/wav.rs:1: `files` may not use `riff`"]);
}
