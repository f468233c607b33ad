//! Closing a season and locking it; lifting the lock with a reason.

use crate::actions::Act;
use crate::actions::season::season_lock as actions;
use crate::calc::shares::ledger::{grams_says, money_says};
use crate::facts::season::still_open::StillOpen;
use crate::store::Snapshot;
use crate::store::season::season_close::{self as close, LockRow};
use crate::store::season::seasons::{self, Season};
use crate::store::shares::ledger::{self, Balance};
use crate::units::{Cents, Grams, MemberName, Zone, plain_text};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, page_with, paths};
use askama::Template;
use axum::extract::Path;

/// Whether a season is locked, and the form that changes it.
#[derive(Template)]
#[template(path = "season/season_close/lock.html")]
struct LockPage {
    shell: Shell,
    sheet: Sheet,
    year: i64,
    locked: bool,
    lines: Vec<String>,
    /// What is to be done before it can be closed, each with its page.
    open: Vec<Choice>,
    /// Who still is owed syrup or owes it, or money, in words.
    carried: Vec<String>,
    /// The mark of these balances: what is ticked is known as it was read.
    seen: String,
    action: String,
    back: String,
}

fn said(row: &LockRow, zone: &Zone) -> String {
    let what = if row.locked {
        "closed and locked"
    } else {
        "opened again"
    };
    let why = if row.why.is_empty() {
        String::new()
    } else {
        format!(": “{}”", row.why)
    };
    format!("{}, {}: {what}{why}", zone.show(row.at), row.by_name)
}

impl LockPage {
    fn new(
        (app, visit): (&App, &Visit),
        Record {
            season,
            locks,
            open,
            carried,
        }: &Record,
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let (zone, year) = (visit.zone()?, season.year);
        Ok(Self {
            shell: Shell::new(app, visit, format!("Lock of the season {year}")),
            sheet,
            year,
            locked: locks.last().is_some_and(|l| l.locked),
            lines: locks.iter().rev().map(|l| said(l, zone)).collect(),
            open: to_do(open),
            seen: actions::mark(carried),
            carried: carried.iter().map(|b| unsettled(b, visit)).collect(),
            action: paths::season_part(year, "lock"),
            back: paths::season_part(year, "close"),
        })
    }
}

/// What of one member is not settled: syrup, money, or both.
fn unsettled(balance: &Balance, visit: &Visit) -> String {
    let syrup = Some(balance.grams).filter(|g| *g != Grams::ZERO);
    let money = Some(balance.cents).filter(|c| *c != Cents::ZERO);
    let says = [
        syrup.map(|grams| grams_says(grams, visit.units())),
        money.map(money_says),
    ];
    let says: Vec<String> = says.into_iter().flatten().collect();
    let who = balance.name.as_ref().map_or("", MemberName::as_str);
    format!("{who}: {}", says.join(", "))
}

/// What is still open, each with the page on which it is done.
fn to_do(open: &StillOpen) -> Vec<Choice> {
    let days = open.days.iter().map(|date| {
        let says = format!("{}: a press day that is not closed", date.show());
        Choice::new(paths::day(*date), says)
    });
    let lots = open.lots.iter().map(|lot| {
        Choice::new(
            paths::boil_part(lot, "divide"),
            format!("Lot {lot}: not divided yet"),
        )
    });
    let losses = open.losses.iter().map(|lot| {
        let says = format!("Lot {lot}: the season is to bear its loss");
        Choice::new(paths::boil_part(lot, "loss"), says)
    });
    days.chain(lots).chain(losses).collect()
}

/// A season, its locks so far, and what stands in the way of the next.
struct Record {
    season: Season,
    locks: Vec<LockRow>,
    open: StillOpen,
    carried: Vec<Balance>,
}

async fn read(db: &mut Snapshot, year: &str) -> Result<Record, PageError> {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    let season = seasons::of_year(year).ask(db).await?;
    let season = season.ok_or(PageError::NotFound)?;
    let locks = close::locks(season.id).ask(db).await?;
    let open = StillOpen::read(db, season.id).await?;
    Ok(Record {
        carried: ledger::unsettled(season.id).ask(db).await?,
        season,
        locks,
        open,
    })
}

/// `GET /seasons/{year}/lock`
pub(crate) async fn lock_form(Path(year): Path<String>, mut request: PageRequest) -> Page {
    let of = read(&mut request.db, &year).await?;
    let sheet = request.blank();
    let site = (&request.app, &request.visit);
    page(&LockPage::new(site, &of, sheet)?)
}

/// `POST /seasons/{year}/lock`: locks it, or lifts the lock, as the button says.
pub(crate) async fn lock(Path(year): Path<String>, mut form: FormRequest) -> Page {
    let of = read(form.db.now().await?, &year).await?;
    let (season, year) = (of.season.id, of.season.year);
    let knows = form.sheet.ticked("knows");
    let knows = knows.then(|| form.sheet.typed("seen").to_owned());
    let lift = form.sheet.typed("step") == "lift";
    let why = form.sheet.read("why", |t| plain_text(t, 0, 300));
    form.end(
        why,
        async |act: &Act, why| {
            if lift {
                actions::lift(act, season, &why).await
            } else {
                actions::lock(act, season, (&why, knows.as_deref())).await
            }
        },
        |()| paths::season_part(year, "lock"),
        async |form| {
            let status = form.sheet.status();
            let site = (&form.app, &form.visit);
            let view = LockPage::new(site, &of, form.sheet)?;
            page_with(status, &view)
        },
    )
    .await
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let view = |many: usize, locked| LockPage {
        shell: Shell::sample("Lock of the season 2026"),
        sheet: Sheet::sample(),
        year: 2026,
        locked,
        lines: (0..many)
            .map(|_| "Sat 19 Dec 2026 16:40, Ruth <b>Bell</b>: opened again: “<script>”".to_owned())
            .collect(),
        open: (0..many)
            .map(|_| {
                Choice::new(
                    "/boils/26002M/loss",
                    "Lot 26002-M: the season is to bear its loss",
                )
            })
            .collect(),
        carried: (0..many)
            .map(|_| {
                "Maximiliana <b>Featherstonehaugh</b>: 4.6 oz still to come, $43.65 to pay"
                    .to_owned()
            })
            .collect(),
        seen: "4f".to_owned(),
        action: "/seasons/2026/lock".to_owned(),
        back: "/seasons/2026/close".to_owned(),
    };
    vec![
        Box::new(view(0, false)),
        Box::new(view(3, false)),
        Box::new(view(3, true)),
    ]
}
