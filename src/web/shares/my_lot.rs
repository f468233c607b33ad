//! A boil as a member whose juice is in it reads it: what is in it of one's own, where it is, when it will be
//! ready, one's jars. No temperatures, no fuel, nobody else's figures; the crew get the cook's page.

use crate::calc::shares::cane_way::Stop;
use crate::calc::shares::my_cane::LotState;
use crate::facts::boil::boil_sums::{self, InPan};
use crate::facts::shares::cane_way::{CaneWay, OnTheWay};
use crate::facts::shares::my_cane::{self as facts, MyLot};
use crate::store::boil::boils::BoilRow;
use crate::store::people::members;
use crate::store::shares::hand_overs::AsideRow;
use crate::units::{Grams, MemberId, Units};
use crate::web::boil::boil_of_path::boil_of_path;
use crate::web::boil::boils;
use crate::web::cane_way::{StopView, stops_of};
use crate::web::error::PageError;
use crate::web::lot_says::lot_says;
use crate::web::reader::Reader;
use crate::web::request::PageRequest;
use crate::web::shell::Shell;
use crate::web::{Page, page, paths};
use askama::Template;
use axum::extract::{Path, Query};

/// One juice of the member's in the boil.
struct Part {
    ticket: i64,
    ticket_href: String,
    vessel: String,
    juice_href: String,
    mass: String,
    solids: String,
}

/// Jars of one kind.
struct Jar {
    size: String,
    yours: i64,
    left: i64,
}

/// The part of the boil that belongs to one card.
struct CardPart {
    /// Name of the member whose it is, of a card acted for; empty: the reader's own.
    name: String,
    says: String,
    stops: Vec<StopView>,
    parts: Vec<Part>,
    with: Vec<String>,
    jars: Vec<Jar>,
    statement: String,
}

/// The member's page of a boil.
#[derive(Template)]
#[template(path = "shares/my_lot/show.html")]
struct MyLotPage {
    shell: Shell,
    /// Whether it is on the fire, so that the page cautions about the pan.
    lit: bool,
    /// The own part first, then those of cards acted for.
    cards: Vec<CardPart>,
    divide: String,
    day: String,
    date: String,
}

/// `GET /boils/{lot}`: the cook's page for the crew; for a member the own part, if there is one, and those of the cards
/// acted for.
pub(crate) async fn show(
    Path(lot): Path<String>,
    Query(beside): Query<boils::Beside>,
    mut request: PageRequest,
) -> Page {
    let row = boil_of_path(&mut request.db, &lot).await?;
    if request.me.is_crew() {
        return boils::show(request, row, &beside).await;
    }
    let pan = boil_sums::in_pan(row.id).ask(&mut request.db).await?;
    let mut cards = Vec::new();
    let mut told = None;
    for card in request.me.cards() {
        if let Some((part, lot)) = of_card(&mut request, &row, card, &pan).await? {
            cards.push(part);
            told.get_or_insert(lot);
        }
    }
    let lot = told.ok_or(PageError::NotFound)?;
    page(&MyLotPage::new(&request, &lot, cards))
}

/// The part of the boil that belongs to a card; `None`: neither juice nor jars.
async fn of_card(
    request: &mut PageRequest,
    row: &BoilRow,
    card: MemberId,
    pan: &[InPan],
) -> Result<Option<(CardPart, MyLot)>, PageError> {
    let at = request.visit.at;
    let own: Vec<&InPan> = pan
        .iter()
        .filter(|juice| juice.draw.member_id == card)
        .collect();
    let lot = facts::of_lot(&mut request.db, row.clone(), card, at).await?;
    if own.is_empty() && lot.jars.is_empty() {
        return Ok(None);
    }
    let strands = own
        .iter()
        .map(|juice| OnTheWay::of_draw(&juice.draw, lot.state().step()));
    let (season, strands) = (row.season_id, strands.collect());
    let way = CaneWay::in_season(season, strands)
        .ask(&mut request.db)
        .await?;
    let name = if card == request.me.id {
        String::new()
    } else {
        let member = members::find(card).ask(&mut request.db).await?;
        member.map_or_else(String::new, |member| member.name.to_string())
    };
    let here = Stop::Boil(row.lot.clone());
    let stops = stops_of(&way, Some(card), &request.me, &here);
    let statement = paths::statement(card, way.year);
    let reader = Reader::of_card(&request.visit, &request.me, card)?;
    let part = CardPart::new(reader, (&lot, &own), name, (stops, statement));
    Ok(Some((part, lot)))
}

impl CardPart {
    fn new(
        reader: Reader<'_>,
        (lot, own): (&MyLot, &[&InPan]),
        name: String,
        (stops, statement): (Vec<StopView>, String),
    ) -> Self {
        let units = reader.units;
        let (named, others) = &lot.with;
        let mut with: Vec<String> = named.iter().map(ToString::to_string).collect();
        match others {
            0 => {}
            1 => with.push("another member".to_owned()),
            n => with.push(format!("{n} other members")),
        }
        Self {
            name,
            says: lot_says(lot, reader),
            stops,
            parts: own.iter().map(|juice| part(juice, units)).collect(),
            with,
            jars: lot.jars.iter().map(|jars| jar(jars, units)).collect(),
            statement,
        }
    }
}

impl MyLotPage {
    fn new(request: &PageRequest, lot: &MyLot, cards: Vec<CardPart>) -> Self {
        let code = &lot.row.lot;
        let title = if cards.iter().any(|card| card.name.is_empty()) {
            format!("Your part of lot {code}")
        } else {
            format!("Lot {code}")
        };
        Self {
            shell: Shell::new(&request.app, &request.visit, title),
            lit: lot.state() == LotState::OnFire,
            cards,
            divide: match lot.marks.divided_at {
                Some(_) => paths::boil_part(code, "divide"),
                None => String::new(),
            },
            day: paths::day(lot.row.press_date),
            date: lot.row.press_date.show(),
        }
    }
}

fn part(juice: &InPan, units: Units) -> Part {
    let shown = |grams: Grams| grams.show(units);
    Part {
        ticket: juice.draw.ticket,
        ticket_href: paths::ticket(juice.draw.ticket_id),
        vessel: juice.draw.vessel.clone(),
        juice_href: paths::juice(juice.draw.juice_id),
        mass: shown(juice.part.mass),
        solids: shown(juice.part.solids),
    }
}

fn jar(jars: &AsideRow, units: Units) -> Jar {
    let size = if jars.part {
        format!("part-jar of {}", jars.net.small(units))
    } else {
        format!("{} of {}", jars.size_name, jars.net.small(units))
    };
    Jar {
        size,
        yours: jars.set_aside,
        left: jars.left(),
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let card = |many: i64, lit: bool, name: &str| CardPart {
        name: name.to_owned(),
        says: "In the pan since 10:12, lot 2026-04-7K, with Ann <b>Fenn</b> and 2 others."
            .to_owned(),
        stops: crate::web::cane_way::sample(usize::from(lit) * 5),
        parts: (0..many)
            .map(|n| Part {
                ticket: n,
                ticket_href: format!("/tickets/{n}"),
                vessel: "Blue <barrel>".to_owned(),
                juice_href: format!("/juices/{n}"),
                mass: "417.5 lb".to_owned(),
                solids: "62.1 lb".to_owned(),
            })
            .collect(),
        with: vec!["Ann <b>Fenn</b>".to_owned(); usize::from(lit)],
        jars: (0..many)
            .map(|n| Jar {
                size: "quart of 3.0 lb".to_owned(),
                yours: n,
                left: 0,
            })
            .collect(),
        statement: "/members/1/statement/2026".to_owned(),
    };
    let sample = |many: i64, lit: bool| MyLotPage {
        shell: Shell::sample("Your part of lot 2026-04-7K"),
        lit,
        cards: vec![card(many, lit, ""), card(many, lit, "Tomás <b>Reyes</b>")],
        divide: "/boils/2026-04-7K/divide".to_owned(),
        day: "/days/2026-09-19".to_owned(),
        date: "Sat 19 Sep 2026".to_owned(),
    };
    vec![Box::new(sample(0, true)), Box::new(sample(12, false))]
}
