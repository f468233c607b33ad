//! The tickets of a season: searched, in an order, some at a time. The crew's page.

use crate::store::cane::ticket_list::{self, ListedTicket};
use crate::store::season::in_use;
use crate::units::{Units, people_order};
use crate::web::form::{Choice, Sheet};
use crate::web::listing::{ListQuery, Part, of_year};
use crate::web::request::PageRequest;
use crate::web::shell::Shell;
use crate::web::{Page, page, paths};
use askama::Template;
use axum::extract::Query;

/// Tickets on one page: four screens of a telephone.
const MOST: usize = 40;

struct TicketRow {
    number: i64,
    href: String,
    who: String,
    day: String,
    net: String,
    state: &'static str,
    tag: &'static str,
}

/// The page that lists the tickets of a season.
#[derive(Template)]
#[template(path = "cane/tickets/list.html")]
struct ListPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    year: String,
    orders: Vec<Choice>,
    /// Whether there is any ticket at all.
    any: bool,
    rows: Vec<TicketRow>,
    part: Part,
    others: Vec<Choice>,
}

/// `GET /tickets?q=trout&order=name`
pub(crate) async fn list(Query(wanted): Query<ListQuery>, mut request: PageRequest) -> Page {
    let all = in_use::by_use().ask(&mut request.db).await?;
    let season = of_year(&all, wanted.year.as_deref())?;
    let mut found = match season {
        None => Vec::new(),
        Some(season) => {
            ticket_list::of_season(season.id)
                .ask(&mut request.db)
                .await?
        }
    };
    let mut sheet = request.blank();
    sheet
        .put("q", wanted.q.clone())
        .put("order", order(&wanted.order));
    let (app, visit) = (&request.app, &request.visit);
    let title = season.map_or_else(
        || "Tickets".to_owned(),
        |s| format!("Tickets of {}", s.year),
    );
    let year = season.map_or(0, |s| s.year);
    let any = !found.is_empty();
    found.retain(|t| has(t, &wanted));
    in_order(&mut found, &wanted.order);
    let list = (&paths::tickets_of(year)[..], order(&wanted.order));
    let part = Part::of(list, &wanted, MOST, &mut found);
    let others = all.iter().filter(|s| s.year != year);
    page(&ListPage {
        shell: Shell::new(app, visit, title),
        sheet,
        action: paths::TICKETS,
        year: year.to_string(),
        orders: orders(),
        any,
        rows: found.iter().map(|t| row(t, visit.units())).collect(),
        part,
        others: others
            .map(|s| Choice::new(paths::tickets_of(s.year), format!("Tickets of {}", s.year)))
            .collect(),
    })
}

fn orders() -> Vec<Choice> {
    vec![
        Choice::new("latest", "Latest first"),
        Choice::new("number", "By number"),
        Choice::new("name", "By name"),
        Choice::new("cane", "Most cane first"),
    ]
}

/// The order that was asked for; the latest first when none was.
fn order(asked: &str) -> &'static str {
    match asked {
        "number" => "number",
        "name" => "name",
        "cane" => "cane",
        _ => "latest",
    }
}

fn in_order(all: &mut [ListedTicket], asked: &str) {
    // They come in the order of their numbers.
    match order(asked) {
        "number" => (),
        "name" => all.sort_by_cached_key(|t| people_order(t.member_name.as_str())),
        "cane" => all.sort_by_key(|t| -t.net.get()),
        _ => all.reverse(),
    }
}

fn state(of: &ListedTicket) -> (&'static str, &'static str) {
    match (of.pressed, of.unpressed) {
        (true, _) => ("pressed", "tag ok"),
        (false, true) => ("not pressed", "tag"),
        (false, false) => ("waits to be pressed", "tag warn"),
    }
}

/// Whether every word that is looked for stands in what the list shows.
fn has(of: &ListedTicket, wanted: &ListQuery) -> bool {
    wanted.stands_in(&format!(
        "{} {} {} {}",
        of.number,
        of.member_name,
        of.date.show(),
        state(of).0
    ))
}

fn row(of: &ListedTicket, units: Units) -> TicketRow {
    let (state, tag) = state(of);
    TicketRow {
        number: of.number,
        href: paths::ticket(of.id),
        who: of.member_name.to_string(),
        day: of.date.show(),
        net: of.net.show(units),
        state,
        tag,
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = |number| TicketRow {
        number,
        href: "/tickets/01920000-0000-7000-8000-000000000000".to_owned(),
        who: "Maximiliana <b>Featherstonehaugh</b> & Co".to_owned(),
        day: "Sat 19 Sep 2026".to_owned(),
        net: "1,212.4 lb".to_owned(),
        state: "waits to be pressed",
        tag: "tag warn",
    };
    let list = |many: i64| ListPage {
        shell: Shell::sample("Tickets of 2026"),
        sheet: Sheet::sample(),
        action: paths::TICKETS,
        year: "2026".to_owned(),
        orders: orders(),
        any: many > 0,
        rows: (0..many).map(row).collect(),
        part: crate::web::listing::sample("/tickets?year=2026"),
        others: vec![Choice::new("/tickets?year=2025", "Tickets of 2025")],
    };
    vec![Box::new(list(0)), Box::new(list(40))]
}
