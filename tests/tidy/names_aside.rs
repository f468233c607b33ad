//! Whether templates set people's names apart in `bdi`, so that a name written from right to left turns no telephone number and
//! no weight beside it round.

use super::files;

/// Last words of expressions that print a person's name.
const NAMES: [&str; 10] = [
    "name",
    "who",
    "by",
    "signed",
    "whose",
    "cook",
    "signed_in",
    "member",
    "by_name",
    "owner",
];
/// Elements that hold bare text only.
const BARE: [&str; 3] = ["option", "title", "textarea"];

/// Expressions that print a name in a template's text outside `bdi`, one for each.
fn outside(template: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut seen = String::new();
    let mut rest = template;
    let mut in_tag = false;
    while let Some(c) = rest.chars().next() {
        let close = [("{{", "}}"), ("{%", "%}"), ("{#", "#}")]
            .into_iter()
            .find(|(open, _)| rest.starts_with(open))
            .map(|(_, close)| close);
        let length = match close {
            Some(close) => rest.find(close).map_or(rest.len(), |at| at + 2),
            None => c.len_utf8(),
        };
        let (piece, tail) = rest.split_at(length);
        if close == Some("}}") && !in_tag && names(piece) && !aside(&seen) {
            found.push(piece.to_owned());
        }
        if close.is_none() {
            let opens =
                c == '<' && tail.starts_with(|n: char| n.is_alphabetic() || "/!".contains(n));
            in_tag = (in_tag || opens) && c != '>';
        }
        seen.push_str(piece);
        rest = tail;
    }
    found
}

fn names(expression: &str) -> bool {
    let path = expression.trim_matches(['{', '}']).trim();
    let plain = path
        .chars()
        .all(|c| c.is_ascii_lowercase() || "._".contains(c));
    plain
        && path
            .rsplit('.')
            .next()
            .is_some_and(|last| NAMES.contains(&last))
}

fn aside(before: &str) -> bool {
    let within = |tag: &str| before.rfind(&format!("<{tag}")) > before.rfind(&format!("</{tag}"));
    before.ends_with("<bdi>") || BARE.iter().any(|tag| within(tag))
}

#[test]
fn a_name_outside_bdi_is_found() {
    assert_eq!(outside("<p>{{ row.who }}</p>"), ["{{ row.who }}"]);
    for fine in [
        "<p><bdi>{{ row.who }}</bdi></p>",
        "<a title=\"{{ name }}\">x</a>",
        "<option>{{ name }}</option>",
        "<p>{{ row.number }}</p>",
    ] {
        assert!(outside(fine).is_empty(), "{fine}");
    }
}

#[test]
fn names_of_people_stand_in_bdi() {
    let mut all = Vec::new();
    for path in files("templates", ".html") {
        let text = std::fs::read_to_string(&path).unwrap();
        // The parts of forms have labels and boxes by name, no people.
        if path.components().all(|part| part.as_os_str() != "parts") {
            let found = outside(&text);
            all.extend(
                found
                    .into_iter()
                    .map(|name| format!("{}: {name}", path.display())),
            );
        }
    }
    assert!(all.is_empty(), "{all:#?}");
}
