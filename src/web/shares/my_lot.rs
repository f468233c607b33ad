//! A boil as a member whose juice is in it reads it: what is in it of one's own, where it is, when it will be
//! ready, one's jars. No temperatures, no fuel, nobody else's figures; the crew get the cook's page.

use crate::calc::shares::cane_way::Stop;
use crate::calc::shares::my_cane::LotState;
use crate::facts::boil::boil_sums::{self, InPan};
use crate::facts::shares::cane_way::{CaneWay, OnTheWay};
use crate::facts::shares::my_cane::{self as facts, MyLot};
use crate::store::shares::hand_overs::AsideRow;
use crate::units::{Grams, MemberId, Units};
use crate::web::boil::boil_of_path::boil_of_path;
use crate::web::boil::boils;
use crate::web::cane_way::{StopView, stops};
use crate::web::error::PageError;
use crate::web::my_cane::{Reader, lot_says};
use crate::web::request::PageRequest;
use crate::web::session::Me;
use crate::web::shell::Shell;
use crate::web::{Page, page, paths};
use askama::Template;
use axum::extract::Path;

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

/// The member's page of a boil.
#[derive(Template)]
#[template(path = "shares/my_lot/show.html")]
struct MyLotPage {
    shell: Shell,
    says: String,
    stops: Vec<StopView>,
    /// On the fire: caution about the pan.
    lit: bool,
    parts: Vec<Part>,
    with: Vec<String>,
    jars: Vec<Jar>,
    divide: String,
    statement: String,
    day: String,
    date: String,
}

/// `GET /boils/{lot}`: the cook's page for the crew; for a member the own part, if there is one.
pub(crate) async fn show(mut request: PageRequest, Path(lot): Path<String>) -> Page {
    let row = boil_of_path(&mut request.db, &lot).await?;
    if request.me.is_crew() {
        return boils::show(request, row).await;
    }
    let at = request.visit.at;
    let pan = boil_sums::in_pan(&mut request.db, row.id).await?;
    // Of a card that somebody acts for, where the own has no juice in it.
    let me = whose(&request.me, &pan);
    let own: Vec<InPan> = pan
        .into_iter()
        .filter(|juice| juice.draw.member_id == me)
        .collect();
    let lot = facts::of_lot(&mut request.db, row, me, at).await?;
    if own.is_empty() && lot.jars.is_empty() {
        return Err(PageError::NotFound);
    }
    let strands = own
        .iter()
        .map(|juice| OnTheWay::of_draw(&juice.draw, lot.state().step()));
    let (season, strands) = (lot.row.season_id, strands.collect());
    let way = CaneWay::in_season(&mut request.db, season, strands).await?;
    let stops = stops(&way, &request.me, &Stop::Boil(lot.row.lot.clone()));
    let statement = paths::statement(me, way.year);
    page(&MyLotPage::new(&request, &lot, &own, (stops, statement))?)
}

/// Whose part is read: the own, or else that of a card acted for.
fn whose(me: &Me, pan: &[InPan]) -> MemberId {
    let has_juice = |card: &MemberId| pan.iter().any(|juice| juice.draw.member_id == *card);
    me.cards().into_iter().find(has_juice).unwrap_or(me.id)
}

impl MyLotPage {
    fn new(
        request: &PageRequest,
        lot: &MyLot,
        own: &[InPan],
        (stops, statement): (Vec<StopView>, String),
    ) -> Result<Self, PageError> {
        let visit = &request.visit;
        let units = visit.units();
        let reader = Reader::of(visit)?;
        let code = &lot.row.lot;
        let (named, others) = &lot.with;
        let mut with: Vec<String> = named.iter().map(ToString::to_string).collect();
        match others {
            0 => {}
            1 => with.push("another member".to_owned()),
            n => with.push(format!("{n} other members")),
        }
        Ok(Self {
            shell: Shell::new(&request.app, visit, format!("Your part of lot {code}")),
            says: lot_says(lot, reader),
            stops,
            lit: lot.state() == LotState::OnFire,
            parts: own.iter().map(|juice| part(juice, units)).collect(),
            with,
            jars: lot.jars.iter().map(|jars| jar(jars, units)).collect(),
            divide: match lot.marks.divided_at {
                Some(_) => paths::boil_part(code, "divide"),
                None => String::new(),
            },
            statement,
            day: paths::day(lot.row.press_date),
            date: lot.row.press_date.show(),
        })
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
    let sample = |many: i64, lit: bool| MyLotPage {
        shell: Shell::sample("Your part of lot 2026-04-7K"),
        says: "In the pan since 10:12, lot 2026-04-7K, with Ann <b>Fenn</b> and 2 others."
            .to_owned(),
        stops: crate::web::cane_way::sample(usize::from(lit) * 5),
        lit,
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
        divide: "/boils/2026-04-7K/divide".to_owned(),
        statement: String::new(),
        day: "/days/2026-09-19".to_owned(),
        date: "Sat 19 Sep 2026".to_owned(),
    };
    vec![Box::new(sample(0, true)), Box::new(sample(12, false))]
}
