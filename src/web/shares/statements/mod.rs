//! Statements: a member's season on one page, every sum written out, on screen and on paper.

mod lots;
mod reckoned;
mod ticket_lines;
mod view;

use crate::actions::shares::divisions as dividing;
use crate::actions::shares::divisions::PourRow;
use crate::calc::shares::division::Division;
use crate::store::Conn;
use crate::store::boil::boils::{self, BoilRow};
use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::people::members::{self, Member};
use crate::store::season::seasons::{self, Rules, Season};
use crate::store::shares::divisions::{self, DivisionRow};
use crate::store::shares::hand_overs::{self, AsideRow, HandOverJar, HandOverRow};
use crate::store::shares::ledger::{self, LedgerLine};
use crate::units::{Cents, Grams, LotCode};
use crate::web::error::PageError;
use crate::web::people::members::seen_by;
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page};
use axum::extract::{Path, State};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{PrintPage, RunPage, StatementPage};

/// A ticket with its loads and juices.
struct TicketRecord {
    ticket: Ticket,
    loads: Vec<LoadRow>,
    net: Grams,
    juices: Vec<JuiceRow>,
}

/// A lot with the member's part.
#[derive(Clone)]
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
    tickets: Vec<TicketRecord>,
    lots: Vec<Lot>,
    before: (Grams, Cents),
    lines: Vec<LedgerLine>,
    receipts: Vec<Receipt>,
    aside: Vec<AsideRow>,
    /// Cane and syrup in jars of the whole season.
    whole: (Grams, Grams),
}

/// What the statements of a season share: read once, each boil with everybody's part.
struct Shared {
    season: Season,
    years: Vec<i64>,
    rules: Rules,
    whole: (Grams, Grams),
    lots: BTreeMap<LotCode, Lot>,
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

/// `GET /seasons/{year}/statements/print`: everybody's, one after another.
pub async fn print_all(State(app): State<App>, visit: Visit, Path(year): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let mut shared = shared(&mut snapshot, &year).await?;
    let mut records = Vec::new();
    for id in ledger::with_season(&mut snapshot, shared.season.id).await? {
        let member = members::find(&mut snapshot, id).await?;
        let member = member.ok_or(PageError::NotFound)?;
        records.push(read(&mut snapshot, &mut shared, member).await?);
    }
    page(&RunPage::new(&visit, shared.season.year, &records)?)
}

/// Reads a member's season: one's own, or anybody's for crew.
async fn record(app: &App, me: &Me, id: &str, year: &str) -> Result<Record, PageError> {
    let mut snapshot = app.read().await?;
    let member = seen_by(&mut snapshot, me, id).await?;
    let mut shared = shared(&mut snapshot, year).await?;
    read(&mut snapshot, &mut shared, member).await
}

async fn shared(conn: &mut Conn, year: &str) -> Result<Shared, PageError> {
    let year: i64 = year.parse().map_err(|_| PageError::NotFound)?;
    let season = seasons::of_year(conn, year)
        .await?
        .ok_or(PageError::NotFound)?;
    let cane = tickets::nets(conn, season.id).await?;
    Ok(Shared {
        years: seasons::list(conn).await?.iter().map(|s| s.year).collect(),
        rules: seasons::rules_in_force(conn, season.id).await?,
        whole: (
            cane.iter().map(|row| row.net).sum(),
            ledger::jarred(conn, season.id).await?,
        ),
        lots: BTreeMap::new(),
        season,
    })
}

/// A boil with everybody's part; read once for all statements.
async fn lot_of<'a>(
    conn: &mut Conn,
    lots: &'a mut BTreeMap<LotCode, Lot>,
    code: LotCode,
) -> Result<&'a Lot, PageError> {
    match lots.entry(code) {
        Entry::Occupied(known) => Ok(known.into_mut()),
        Entry::Vacant(place) => {
            let boil = boils::find(conn, place.key())
                .await?
                .ok_or(PageError::NotFound)?;
            let divided = match divisions::of_boil(conn, boil.id).await? {
                Some(row) => {
                    let division = dividing::recall(conn, &boil, &row).await?;
                    Some((row, division))
                }
                None => None,
            };
            let lot = Lot {
                rules: seasons::rules(conn, boil.rules_id)
                    .await?
                    .ok_or(PageError::NotFound)?,
                pours: dividing::pours(conn, boil.id, None).await?,
                boil,
                divided,
            };
            Ok(place.insert(lot))
        }
    }
}

async fn read(conn: &mut Conn, shared: &mut Shared, member: Member) -> Result<Record, PageError> {
    let (id, season) = (member.id, shared.season.id);
    let mut tickets = Vec::new();
    let juices = juice::of_season_member(conn, season, id).await?;
    for ticket in tickets::of_season_member(conn, season, id).await? {
        tickets.push(TicketRecord {
            loads: tickets::loads(conn, ticket.id).await?,
            net: tickets::net(conn, ticket.id).await?,
            juices: juices
                .iter()
                .filter(|j| j.ticket_id == ticket.id)
                .cloned()
                .collect(),
            ticket,
        });
    }
    let mut lots = Vec::new();
    for lot in divisions::lots_of_member(conn, season, id).await? {
        let whole = lot_of(conn, &mut shared.lots, lot.lot).await?;
        let own = whole.pours.iter().filter(|p| p.draw.member_id == id);
        lots.push(Lot {
            boil: whole.boil.clone(),
            rules: whole.rules.clone(),
            pours: own.cloned().collect(),
            divided: whole.divided.clone(),
        });
    }
    let mut receipts: Vec<Receipt> = Vec::new();
    for jar in hand_overs::jars_of_member(conn, season, id).await? {
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
        rules: shared.rules.clone(),
        years: shared.years.clone(),
        before: ledger::before_year(conn, id, shared.season.year).await?,
        lines: ledger::of_member(conn, season, id).await?,
        aside: hand_overs::aside(conn, Some(id)).await?,
        member,
        season: shared.season.clone(),
        tickets,
        lots,
        receipts,
        whole: shared.whole,
    })
}
