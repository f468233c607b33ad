//! What is wrong with a form, summed up above it: each line of the summary leads to its box, and begins with what
//! that box is called, which only the page says, further down. What a tick box is called is the answer to its line, and does
//! not stand before it.

use std::fmt::Write as _;

/// What a line of the summary begins with, up to the name of its box.
const LINE: &str = "<li><a href=\"#f-";

/// A page with the names of the boxes in its summary; what has no name stays as it is.
pub(super) fn named(page: String) -> String {
    if !page.contains(LINE) {
        return page;
    }
    let mut out = String::with_capacity(page.len() + 256);
    let mut rest = page.as_str();
    while let Some(at) = rest.find(LINE) {
        let (before, line) = rest.split_at(at + LINE.len());
        out.push_str(before);
        let Some((name, problem)) = line.split_once("\">") else {
            rest = line;
            break;
        };
        let _ = write!(out, "{name}\">");
        if let Some(label) = label(&page, name).filter(|_| !begins_with_question(problem)) {
            let _ = write!(out, "{label}: ");
        }
        rest = problem;
    }
    out.push_str(rest);
    out
}

/// Whether a line begins with a question in words, like "The same juice?": it is asked of the whole form.
fn begins_with_question(line: &str) -> bool {
    let mut chars = line.chars().peekable();
    if !chars.peek().is_some_and(|c| c.is_alphabetic()) {
        return false;
    }
    while let Some(c) = chars.next() {
        let ends = chars.peek().is_none_or(|next| matches!(next, ' ' | '<'));
        match c {
            '?' if ends => return true,
            '.' | ':' | ';' if ends => return false,
            '<' => return false,
            _ => {}
        }
    }
    false
}

/// What a box, or a group of choices, is called on the page, without marks of its own.
fn label(page: &str, name: &str) -> Option<String> {
    if page.contains(&format!("<input type=\"checkbox\" id=\"f-{name}\"")) {
        return None;
    }
    let of_box = format!("<label for=\"f-{name}\">");
    let of_group = format!("id=\"f-{name}\"><legend>");
    let (label, end) = match page.split_once(&of_box) {
        Some((_, label)) => (label, "</label>"),
        None => (page.split_once(&of_group)?.1, "</legend>"),
    };
    let (label, _) = label.split_once(end)?;
    let mut bare = String::new();
    for piece in label.split('<') {
        let text = piece.split_once('>').map_or(piece, |(_, text)| text);
        bare.push_str(text);
    }
    let bare = bare.trim().trim_end_matches([':', '.', '?']);
    (!bare.is_empty()).then(|| bare.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_line_of_the_summary_begins_with_what_its_box_is_called() {
        let page = "<ul><li><a href=\"#f-gross\">“abc” is not a number.</a></li><li><a href=\"#f-tare\">“abc” is not a number.</a></li>\
                    <li><a href=\"#f-way\">Please choose.</a></li><li><a href=\"#f-gone\">Please choose.</a></li>\
                    <li><a href=\"#f-another\">The same load?</a></li>\
                    <li><a href=\"#f-tare\">The same juice? Delia measured 41.5 lb.</a></li>\
                    <li><a href=\"#f-tare\">214.2, really?</a></li></ul>\
                    <label for=\"f-gross\">Gross, <bdi>&#60;Ann&#62;</bdi>:</label><label for=\"f-tare\">Tare</label>\
                    <fieldset class=\"pick\" id=\"f-way\"><legend>Which way?</legend>\
                    <input type=\"checkbox\" id=\"f-another\" name=\"another\"><label for=\"f-another\">It is another load</label>";
        let named = named(page.to_owned());
        for line in [
            "#f-gross\">Gross, &#60;Ann&#62;: “abc” is not a number.</a>",
            "#f-tare\">Tare: “abc” is not a number.</a>",
            "#f-way\">Which way: Please choose.</a>",
            "#f-gone\">Please choose.</a>",
            "#f-another\">The same load?</a>",
            "#f-tare\">The same juice? Delia measured 41.5 lb.</a>",
            "#f-tare\">Tare: 214.2, really?</a>",
        ] {
            assert!(named.contains(line), "{line} is not in {named}");
        }
        let (_, below) = page.split_once("</ul>").unwrap();
        assert!(named.ends_with(below), "nothing below the summary changes");
    }

    #[test]
    fn a_page_without_a_summary_stays_as_it_is() {
        let page = "<p><a href=\"#f-gross\">Gross</a></p><label for=\"f-gross\">Gross</label>";
        assert_eq!(named(page.to_owned()), page);
    }
}
