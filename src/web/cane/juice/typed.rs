//! Juice that stands on paper, keyed in row after row.

use super::form;
use crate::actions::cane::juice as actions;
use crate::actions::cane::juice::NewJuice;
use crate::actions::{Act, Done};
use crate::calc::cane::press_times::PressTimes;
use crate::calc::physics::refractometer::Instrument;
use crate::facts::cane::mill::vessels_in_use;
use crate::store::Snapshot;
use crate::store::cane::mill::Vessel;
use crate::store::cane::tickets::{self, Ticket};
use crate::store::people::stations::{self, Hand};
use crate::store::turns::press_days::PressDay;
use crate::units::{JuiceId, Refused, TicketId, Units};
use crate::web::cane::after_all::AfterAll;
use crate::web::cane::of_path::{press_day, times};
use crate::web::cane::pressed_times;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::{FormRequest, PageRequest};
use crate::web::rows::{self, Column, Row, RowsPage, RowsTaken};
use crate::web::session::Visit;
use crate::web::{App, Page, page, paths};
use axum::extract::{Path, Query};

const INTRO: &str = "One row a vessel, as on the juice sheet.";

/// The boxes of which one must be filled for a row to count.
const TELLING: [&str; 5] = ["ticket", "vessel", "amount", "brix_1", "pressed"];

struct Pad {
    day: PressDay,
    tickets: Vec<Ticket>,
    vessels: Vec<Vessel>,
    hands: Vec<Hand>,
}

impl Pad {
    async fn read(db: &mut Snapshot, date: &str) -> Result<Self, PageError> {
        let day = press_day(db, date).await?;
        Ok(Self {
            tickets: tickets::of_day(day.id).ask(db).await?,
            vessels: vessels_in_use().ask(db).await?,
            hands: stations::hands(db).await?,
            day,
        })
    }

    fn page(&self, app: &App, visit: &Visit, rows: Vec<Row>) -> RowsPage {
        RowsPage::new(
            (app, visit),
            (
                format!("From paper: juice of {}", self.day.date.show()),
                INTRO,
            ),
            (paths::paper_juice(self.day.date), paths::day(self.day.date)),
            self.columns(visit.units(), AfterAll::column(&rows)),
            rows,
        )
    }

    fn columns(&self, units: Units, after_all: Option<Column>) -> Vec<Column> {
        let (weight, volume, degrees) = match units {
            Units::Us => ("lb", "gal", "°F"),
            Units::Metric => ("kg", "L", "°C"),
        };
        let tickets = self.tickets.iter().map(|t| {
            let words = format!("{}, {}", t.ticket, t.member_name);
            Choice::new(t.id.to_string(), words)
        });
        let vessels = self.vessels.iter();
        let vessels = vessels.map(|v| Choice::new(v.id.to_string(), v.name.clone()));
        let kinds = vec![
            Choice::new("mass", format!("weighed, {weight}")),
            Choice::new("volume", format!("gauged, {volume}")),
        ];
        let instruments = Instrument::ALL.into_iter();
        let instruments = instruments.map(|i| Choice::new(i.word(), i.name()));
        let mut columns = vec![
            Column::choose("ticket", "Ticket", tickets.collect()),
            Column::choose("vessel", "Vessel", vessels.collect()),
            Column::tick("vessel_empty", "Was empty"),
            Column::choose("kind", "Weighed or gauged", kinds),
            Column::number("amount", "Juice, all of it"),
            Column::number("temp", format!("Juice, {degrees}")),
            Column::choose("instrument", "Refractometer", instruments.collect()),
            Column::number("brix_1", "Brix 1"),
            Column::number("brix_2", "Brix 2"),
            Column::number("brix_3", "Brix 3"),
            Column::number("sediment", "Sediment"),
            Column::number("pressed", "Pressed at"),
            Column::tick("night", "After midnight"),
            Column::tick("sure", "Yes, it is so"),
        ];
        columns.extend(after_all);
        columns.push(Column::by("Measured by", &self.hands));
        columns
    }
}

/// Reads a row as the form of a juice does; `None` when a box cannot be read.
fn meant(sheet: &mut Sheet, units: Units, times: &PressTimes<'_>) -> Option<(TicketId, NewJuice)> {
    let has_time = pressed_times::on_paper(sheet, "pressed", times);
    let sure = rows::sure(sheet, &form::LOOKED_AT);
    let ticket = sheet.read("ticket", |text| {
        TicketId::parse(text).ok_or_else(|| Refused::new("Please choose the ticket."))
    });
    let juice = form::juice(sheet, units, times);
    sheet.put("sure", sure);
    Some((ticket?, juice?)).filter(|_| has_time)
}

/// Writes one row into the book.
async fn write(act: &Act, (ticket, new): (TicketId, NewJuice)) -> Done<JuiceId> {
    actions::record_juice(act, ticket, new).await
}

/// `GET /days/{date}/paper/juice`
pub(crate) async fn paper_form(
    mut request: PageRequest,
    Path(date): Path<String>,
    Query(taken): Query<RowsTaken>,
) -> Page {
    let pad = Pad::read(&mut request.db, &date).await?;
    let rows = rows::blank(&request.visit, &request.app.ids);
    page(&pad.page(&request.app, &request.visit, rows).after(&taken))
}

/// `POST /days/{date}/paper/juice`
pub(crate) async fn paper(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let pad = Pad::read(form.db.now().await?, &date).await?;
    let (visit, units) = (form.visit.clone(), form.visit.units());
    let times = times((&visit, visit.at), &pad.day, None)?;
    rows::each(
        form,
        &TELLING,
        |sheet| meant(sheet, units, &times).map(|meant| (meant, None)),
        write,
        paths::juice,
        async |form, rows, status| {
            pad.page(&form.app, &form.visit, rows)
                .again(form.sheet, status)
        },
    )
    .await
}
