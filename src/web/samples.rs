//! Renders every view from its samples, the awkward ones included, and looks the pages over: each
//! box has a label, ids do not repeat, nothing leaks through that was meant for programmers.

use super::{home, rows};
use crate::web::boil::{additions, boils, empty_jars, jar_checks, pans, pooling, probes};
use crate::web::cane::{day_figures, juice, mill, morning, tags, tickets};
use crate::web::people::{
    accounts, calendar, forgetting, household, members, notices, second_factor, sessions, stations,
};
use crate::web::season::{
    plantings, proposal, rules_days, season_close, season_plan, seasons, what_if,
};
use crate::web::shares::{
    divisions, hand_overs, history, holds, labels, ledger, looks, my_lot, recalls, restored,
    season_picture, shelf, statements, trace,
};
use crate::web::turns::{day_changes, day_line, possible_days, press_days, roster, turn, waiting};
use std::collections::HashSet;

fn all() -> Vec<String> {
    let mut views = Vec::new();
    views.extend(accounts::samples());
    views.extend(boils::samples());
    views.extend(turn::samples());
    views.extend(calendar::samples());
    views.extend(day_changes::samples());
    views.extend(tickets::samples());
    views.extend(tags::samples());
    views.extend(day_figures::samples());
    views.extend(pooling::samples());
    views.extend(hand_overs::samples());
    views.extend(history::samples());
    views.extend(restored::samples());
    views.extend(home::samples());
    views.extend(rows::samples());
    views.extend(juice::samples());
    views.extend(ledger::samples());
    views.extend(labels::samples());
    views.extend(members::samples());
    views.extend(household::samples());
    views.extend(forgetting::samples());
    views.extend(notices::samples());
    views.extend(second_factor::samples());
    views.extend(sessions::samples());
    views.extend(stations::samples());
    views.extend(pans::samples());
    views.extend(probes::samples());
    views.extend(plantings::samples());
    views.extend(morning::samples());
    views.extend(additions::samples());
    views.extend(rules_days::samples());
    views.extend(season_close::samples());
    views.extend(waiting::samples());
    views.extend(what_if::samples());
    views.extend(seasons::samples());
    views.extend(season_plan::samples());
    views.extend(proposal::samples());
    views.extend(mill::samples());
    views.extend(divisions::samples());
    views.extend(my_lot::samples());
    views.extend(statements::samples());
    views.extend(season_picture::samples());
    views.extend(trace::samples());
    views.extend(recalls::samples());
    views.extend(shelf::samples());
    views.extend(crate::web::help::samples());
    views.extend(looks::samples());
    views.extend(looks::colours::samples());
    views.extend(empty_jars::samples());
    views.extend(jar_checks::samples());
    views.extend(holds::samples());
    views.extend(possible_days::samples());
    views.extend(press_days::samples());
    views.extend(roster::samples());
    views.extend(day_line::samples());
    views
        .iter()
        .map(|view| view.dyn_render().unwrap())
        .collect()
}

/// The values of an attribute, in the order of the page.
fn attribute<'a>(page: &'a str, name: &str) -> Vec<&'a str> {
    let mark = format!(" {name}=\"");
    page.split(mark.as_str())
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .collect()
}

/// The opening tags of an element.
fn tags<'a>(page: &'a str, element: &str) -> Vec<&'a str> {
    let mark = format!("<{element} ");
    page.split(mark.as_str())
        .skip(1)
        .filter_map(|rest| rest.split('>').next())
        .collect()
}

#[test]
fn ids_do_not_repeat_and_every_box_has_a_label() {
    for page in all() {
        let mut seen = HashSet::new();
        for id in attribute(&page, "id") {
            assert!(seen.insert(id), "id {id} twice on {page}");
        }
        let labelled: HashSet<&str> = attribute(&page, "for").into_iter().collect();
        for element in ["input", "select", "textarea"] {
            for tag in tags(&page, element) {
                if tag.contains("type=\"hidden\"") {
                    continue;
                }
                let tag = format!(" {tag}");
                let id = attribute(&tag, "id");
                let named = id.first().is_some_and(|id| labelled.contains(id))
                    || tag.contains("aria-label=");
                assert!(named, "<{element}{tag}> has no label on {page}");
            }
        }
        for described in attribute(&page, "aria-describedby")
            .iter()
            .flat_map(|d| d.split_whitespace())
        {
            assert!(
                seen.contains(described),
                "{described} describes nothing on {page}"
            );
        }
    }
}

/// The text of a page outside links that dial or write a message, and outside what is not shown.
fn not_dialled(page: &str) -> String {
    let (mut text, mut dials) = (String::new(), false);
    for piece in page.split('<').skip(1) {
        let (tag, words) = piece.split_once('>').unwrap_or((piece, ""));
        if tag.starts_with("a ") {
            dials = tag.contains("href=\"tel:") || tag.contains("href=\"sms:");
        } else if tag == "/a" {
            dials = false;
        }
        if !dials {
            text.push_str(words);
            text.push('\n');
        }
    }
    text
}

#[test]
fn every_telephone_number_can_be_dialled_where_it_stands() {
    let (mut dialled, mut papers) = (0, 0);
    for page in all() {
        for link in page.split("href=\"tel:").skip(1) {
            let number = link.split('"').next().unwrap_or_default();
            // RFC 3966, section 3: digits and visual separators, no spaces.
            let fits = |c: char| c.is_ascii_digit() || "+-.()".contains(c);
            assert!(
                !number.is_empty() && number.chars().all(fits),
                "tel:{number}"
            );
            dialled += 1;
        }
        // The leaves for the clipboard are paper: nothing on them is tapped.
        if page.contains("Print it the evening before") {
            papers += 1;
            continue;
        }
        let text = not_dialled(&page);
        for number in ["555 01", "555-01"] {
            let shown = text.find(number).map(|at| &text[at.saturating_sub(80)..]);
            assert!(shown.is_none(), "a number that is not dialled: {shown:?}");
        }
    }
    assert!(dialled > 20, "{dialled}");
    assert!((1..=4).contains(&papers), "{papers} papers");
}

#[test]
fn no_page_shows_what_was_meant_for_programmers() {
    for page in all() {
        for word in [
            "NaN",
            "Some(",
            "None<",
            "Grams(",
            "Millilitres(",
            "Cents(",
            "Celsius(",
            "-0.0",
            "inf ",
        ] {
            assert!(!page.contains(word), "{word} on {page}");
        }
        let long_fraction = page
            .split('.')
            .skip(1)
            .any(|rest| rest.chars().take_while(char::is_ascii_digit).count() > 8);
        assert!(!long_fraction, "a raw float on {page}");
        assert!(
            !page.contains(" style=") && !page.contains(" onclick=") && !page.contains("<script>"),
            "{page}"
        );
    }
}
