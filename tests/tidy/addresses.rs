//! Addresses stand under the themes of the pages that answer them: in the table of addresses and in `web/paths`.

use super::{THEMES, root};
use std::collections::BTreeMap;
use std::fs;

/// The theme of each room of pages, by the name that `routes.rs` uses for it.
fn theme_of_rooms(routes: &str) -> BTreeMap<String, &'static str> {
    let mut rooms = BTreeMap::new();
    for theme in THEMES {
        let Some((_, rest)) = routes.split_once(&format!("use crate::web::{theme}::{{")) else {
            continue;
        };
        let (names, _) = rest.split_once("};").unwrap();
        for name in names.split(',').map(str::trim).filter(|n| !n.is_empty()) {
            let called = name.rsplit(" as ").next().unwrap();
            let called = called.rsplit("::").next().unwrap();
            rooms.insert(called.to_owned(), theme);
        }
    }
    rooms
}

/// The lines of the table's part for a theme: the address's name, and the room of who answers.
fn lines_of<'a>(routes: &'a str, theme: &str) -> Vec<(&'a str, &'a str)> {
    let begin = format!("\nfn {theme}() -> Vec<");
    let (_, rest) = routes.split_once(&begin).unwrap();
    let (part, _) = rest.split_once("\n}").unwrap();
    part.lines()
        .filter_map(|line| {
            let (_, after) = line.split_once("(paths::")?;
            let (name, _) = after.split_once(',')?;
            let answer = line.split("get(").nth(1);
            let answer = answer.or_else(|| line.split("post(").nth(1))?;
            Some((name, answer.split("::").next()?))
        })
        .collect()
}

/// What is wrong with a table of addresses and the files of its names.
fn amiss(routes: &str, named: impl Fn(&str, &str) -> bool) -> Vec<String> {
    let rooms = theme_of_rooms(routes);
    let with_pages = THEMES.iter().filter(|t| rooms.values().any(|r| r == *t));
    let mut wrong = Vec::new();
    for theme in with_pages {
        for (name, room) in lines_of(routes, theme) {
            if let Some(of) = rooms.get(room).filter(|of| *of != theme) {
                wrong.push(format!("{name} stands under {theme}, its page is of {of}"));
            }
            if !named(theme, name) {
                wrong.push(format!("{name} is not named in web/paths/{theme}.rs"));
            }
        }
    }
    wrong
}

#[test]
fn addresses_stand_under_the_theme_of_their_pages() {
    let web = root().join("src/web");
    let routes = fs::read_to_string(web.join("routes.rs")).unwrap();
    let named = |theme: &str, name: &str| {
        let file = web.join(format!("paths/{theme}.rs"));
        let text = fs::read_to_string(file).unwrap();
        text.contains(&format!("pub const {name}: "))
    };
    let wrong = amiss(&routes, named);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(
        lines_of(&routes, "boil").len() > 20,
        "the table was not read"
    );
}

#[test]
fn an_address_under_a_theme_that_is_not_its_own_is_found() {
    let routes = "use crate::web::cane::{tickets};\nuse crate::web::boil::{boils, pans as pots};\n
fn cane() -> Vec<Line> {\n show(paths::TICKETS, Crew, get(tickets::list)),\n send(paths::DRAW, Crew, paths::BOIL, post(boils::draw)),\n}\n
fn boil() -> Vec<Line> {\n show(paths::PANS, Crew, get(pots::list)),\n}\n";
    let wrong = amiss(routes, |_, name| name != "PANS");
    assert_eq!(
        wrong,
        [
            "DRAW stands under cane, its page is of boil",
            "PANS is not named in web/paths/boil.rs",
        ]
    );
}
