//! Loads that stand on the ticket pad, keyed in row after row.

use super::form;
use super::weigh_in;
use crate::actions::cane::loads;
use crate::actions::cane::tickets as actions;
use crate::actions::cane::tickets::{NewLoad, NewTicket};
use crate::actions::{Act, Done};
use crate::calc::cane::press_times::PressTimes;
use crate::facts::cane::tickets::WeighIn;
use crate::store::Snapshot;
use crate::store::cane::tickets::{self, Ticket};
use crate::store::people::stations::{self, Hand};
use crate::units::{PressDayId, TicketId, Units};
use crate::web::cane::after_all::AfterAll;
use crate::web::cane::of_path::times;
use crate::web::cane::pressed_times;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::{FormRequest, PageRequest};
use crate::web::rows::{self, Column, Row, RowsPage, RowsTaken};
use crate::web::session::Visit;
use crate::web::{App, Page, page, paths};
use axum::extract::{Path, Query};

const INTRO: &str = "One row a load, as on the ticket pad. A second load of a ticket that is in the book: choose that ticket.";

/// The boxes of which one must be filled for a row to count.
const TELLING: [&str; 4] = ["number", "whose", "gross", "weighed"];

/// What a row of the pad is read as.
enum Meant {
    /// A ticket with its first load.
    Ticket(NewTicket),
    /// Another load of a ticket in the book.
    Load(TicketId, NewLoad),
}

struct Pad {
    of: WeighIn,
    tickets: Vec<Ticket>,
    hands: Vec<Hand>,
}

impl Pad {
    async fn read(db: &mut Snapshot, date: &str) -> Result<Self, PageError> {
        let of = weigh_in(db, date).await?;
        Ok(Self {
            tickets: tickets::of_day(of.day.id).ask(db).await?,
            hands: stations::hands(db).await?,
            of,
        })
    }

    fn page(&self, app: &App, visit: &Visit, rows: Vec<Row>) -> RowsPage {
        let day = self.of.day.date;
        RowsPage::new(
            (app, visit),
            (format!("From paper: loads of {}", day.show()), INTRO),
            (paths::paper_loads(day), paths::day(day)),
            self.columns(visit.units(), AfterAll::column(&rows)),
            rows,
        )
    }

    fn whose(&self) -> Vec<Choice> {
        let turns = self.of.waiting.iter().map(|turn| {
            let words = format!("{}, turn at {}", turn.member_name, turn.start.show());
            Choice::new(format!("turn:{}", turn.id), words)
        });
        let more = self.tickets.iter().map(|t| {
            let words = format!("ticket {}, {}: another load", t.ticket, t.member_name);
            Choice::new(format!("ticket:{}", t.id), words)
        });
        let members = self.of.members.iter().filter(|m| !m.left).map(|m| {
            let words = format!("{}, no. {}: walked in", m.name, m.number);
            Choice::new(format!("walk:{}", m.id), words)
        });
        turns.chain(more).chain(members).collect()
    }

    fn columns(&self, units: Units, after_all: Option<Column>) -> Vec<Column> {
        let unit = match units {
            Units::Us => "lb",
            Units::Metric => "kg",
        };
        let scales = self.of.scales.iter();
        let scales = scales.map(|s| Choice::new(s.id.to_string(), s.name.clone()));
        let mut columns = vec![
            Column::number("number", "Ticket no."),
            Column::choose("whose", "Whose cane", self.whose()),
            Column::choose("scale", "Scale", scales.collect()),
            Column::number("gross", format!("Gross, {unit}")),
            Column::number("tare", format!("Tare, {unit}")),
            Column::number("weighed", "Weighed at"),
            Column::tick("night", "After midnight"),
            Column::tick("stripped", "Leaves off"),
            Column::tick("headed", "Heads off"),
            Column::tick("clean", "Clean"),
            Column::tick("frosted", "Frosted"),
            Column::date("cut_on", "Cut on"),
            Column::number("cut_time", "At"),
            Column::text("note", "Remark"),
            Column::tick("sure", "Yes, it is so"),
            Column::tick("another", "It is another load"),
            Column::tick("number_sure", "The slip bears this number"),
        ];
        columns.extend(after_all);
        columns.push(Column::by("Weighed by", &self.hands));
        columns
    }
}

/// Reads a row as the form of a weigh-in does; `None` when a box cannot be read.
fn meant(sheet: &mut Sheet, units: Units, times: &PressTimes<'_>) -> Option<Meant> {
    let has_time = pressed_times::on_paper(sheet, "weighed", times);
    let sure = rows::sure(sheet, &form::LOOKED_AT);
    let another = sheet.typed("whose").strip_prefix("ticket:");
    let meant = match another.and_then(TicketId::parse) {
        Some(ticket) => form::load(sheet, units, times).map(|load| Meant::Load(ticket, load)),
        None => form::ticket(sheet, units, times).map(Meant::Ticket),
    };
    sheet.put("sure", sure);
    meant.filter(|_| has_time)
}

/// Writes one row into the book.
async fn write(act: &Act, (day, meant): (PressDayId, Meant)) -> Done<TicketId> {
    match meant {
        Meant::Ticket(new) => actions::open_ticket(act, day, new).await,
        Meant::Load(ticket, load) => loads::add_load(act, ticket, load).await,
    }
}

/// `GET /days/{date}/paper/loads`
pub(crate) async fn paper_form(
    mut request: PageRequest,
    Path(date): Path<String>,
    Query(taken): Query<RowsTaken>,
) -> Page {
    let pad = Pad::read(&mut request.db, &date).await?;
    let mut rows = rows::blank(&request.visit, &request.app.ids);
    if let [scale] = pad.of.scales.as_slice() {
        for row in &mut rows {
            row.sheet.put("scale", scale.id.to_string());
        }
    }
    page(&pad.page(&request.app, &request.visit, rows).after(&taken))
}

/// `POST /days/{date}/paper/loads`
pub(crate) async fn paper(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let pad = Pad::read(form.db.now().await?, &date).await?;
    let (visit, units) = (form.visit.clone(), form.visit.units());
    let times = times((&visit, visit.at), &pad.of.day, None)?;
    let day = pad.of.day.id;
    rows::each(
        form,
        &TELLING,
        |sheet| meant(sheet, units, &times).map(|meant| ((day, meant), None)),
        write,
        paths::ticket,
        async |form, rows, status| {
            pad.page(&form.app, &form.visit, rows)
                .again(form.sheet, status)
        },
    )
    .await
}
