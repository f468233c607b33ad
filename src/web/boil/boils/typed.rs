//! Readings that stand on the reading sheet, keyed in row after row.

use super::form::{self, FormContext};
use crate::actions::boil::boils as actions;
use crate::actions::boil::boils::NewReading;
use crate::actions::{Act, Done};
use crate::store::Snapshot;
use crate::store::boil::boils::{self, BoilRow};
use crate::store::people::stations::{self, Hand};
use crate::store::turns::press_days;
use crate::units::{BoilId, LotCode, PressDate, Refused, Units};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::{FormRequest, PageRequest};
use crate::web::rows::{self, Column, Row, RowsPage, RowsTaken};
use crate::web::session::Visit;
use crate::web::{App, Page, page, paths};
use axum::extract::{Path, Query};

const INTRO: &str = "One row a reading, as on the reading sheet. A time before the boil was lit is one after midnight.";

/// The boxes of which one must be filled for a row to count.
const TELLING: [&str; 4] = ["temp", "brix", "read_at", "note"];

pub(super) struct Pad {
    pub(super) date: PressDate,
    pub(super) boils: Vec<BoilRow>,
    pub(super) hands: Vec<Hand>,
}

impl Pad {
    pub(super) async fn read(db: &mut Snapshot, date: &str) -> Result<Self, PageError> {
        let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
        let day = press_days::of_date(date)
            .ask(db)
            .await?
            .ok_or(PageError::NotFound)?;
        Ok(Self {
            date,
            boils: boils::of_day(day.id).ask(db).await?,
            hands: stations::hands(db).await?,
        })
    }

    fn page(&self, app: &App, visit: &Visit, rows: Vec<Row>) -> RowsPage {
        let title = format!("From paper: readings of {}", self.date.show());
        RowsPage::new(
            (app, visit),
            (title, INTRO),
            (paths::paper_readings(self.date), paths::day(self.date)),
            self.columns(visit.units()),
            rows,
        )
    }

    fn columns(&self, units: Units) -> Vec<Column> {
        let degrees = match units {
            Units::Us => "°F",
            Units::Metric => "°C",
        };
        vec![
            self.lots(|_| true),
            Column::number("read_at", "Time"),
            Column::number("temp", format!("Pan, {degrees}")),
            Column::number("brix", "°Bx"),
            Column::text("note", "Skimmed, added"),
            Column::by("Read by", &self.hands),
        ]
    }

    /// The lots of those boils of the day that it is about.
    pub(super) fn lots(&self, about: impl Fn(&BoilRow) -> bool) -> Column {
        let lots = self.boils.iter().filter(|b| about(b));
        let lots = lots.map(|b| Choice::new(b.lot.as_str(), b.lot.to_string()));
        Column::choose("lot", "Lot", lots.collect())
    }

    /// The boil of a row; on paper its entry has a time, in the box of that name.
    pub(super) fn boil(&self, sheet: &mut Sheet, time: &str) -> Option<&BoilRow> {
        let boil = sheet.read("lot", |text| {
            let found = self.boils.iter().find(|b| b.lot.as_str() == text);
            found.ok_or_else(|| Refused::new("Please choose the lot."))
        });
        if sheet.typed(time).trim().is_empty() {
            sheet.refuse(time, "Please write the time that stands on the paper.");
            return None;
        }
        boil
    }

    /// Reads a row as the form of a reading does; `None` when a box cannot be read.
    fn meant(&self, sheet: &mut Sheet, here: FormContext<'_>) -> Option<(LotCode, NewReading)> {
        let boil = self.boil(sheet, "read_at")?;
        let new = form::reading(sheet, here, boil.lit_at)?;
        Some((boil.lot.clone(), new))
    }
}

/// Notes one reading.
async fn read_one(act: &Act, (lot, new): (LotCode, NewReading)) -> Done<BoilId> {
    actions::read(act, &lot, new).await
}

/// `GET /days/{date}/paper/readings`
pub(crate) async fn paper_form(
    mut request: PageRequest,
    Path(date): Path<String>,
    Query(taken): Query<RowsTaken>,
) -> Page {
    let pad = Pad::read(&mut request.db, &date).await?;
    let mut rows = rows::blank(&request.visit, &request.app.ids);
    if let [boil] = pad.boils.as_slice() {
        for row in &mut rows {
            row.sheet.put("lot", boil.lot.as_str());
        }
    }
    page(&pad.page(&request.app, &request.visit, rows).after(&taken))
}

/// `POST /days/{date}/paper/readings`
pub(crate) async fn paper(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let pad = Pad::read(form.db.now().await?, &date).await?;
    let visit = form.visit.clone();
    let here = FormContext::of(&visit, visit.at)?;
    rows::each(
        form,
        &TELLING,
        |sheet| pad.meant(sheet, here).map(|meant| (meant, None)),
        read_one,
        |_| paths::BOILS.to_owned(),
        async |form, rows, status| {
            pad.page(&form.app, &form.visit, rows)
                .again(form.sheet, status)
        },
    )
    .await
}
