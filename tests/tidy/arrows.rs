//! Who takes from whom: the arrows between the files of `src`, read from their paths. Re-exports are
//! followed to where a thing is defined; code that only tests see is left out.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// The files and arrows of the house.
pub struct House {
    /// Module path (`web::turns::turn`) to file, from `src/`.
    pub files: BTreeMap<String, String>,
    /// From module to module: who takes from whom.
    pub arrows: BTreeMap<String, BTreeSet<String>>,
}

/// The code of a file without comments, without the content of strings, and without its tests.
fn bare(text: &str) -> String {
    let mut out = String::new();
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '/' if chars.peek() == Some(&'/') => {
                while chars.peek().is_some_and(|c| *c != '\n') {
                    chars.next();
                }
            }
            '"' => {
                out.push('"');
                while let Some(c) = chars.next() {
                    match c {
                        '\\' => {
                            chars.next();
                        }
                        '"' => break,
                        _ => {}
                    }
                }
                out.push('"');
            }
            // A character such as '"' is not the start of a string; a lifetime has no closing quote.
            '\'' => {
                let ahead: Vec<char> = chars.clone().take(3).collect();
                match ahead.as_slice() {
                    ['\\', _, '\''] => {
                        chars.nth(2);
                    }
                    [_, '\'', ..] => {
                        chars.nth(1);
                    }
                    _ => {}
                }
            }
            _ => out.push(c),
        }
    }
    match out.find("#[cfg(test)]\nmod tests {") {
        Some(at) => out[..at].to_owned(),
        None => out,
    }
}

/// All names under a `use`, spelled out: `a::{b, c::{self, D}}` is `a::b`, `a::c`, `a::c::D`.
fn spelled_out(tree: &str, before: &str, out: &mut Vec<String>) {
    let tree = tree.trim();
    let join = |name: &str| match (before.is_empty(), name) {
        (_, "self") => before.to_owned(),
        (true, name) => name.to_owned(),
        (false, name) => format!("{before}::{name}"),
    };
    let Some(open) = tree.find('{') else {
        let name = tree.split(" as ").next().unwrap_or_default().trim();
        if !name.is_empty() {
            out.push(join(name));
        }
        return;
    };
    let head = join(tree[..open].trim().trim_end_matches("::"));
    let inside = &tree[open + 1..tree.rfind('}').unwrap_or(tree.len())];
    let (mut depth, mut from) = (0, 0);
    for (at, c) in inside.char_indices() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                spelled_out(&inside[from..at], &head, out);
                from = at + 1;
            }
            _ => {}
        }
    }
    spelled_out(&inside[from..], &head, out);
}

/// The statements `use …;` of a file: whether public, and what they name. Those for tests are left out.
fn uses(code: &str) -> Vec<(bool, Vec<String>)> {
    let mut out = Vec::new();
    let mut rest = code;
    let mut before = String::new();
    while let Some(end) = rest.find(';') {
        let statement = &rest[..end];
        let line = statement.rfind("use ").filter(|at| {
            let head = statement[..*at].trim_end();
            head.is_empty()
                || head.ends_with(['}', ';', ']', '{'])
                || head.ends_with("pub")
                || head.ends_with(')')
                    && head
                        .rsplit('\n')
                        .next()
                        .is_some_and(|l| l.trim().starts_with("pub("))
        });
        if let Some(at) = line {
            let head = &statement[..at];
            let last = head
                .trim_end()
                .rsplit('\n')
                .next()
                .unwrap_or_default()
                .trim();
            let public = last.starts_with("pub");
            let attribute = if public {
                head.trim_end().rsplit('\n').nth(1).unwrap_or_default()
            } else {
                last
            };
            if !attribute.contains("cfg(test)") {
                let mut names = Vec::new();
                spelled_out(&statement[at + 4..], "", &mut names);
                out.push((public, names));
            }
        }
        before.push_str(&rest[..=end]);
        rest = &rest[end + 1..];
    }
    out
}

/// Paths that stand in the code itself: `crate::a::b`, `super::c`, and `child::d` of its own children.
fn inline(code: &str, children: &BTreeSet<String>) -> Vec<String> {
    let mut out = Vec::new();
    let mut word = String::new();
    for c in code.chars().chain(std::iter::once(' ')) {
        if c.is_alphanumeric() || c == '_' || c == ':' {
            word.push(c);
            continue;
        }
        let path = word.trim_matches(':');
        let first = path.split("::").next().unwrap_or_default();
        if path.contains("::") && (first == "crate" || first == "super" || children.contains(first))
        {
            out.push(path.to_owned());
        }
        word.clear();
    }
    out
}

fn modules(src: &Path) -> BTreeMap<String, String> {
    fn walk(folder: &Path, src: &Path, out: &mut BTreeMap<String, String>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, src, out);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let file = path
                    .strip_prefix(src)
                    .unwrap()
                    .to_string_lossy()
                    .replace('\\', "/");
                let module = file
                    .trim_end_matches(".rs")
                    .trim_end_matches("/mod")
                    .replace('/', "::");
                if module != "lib" && module != "main" {
                    out.insert(module, file);
                }
            }
        }
    }
    let mut out = BTreeMap::new();
    walk(src, src, &mut out);
    out
}

/// Names of files that are declared for tests only.
fn for_tests_only(texts: &BTreeMap<String, String>) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for text in texts.values() {
        for after in text.split("#[cfg(test)]\n").skip(1) {
            let declared = after.split(';').next().unwrap_or_default();
            let lines = declared.trim().lines().count();
            if let Some(at) = declared.rfind("mod ").filter(|_| lines <= 2) {
                out.insert(declared[at + 4..].trim().to_owned());
                if let Some(file) = declared.split('"').nth(1) {
                    out.insert(file.trim_end_matches(".rs").to_owned());
                }
            }
        }
    }
    out
}

/// Where a path that stands in `module` leads, from `src/`; nothing for other crates' paths.
fn whole(path: &str, module: &str, children: &BTreeSet<String>) -> Option<String> {
    let mut at: Vec<&str> = module.split("::").collect();
    let mut parts = path.split("::").peekable();
    match parts.peek().copied()? {
        "crate" => {
            at.clear();
            parts.next();
        }
        "super" => {
            while parts.peek() == Some(&"super") {
                at.pop();
                parts.next();
            }
        }
        "self" => {
            parts.next();
        }
        first if children.contains(first) => {}
        _ => return None,
    }
    at.extend(parts);
    Some(at.join("::"))
}

/// The file that defines what a whole path names; `handed_on` says what re-exports stand for.
fn defined_in(
    path: &str,
    files: &BTreeMap<String, String>,
    handed_on: &BTreeMap<String, String>,
) -> Option<String> {
    let mut path = path.to_owned();
    for _ in 0..4 {
        let ends = path
            .match_indices("::")
            .map(|(at, _)| at)
            .chain([path.len()]);
        let found = ends
            .filter_map(|end| handed_on.get(&path[..end]).map(|to| (end, to)))
            .find(|(end, to)| !to.starts_with(&format!("{}::", &path[..*end])));
        let Some((end, to)) = found else { break };
        path = format!("{to}{}", &path[end..]);
    }
    let mut parts: Vec<&str> = path.split("::").collect();
    while !parts.is_empty() {
        let module = parts.join("::");
        if files.contains_key(&module) {
            return Some(module);
        }
        parts.pop();
    }
    None
}

/// The files directly under a module.
fn children(module: &str, files: &BTreeMap<String, String>) -> BTreeSet<String> {
    let head = format!("{module}::");
    files
        .keys()
        .filter_map(|m| m.strip_prefix(&head))
        .filter(|rest| !rest.contains("::"))
        .map(str::to_owned)
        .collect()
}

/// All paths that a file takes something by, apart from what it hands on.
fn paths_of(code: &str, children: &BTreeSet<String>) -> Vec<String> {
    let mut paths: Vec<String> = uses(code)
        .into_iter()
        .filter(|(public, _)| !public)
        .flat_map(|(_, names)| names)
        .collect();
    let handed = |line: &&str| {
        let line = line.trim_start();
        !line.starts_with("pub use ") && !line.starts_with("pub(in")
    };
    let rest: Vec<&str> = code.lines().filter(handed).collect();
    paths.extend(inline(&rest.join("\n"), children));
    paths
}

impl House {
    /// Reads the house under `src`.
    pub fn read(src: &Path) -> Self {
        let all = modules(src);
        let texts: BTreeMap<String, String> = all
            .iter()
            .map(|(module, file)| (module.clone(), fs::read_to_string(src.join(file)).unwrap()))
            .collect();
        let only_tests = for_tests_only(&texts);
        let files: BTreeMap<String, String> = all
            .into_iter()
            .filter(|(module, _)| {
                let name = module.rsplit("::").next().unwrap_or_default();
                !only_tests.contains(name) && !name.ends_with("_sim")
            })
            .collect();
        let codes: Vec<(&String, String, BTreeSet<String>)> = files
            .keys()
            .map(|module| (module, bare(&texts[module]), children(module, &files)))
            .collect();
        // What a `pub use` hands on under another name.
        let mut handed_on: BTreeMap<String, String> = BTreeMap::new();
        for (module, code, below) in &codes {
            for (_, names) in uses(code).into_iter().filter(|(public, _)| *public) {
                for name in names {
                    if let (Some(to), Some(last)) =
                        (whole(&name, module, below), name.rsplit("::").next())
                    {
                        handed_on.insert(format!("{module}::{last}"), to);
                    }
                }
            }
        }
        let mut arrows: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for (module, code, below) in &codes {
            let to = arrows.entry((*module).clone()).or_default();
            for path in paths_of(code, below) {
                let target = whole(&path, module, below)
                    .and_then(|p| defined_in(&p, &files, &handed_on))
                    .filter(|target| target != *module);
                to.extend(target);
            }
        }
        Self { files, arrows }
    }

    /// The arrows between themes of a floor, with how many files' arrows each is made of.
    pub fn between_themes(&self, floor: &str) -> BTreeMap<(String, String), usize> {
        let theme = |module: &str| -> Option<String> {
            let mut parts = module.split("::");
            (parts.next() == Some(floor))
                .then(|| parts.next().map(str::to_owned))
                .flatten()
        };
        let mut out = BTreeMap::new();
        for (from, to) in &self.arrows {
            for target in to {
                if let (Some(a), Some(b)) = (theme(from), theme(target))
                    && a != b
                    && super::THEMES.contains(&a.as_str())
                    && super::THEMES.contains(&b.as_str())
                {
                    *out.entry((a, b)).or_insert(0) += 1;
                }
            }
        }
        out
    }
}

/// A circle among arrows, if there is one: each takes from the next, the last from the first.
pub fn circle(arrows: &BTreeMap<String, BTreeSet<String>>) -> Option<Vec<String>> {
    fn visit<'a>(
        at: &'a String,
        arrows: &'a BTreeMap<String, BTreeSet<String>>,
        way: &mut Vec<&'a String>,
        done: &mut BTreeSet<&'a String>,
    ) -> Option<Vec<String>> {
        if let Some(from) = way.iter().position(|w| *w == at) {
            return Some(way[from..].iter().map(|s| (*s).clone()).collect());
        }
        if !done.insert(at) {
            return None;
        }
        way.push(at);
        for to in arrows.get(at).into_iter().flatten() {
            if let Some(found) = visit(to, arrows, way, done) {
                return Some(found);
            }
        }
        way.pop();
        None
    }
    let mut done = BTreeSet::new();
    arrows
        .keys()
        .find_map(|at| visit(at, arrows, &mut Vec::new(), &mut done))
}

#[test]
fn a_planted_circle_is_found_and_a_ladder_is_none() {
    let of = |pairs: &[(&str, &str)]| {
        let mut arrows: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for (a, b) in pairs {
            arrows
                .entry((*a).to_owned())
                .or_default()
                .insert((*b).to_owned());
        }
        arrows
    };
    assert_eq!(circle(&of(&[("a", "b"), ("b", "c"), ("a", "c")])), None);
    let found = circle(&of(&[("a", "b"), ("b", "c"), ("c", "d"), ("d", "b")])).unwrap();
    assert_eq!(found, ["b", "c", "d"]);
}

#[test]
fn names_under_a_use_are_spelled_out_and_strings_are_not_read() {
    let mut names = Vec::new();
    spelled_out("crate::a::{self, b::{C, D as E}, f}", "", &mut names);
    assert_eq!(
        names,
        [
            "crate::a",
            "crate::a::b::C",
            "crate::a::b::D",
            "crate::a::f"
        ]
    );
    let code = bare(
        "use x::y; // crate::no\nlet s = \"crate::no \\\" more\"; let c = '\"'; crate::yes::it();",
    );
    assert!(!code.contains("no"), "{code}");
    assert_eq!(inline(&code, &BTreeSet::new()), ["crate::yes::it"]);
    let found = uses("#[cfg(test)]\npub use a::b;\npub(in crate::web) use c::d;\nuse e::f;\n");
    assert_eq!(
        found,
        [
            (true, vec!["c::d".to_owned()]),
            (false, vec!["e::f".to_owned()])
        ]
    );
}
