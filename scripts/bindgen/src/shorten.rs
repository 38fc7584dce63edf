//! Gives short names to what the module imports from its glue. The generated ones end in sixteen digits each, which
//! stand in both files and do not pack.

use std::collections::BTreeMap;

/// How the generated names begin, and how many hexadecimal digits they end in.
const BEGIN: &str = "__wbg_";
const DIGITS: usize = 16;
/// The import section (WebAssembly core specification, 5.5.5).
const IMPORTS: u8 = 2;

/// The glue and the module with short names.
pub fn shorten(glue: &str, module: &[u8]) -> (String, Vec<u8>) {
    let mut names = BTreeMap::new();
    let mut text = String::with_capacity(glue.len());
    let mut rest = glue;
    while let Some(at) = rest.find(BEGIN) {
        let (before, from) = rest.split_at(at);
        let is_part = |c: char| c.is_ascii_alphanumeric() || c == '_';
        let (name, after) = from.split_at(from.find(|c| !is_part(c)).unwrap_or(from.len()));
        text += before;
        if is_numbered(name) {
            let next = format!("i{}", names.len());
            text += names.entry(name).or_insert(next);
        } else {
            text += name;
        }
        rest = after;
    }
    text += rest;
    (text, renamed(module, &names))
}

fn is_numbered(name: &str) -> bool {
    let digits = name.rsplit('_').next().unwrap_or_default();
    digits.len() == DIGITS && digits.bytes().all(|byte| byte.is_ascii_hexdigit())
}

/// The module with other names for its imports.
fn renamed(module: &[u8], names: &BTreeMap<&str, String>) -> Vec<u8> {
    let (head, mut rest) = module.split_at(8);
    let mut out = head.to_vec();
    while let Some((&id, after)) = rest.split_first() {
        let (content, after) = counted(after);
        let content = if id == IMPORTS { renamed_imports(content, names) } else { content.to_vec() };
        out.push(id);
        write(&mut out, &content);
        rest = after;
    }
    out
}

fn renamed_imports(section: &[u8], names: &BTreeMap<&str, String>) -> Vec<u8> {
    let (count, mut rest) = number(section);
    let mut out = Vec::new();
    write_number(&mut out, count);
    for _ in 0..count {
        let (from, after) = counted(rest);
        let (name, after) = counted(after);
        let known = std::str::from_utf8(name).ok().and_then(|name| names.get(name));
        write(&mut out, from);
        write(&mut out, known.map_or(name, |name| name.as_bytes()));
        let length = description(after);
        out.extend(&after[..length]);
        rest = &after[length..];
    }
    out
}

/// How many bytes the description of an import takes: a function, a table, a memory or a global.
fn description(bytes: &[u8]) -> usize {
    let end = |from: usize| bytes.len() - number(&bytes[from..]).1.len();
    let limits = |from: usize| {
        let least = end(from + 1);
        if bytes[from] & 1 == 1 { end(least) } else { least }
    };
    match bytes[0] {
        0 => end(1),
        1 => limits(2),
        2 => limits(1),
        _ => 3,
    }
}

/// Bytes with their number before them, and what follows.
fn counted(bytes: &[u8]) -> (&[u8], &[u8]) {
    let (length, rest) = number(bytes);
    rest.split_at(length)
}

/// An unsigned number in LEB128, and what follows.
fn number(bytes: &[u8]) -> (usize, &[u8]) {
    let mut value = 0;
    for (place, byte) in bytes.iter().enumerate() {
        value |= usize::from(byte & 127) << (7 * place);
        if byte & 128 == 0 {
            return (value, &bytes[place + 1..]);
        }
    }
    (value, &[])
}

fn write(out: &mut Vec<u8>, bytes: &[u8]) {
    write_number(out, bytes.len());
    out.extend(bytes);
}

fn write_number(out: &mut Vec<u8>, mut value: usize) {
    while value > 127 {
        out.push((value & 127) as u8 | 128);
        value >>= 7;
    }
    out.push(value as u8);
}
