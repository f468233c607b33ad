//! Statements: a member's season on one page, every sum written out, on screen and on paper.

mod lots;
mod reckoned;
mod tickets;
mod view;

use super::error::PageError;
use super::session::{Me, Visit};
use super::{App, Page, page};
use crate::actions::divisions::{self as dividing, PourRow};
use crate::calc::division::Division;
use crate::store::boils::{self, BoilRow};
use crate::store::deliveries::{self, Delivery, LoadRow};
use crate::store::divisions::{self, DivisionRow};
use crate::store::hand_overs::{self, AsideRow, HandOverJar, HandOverRow};
use crate::store::juices::{self, JuiceRow};
use crate::store::ledger::{self, LedgerLine};
use crate::store::members::{self, Member};
use crate::store::seasons::{self, Rules, Season};
use crate::units::{Cents, Grams, MemberId};
use axum::extract::{Path, State};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{PrintPage, StatementPage};

/// A ticket with its loads and juices.
struct Ticket {
    delivery: Delivery,
    loads: Vec<LoadRow>,
    net: Grams,
    juices: Vec<JuiceRow>,
}

/// A lot with the member's part.
struct Lot {
    boil: BoilRow,
    rules: Rules,
    pours: Vec<PourRow>,
    divided: Option<(DivisionRow, Division)>,
}

/// A receipt with its jars.
struct Receipt {
    row: HandOverRow,
    jars: Vec<HandOverJar>,
}

/// All that a statement is made of.
struct Record {
    member: Member,
    season: Season,
    years: Vec<i64>,
    rules: Rules,
    tickets: Vec<Ticket>,
    lots: Vec<Lot>,
    before: (Grams, Cents),
    lines: Vec<LedgerLine>,
    receipts: Vec<Receipt>,
    aside: Vec<AsideRow>,
}

/// `GET /members/{id}/statement/{year}`
pub async fn show(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path((id, year)): Path<(String, String)>,
) -> Page {
    let record = record(&app, &me, &id, &year).await?;
    page(&StatementPage::new(&app, &visit, &me, &record)?)
}

/// `GET /members/{id}/statement/{year}/print`
pub async fn print(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path((id, year)): Path<(String, String)>,
) -> Page {
    let record = record(&app, &me, &id, &year).await?;
    page(&PrintPage::new(&visit, &record)?)
}

/// Reads a member's season: one's own, or anybody's for crew.
async fn record(app: &App, me: &Me, id: &str, year: &str) -> Result<Record, PageError> {
    let id = MemberId::parse(id).ok_or(PageError::NotFound)?;
    let year: i64 = year.parse().map_err(|_| PageError::NotFound)?;
    if id != me.id && !me.is_crew() {
        return Err(PageError::NotFound);
    }
    let mut snapshot = app.read().await?;
    let conn = &mut *snapshot;
    let member = members::find(conn, id).await?.ok_or(PageError::NotFound)?;
    let season = seasons::of_year(conn, year)
        .await?
        .ok_or(PageError::NotFound)?;
    let mut tickets = Vec::new();
    let juices = juices::of_season_member(conn, season.id, id).await?;
    for delivery in deliveries::of_season_member(conn, season.id, id).await? {
        tickets.push(Ticket {
            loads: deliveries::loads(conn, delivery.id).await?,
            net: deliveries::net(conn, delivery.id).await?,
            juices: juices
                .iter()
                .filter(|j| j.delivery_id == delivery.id)
                .cloned()
                .collect(),
            delivery,
        });
    }
    let mut lots = Vec::new();
    for lot in divisions::lots_of_member(conn, season.id, id).await? {
        let boil = boils::find(conn, &lot.lot)
            .await?
            .ok_or(PageError::NotFound)?;
        let divided = match divisions::of_boil(conn, boil.id).await? {
            Some(row) => {
                let division = dividing::recall(conn, &boil, &row).await?;
                Some((row, division))
            }
            None => None,
        };
        lots.push(Lot {
            rules: seasons::rules(conn, boil.rules_id)
                .await?
                .ok_or(PageError::NotFound)?,
            pours: dividing::pours(conn, boil.id, Some(id)).await?,
            boil,
            divided,
        });
    }
    let mut receipts: Vec<Receipt> = Vec::new();
    for jar in hand_overs::jars_of_member(conn, season.id, id).await? {
        match receipts.last_mut() {
            Some(last) if last.row.number == jar.number => last.jars.push(jar),
            _ => receipts.push(Receipt {
                row: hand_overs::find(conn, jar.number)
                    .await?
                    .ok_or(PageError::NotFound)?,
                jars: vec![jar],
            }),
        }
    }
    Ok(Record {
        rules: seasons::rules_in_force(conn, season.id).await?,
        years: seasons::list(conn).await?.iter().map(|s| s.year).collect(),
        before: ledger::before_year(conn, id, year).await?,
        lines: ledger::of_member(conn, season.id, id).await?,
        aside: hand_overs::aside(conn, Some(id)).await?,
        member,
        season,
        tickets,
        lots,
        receipts,
    })
}
