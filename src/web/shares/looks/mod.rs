//! What a lot is like, written down beside it: Brix, temperature, colour, taste; pH and smell of juice that had waited.

pub(in crate::web) mod colours;

use crate::actions::Act;
use crate::actions::shares::lot_looks as actions;
use crate::store::shares::lot_looks::{self, Colour, Look, LookRow};
use crate::units::{BrixRead, Celsius, LotCode, Refused, Units, Zone, decimal, fixed, plain_text};
use crate::web::boil::boil_of_path::boil_of_path;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, page_with, paths};
use askama::Template;
use axum::extract::Path;

/// The page of the looks at a lot.
#[derive(Template)]
#[template(path = "shares/looks/show.html")]
struct LooksPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    temp_label: String,
    /// The colours to choose from; empty: the co-op has no card yet, and words are written.
    colours: Vec<Choice>,
    lines: Vec<String>,
    hold: String,
    back: String,
}

/// "Sat 19 Sep 2026 16:40, Ruth Bell: 78.2 °Bx at 24 °C; colour amber 3; taste: mild"
pub(in crate::web::shares) fn look_line(row: &LookRow, units: Units, zone: &Zone) -> String {
    let look = &row.look;
    let mut said = Vec::new();
    if let Some(brix) = look.brix {
        said.push(format!("{} as read", brix.show()));
    }
    if let Some(temp) = look.temp {
        said.push(temp.show(units));
    }
    if let Some(ph) = look.ph {
        said.push(format!("juice pH {}", fixed(ph, 1, units)));
    }
    let words = [
        ("colour ", &look.colour),
        ("taste: ", &look.taste),
        ("smell of the juice: ", &look.smell),
    ];
    for (what, text) in words {
        if !text.is_empty() {
            said.push(format!("{what}{text}"));
        }
    }
    format!(
        "{}, {}: {}",
        zone.show(row.at),
        row.by_name,
        said.join("; ")
    )
}

impl LooksPage {
    fn new(
        (app, visit): (&App, &Visit),
        (lot, rows, card): (&LotCode, &[LookRow], &[Colour]),
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let (units, zone) = (visit.units(), visit.zone()?);
        Ok(Self {
            shell: Shell::new(app, visit, format!("What lot {lot} is like")),
            sheet,
            action: paths::lot_looks(lot),
            temp_label: temp_label(units),
            colours: choices(card),
            lines: rows.iter().map(|r| look_line(r, units, zone)).collect(),
            hold: paths::hold(lot),
            back: paths::lot_trace(lot),
        })
    }
}

/// "Not looked at", and the colours in use; nothing while there are none.
fn choices(card: &[Colour]) -> Vec<Choice> {
    let in_use: Vec<Choice> = card
        .iter()
        .filter(|c| c.in_use)
        .map(|c| Choice::new(c.name.as_str(), c.name.as_str()))
        .collect();
    if in_use.is_empty() {
        return in_use;
    }
    let none = Choice::new("", "not looked at");
    std::iter::once(none).chain(in_use).collect()
}

fn temp_label(units: Units) -> String {
    let sign = if units == Units::Us { "°F" } else { "°C" };
    format!("Temperature of the syrup, {sign}")
}

/// Reads every box of the form; `None` when one cannot be read.
fn look(sheet: &mut Sheet, units: Units) -> Option<Look> {
    let brix = sheet.read_optional("brix", BrixRead::parse);
    let temp = sheet.read_optional("temp", |t| Celsius::parse(t, units));
    let colour = sheet.read("colour", |t| plain_text(t, 0, 40));
    let taste = sheet.read("taste", |t| plain_text(t, 0, 300));
    let ph = sheet.read_optional("ph", |text| {
        let ph = decimal(text)?;
        if (0.0..=14.0).contains(&ph) {
            Ok(ph)
        } else {
            Err(Refused::new("pH goes from 0 to 14; fresh juice is near 5."))
        }
    });
    let smell = sheet.read("smell", |t| plain_text(t, 0, 300));
    Some(Look {
        brix: brix?,
        temp: temp?,
        colour: colour?,
        taste: taste?,
        ph: ph?,
        smell: smell?,
    })
}

/// `GET /boils/{lot}/looks`
pub(crate) async fn show(mut request: PageRequest, Path(lot): Path<String>) -> Page {
    let boil = boil_of_path(&mut request.db, &lot).await?;
    let rows = lot_looks::of_boil(boil.id).ask(&mut request.db).await?;
    let card = lot_looks::colours().ask(&mut request.db).await?;
    let sheet = request.blank();
    let site = (&request.app, &request.visit);
    page(&LooksPage::new(site, (&boil.lot, &rows, &card), sheet)?)
}

/// `POST /boils/{lot}/looks`
pub(crate) async fn note(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let boil = boil_of_path(db, &lot).await?;
    let rows = lot_looks::of_boil(boil.id).ask(db).await?;
    let card = lot_looks::colours().ask(db).await?;
    let new = look(&mut form.sheet, form.visit.units());
    form.end(
        new,
        async |act: &Act, new| actions::note(act, &boil.lot, new).await,
        |()| paths::lot_trace(&boil.lot),
        async |form| {
            let status = form.sheet.status();
            let site = (&form.app, &form.visit);
            let view = LooksPage::new(site, (&boil.lot, &rows, &card), form.sheet)?;
            page_with(status, &view)
        },
    )
    .await
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let view = |sheet, many| LooksPage {
        shell: Shell::sample("What lot 26A9Z-P is like"),
        sheet,
        action: "/boils/26A9ZP/looks".to_owned(),
        temp_label: temp_label(Units::Us),
        colours: choices(&colours::sample(many)),
        lines: (0..many)
            .map(|_| "Ruth <b>Bell</b>: colour <amber> 3".to_owned())
            .collect(),
        hold: "/boils/26A9ZP/hold".to_owned(),
        back: "/boils/26A9ZP/trace".to_owned(),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("taste", "<script>")
        .refuse("ph", "pH goes from 0 to 14; fresh juice is near 5.");
    vec![Box::new(view(Sheet::sample(), 0)), Box::new(view(wrong, 5))]
}
