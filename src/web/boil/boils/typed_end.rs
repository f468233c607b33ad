//! Finishes and filled jars that stand on the reading sheet, keyed in row after row.

use super::form::{self, FormContext, instant};
use super::typed::Pad;
use crate::actions::boil::boils_finish::{self as actions, MOST_JARS, NewFills, NewFinish};
use crate::actions::{Act, Done, Stop};
use crate::calc::RuleRefusal;
use crate::calc::boil::sums::Stage;
use crate::calc::physics::energy::Fuel;
use crate::calc::physics::refractometer::Instrument;
use crate::store::Snapshot;
use crate::store::boil::pans;
use crate::store::season::seasons::{self, JarSize};
use crate::units::{BoilId, Grams, LotCode, whole};
use crate::web::boil::boil_words::{degrees, in_words};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::{FormRequest, PageRequest};
use crate::web::rows::{self, Column, Row, RowsPage, RowsTaken};
use crate::web::session::Visit;
use crate::web::{App, Page, page, paths};
use axum::extract::{Path, Query};

const FINISHES: &str = "One row a boil, as at the foot of the reading sheet. A finish that is in the book is put right on the page of its boil.";
const JARS: &str = "One row a size, as at the foot of the reading sheet. The finish of a boil comes before its jars.";

/// The boxes of which one must be filled for a row of a finish to count.
const TELLING_FINISH: [&str; 4] = ["syrup", "finish_brix", "sample", "finished_at"];
/// The boxes of which one must be filled for a row of jars to count.
const TELLING_JARS: [&str; 3] = ["count", "part", "filled_at"];

/// The boils of a day, and what each burns.
struct Finishes {
    pad: Pad,
    fuels: Vec<Option<Fuel>>,
}

impl Finishes {
    async fn read(db: &mut Snapshot, date: &str) -> Result<Self, PageError> {
        let pad = Pad::read(db, date).await?;
        let pans = pans::list().ask(db).await?;
        let fuel = |id| pans.iter().find(|p| p.id == id).map(|p| p.settings.fuel);
        let fuels = pad.boils.iter().map(|b| b.pan_id.and_then(fuel)).collect();
        Ok(Self { pad, fuels })
    }

    fn page(&self, app: &App, visit: &Visit, rows: Vec<Row>) -> RowsPage {
        let (date, units) = (self.pad.date, visit.units());
        let (weight, degrees) = (in_words(units, "lb", "kg"), degrees(units));
        let instruments = Instrument::ALL.map(|i| Choice::new(i.word(), i.name()));
        let columns = vec![
            self.pad.lots(|boil| boil.stage() == Stage::Lit),
            Column::number("finished_at", "Drawn off at"),
            Column::number("syrup", format!("Syrup, {weight}")),
            Column::number("finish_brix", "°Bx"),
            Column::number("sample", format!("Drop, {degrees}")),
            Column::choose("instrument", "Instrument", instruments.into()),
            Column::number("finish_temp", format!("Pan when drawn off, {degrees}")),
            Column::number("skimmed", format!("Skimmings, {weight}")),
            Column::number("spilt", format!("Spilt, {weight}")),
            Column::number("fuel_burnt", "Fuel burnt"),
            Column::tick("fuel_sure", "That much was burnt"),
            Column::tick("thin", "It stays thinner than 74 %"),
            Column::tick("low", "Looked at: the figures are right"),
            Column::by("Measured by", &self.pad.hands),
        ];
        let title = format!("From paper: finishes of {}", date.show());
        RowsPage::new(
            (app, visit),
            (title, FINISHES),
            (paths::paper_finishes(date), paths::day(date)),
            columns,
            rows,
        )
    }

    /// Reads a row as the form of a finish does; `None` when a box cannot be read.
    fn meant(&self, sheet: &mut Sheet, here: FormContext<'_>) -> Option<(LotCode, NewFinish)> {
        let boil = self.pad.boil(sheet, "finished_at")?;
        let mut own = self.pad.boils.iter().zip(&self.fuels);
        let fuel = own.find(|(b, _)| b.id == boil.id).and_then(|(_, f)| *f);
        sheet.put("fuel_kind", fuel.map_or("", Fuel::word));
        // A row has no box for a reason: what is in the book already is not put right here.
        sheet.put("finish_why", "");
        let new = form::finish(sheet, here, boil)?;
        Some((boil.lot.clone(), new))
    }
}

/// Writes one finish down.
async fn finish_one(act: &Act, (lot, new): (LotCode, NewFinish)) -> Done<BoilId> {
    actions::finish(act, &lot, new).await
}

/// `GET /days/{date}/paper/finishes`
pub(crate) async fn finishes_form(
    mut request: PageRequest,
    Path(date): Path<String>,
    Query(taken): Query<RowsTaken>,
) -> Page {
    let of = Finishes::read(&mut request.db, &date).await?;
    let rows = rows::blank(&request.visit, &request.app.ids);
    page(&of.page(&request.app, &request.visit, rows).after(&taken))
}

/// `POST /days/{date}/paper/finishes`
pub(crate) async fn finishes(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let of = Finishes::read(form.db.now().await?, &date).await?;
    let visit = form.visit.clone();
    let here = FormContext::of(&visit, visit.at)?;
    rows::each(
        form,
        &TELLING_FINISH,
        |sheet| of.meant(sheet, here).map(|meant| (meant, None)),
        finish_one,
        |_| paths::BOILS.to_owned(),
        async |form, rows, status| {
            of.page(&form.app, &form.visit, rows)
                .again(form.sheet, status)
        },
    )
    .await
}

/// The finished boils of a day, and the jars of their rules.
struct Jars {
    pad: Pad,
    sizes: Vec<JarSize>,
}

impl Jars {
    async fn read(db: &mut Snapshot, date: &str) -> Result<Self, PageError> {
        let pad = Pad::read(db, date).await?;
        let mut sizes: Vec<JarSize> = Vec::new();
        for boil in &pad.boils {
            for size in seasons::jar_sizes(boil.rules_id).ask(db).await? {
                if !sizes.iter().any(|s| s.net == size.net) {
                    sizes.push(size);
                }
            }
        }
        Ok(Self { pad, sizes })
    }

    fn page(&self, app: &App, visit: &Visit, rows: Vec<Row>) -> RowsPage {
        let (date, units) = (self.pad.date, visit.units());
        let sizes = self.sizes.iter();
        let sizes = sizes.map(|s| Choice::new(s.net.get().to_string(), s.name.clone()));
        let part = in_words(units, "oz", "g");
        let columns = vec![
            self.pad.lots(|boil| boil.stage() == Stage::Finished),
            Column::number("filled_at", "Filled at"),
            Column::choose("size", "Jars", sizes.collect()),
            Column::number("count", "How many"),
            Column::number("part", format!("A part-jar, {part}")),
            Column::by("Filled by", &self.pad.hands),
        ];
        let title = format!("From paper: jars of {}", date.show());
        RowsPage::new(
            (app, visit),
            (title, JARS),
            (paths::paper_jars(date), paths::day(date)),
            columns,
            rows,
        )
    }

    /// Reads a row: jars of one size, a part-jar, or both; `None` when a box cannot be read.
    fn meant(&self, sheet: &mut Sheet, here: FormContext<'_>) -> Option<(LotCode, NewFills)> {
        let boil = self.pad.boil(sheet, "filled_at")?;
        let lit = boil.finish.as_ref().map_or(boil.lit_at, |f| f.finished_at);
        let filled_at = sheet.read("filled_at", |text| instant(text, here, lit));
        let count = sheet.read_optional("count", |text| whole(text, 0, MOST_JARS));
        let part = sheet.read_optional("part", |text| Grams::parse_small(text, here.units));
        let (filled_at, count, part) = (filled_at?, count?, part?);
        let counts = match count {
            None => Vec::new(),
            Some(count) => {
                let Some(size) = self.size(sheet.typed("size")) else {
                    sheet.refuse("size", "Please choose which jars.");
                    return None;
                };
                vec![(size, count)]
            }
        };
        let new = NewFills {
            counts,
            part,
            filled_at: Some(filled_at),
            units: here.units,
        };
        Some((boil.lot.clone(), new))
    }

    fn size(&self, typed: &str) -> Option<Grams> {
        let mut nets = self.sizes.iter().map(|size| size.net);
        nets.find(|net| net.get().to_string() == typed)
    }
}

/// Writes one row of jars down; what is wrong with a box of the boil's page is shown at the row's.
async fn fill_one(act: &Act, (lot, new): (LotCode, NewFills)) -> Done<BoilId> {
    let counted = new.part.is_none();
    let done = actions::fill(act, &lot, new).await;
    done.map_err(|stop| match stop {
        Stop::RuleRefusal(refusal) if counted && refusal.at == Some("count_1") => {
            Stop::RuleRefusal(RuleRefusal {
                at: Some("count"),
                ..refusal
            })
        }
        stop => stop,
    })
}

/// `GET /days/{date}/paper/jars`
pub(crate) async fn jars_form(
    mut request: PageRequest,
    Path(date): Path<String>,
    Query(taken): Query<RowsTaken>,
) -> Page {
    let of = Jars::read(&mut request.db, &date).await?;
    let rows = rows::blank(&request.visit, &request.app.ids);
    page(&of.page(&request.app, &request.visit, rows).after(&taken))
}

/// `POST /days/{date}/paper/jars`
pub(crate) async fn jars(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let of = Jars::read(form.db.now().await?, &date).await?;
    let visit = form.visit.clone();
    let here = FormContext::of(&visit, visit.at)?;
    rows::each(
        form,
        &TELLING_JARS,
        |sheet| of.meant(sheet, here).map(|meant| (meant, None)),
        fill_one,
        |_| paths::BOILS.to_owned(),
        async |form, rows, status| {
            of.page(&form.app, &form.visit, rows)
                .again(form.sheet, status)
        },
    )
    .await
}
