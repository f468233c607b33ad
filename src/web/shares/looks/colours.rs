//! The co-op's own colour card, that looks at lots pick from. A steward's page.

use crate::actions::Act;
use crate::actions::shares::lot_looks as actions;
use crate::store::shares::lot_looks::{self, Colour};
use crate::units::{Refused, one_line};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, page_with, paths};
use askama::Template;
use axum::extract::Path;

/// The shade in the box for a new colour before anybody picks one.
const AMBER: &str = "#b06a18";

/// A colour with the form of its button.
struct ColourRow {
    sheet: Sheet,
    colour: Colour,
    retire: String,
    words: String,
}

/// The page of the colour card.
#[derive(Template)]
#[template(path = "shares/looks/colours.html")]
struct ColoursPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    rows: Vec<ColourRow>,
    back: &'static str,
}

fn row(colour: &Colour, sheet: Sheet) -> ColourRow {
    let name = &colour.name;
    ColourRow {
        sheet,
        retire: paths::retire_colour(colour.number),
        words: if colour.in_use {
            format!("Take {name} out of use")
        } else {
            format!("Take {name} back into use")
        },
        colour: colour.clone(),
    }
}

impl ColoursPage {
    fn new((app, visit): (&App, &Visit), card: &[Colour], sheet: Sheet) -> Self {
        let blank = || Sheet::blank(visit, &app.ids);
        Self {
            shell: Shell::new(app, visit, "Colour card"),
            sheet,
            action: paths::COLOURS,
            rows: card.iter().map(|c| row(c, blank())).collect(),
            back: paths::MILL,
        }
    }
}

/// Reads red, green and blue as a colour box sends them.
fn shade(text: &str) -> Result<String, Refused> {
    let shade = text.trim().to_lowercase();
    let digits = shade.strip_prefix('#').unwrap_or_default();
    if digits.len() == 6 && digits.chars().all(|c| c.is_ascii_hexdigit()) {
        return Ok(shade);
    }
    Err(Refused::new(
        "Please pick a colour, or write it as # and six digits, like #b06a18.",
    ))
}

/// `GET /mill/colours`
pub(crate) async fn show(mut request: PageRequest) -> Page {
    let card = lot_looks::colours().ask(&mut request.db).await?;
    let mut sheet = request.blank();
    sheet.put("shade", AMBER);
    let site = (&request.app, &request.visit);
    page(&ColoursPage::new(site, &card, sheet))
}

/// `POST /mill/colours`
pub(crate) async fn add(mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let card = lot_looks::colours().ask(db).await?;
    let name = form.sheet.read("colour_name", |t| one_line(t, 1, 40));
    let shade = form.sheet.read("shade", shade);
    form.end(
        name.zip(shade),
        async |act: &Act, (name, shade)| actions::add_colour(act, name, shade).await,
        |()| paths::COLOURS.to_owned(),
        async |form| {
            let status = form.sheet.status();
            let site = (&form.app, &form.visit);
            page_with(status, &ColoursPage::new(site, &card, form.sheet))
        },
    )
    .await
}

/// `POST /mill/colours/{number}/retire`
pub(crate) async fn retire(Path(number): Path<String>, form: FormRequest) -> Page {
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let out = form.out_of_use();
    form.press(
        async |act: &Act| actions::retire_colour(act, number, out).await,
        paths::COLOURS,
    )
    .await
}

#[cfg(test)]
pub(super) fn sample(many: i64) -> Vec<Colour> {
    let colour = |number: i64| Colour {
        number,
        name: format!("<amber> {number}"),
        shade: AMBER.to_owned(),
        in_use: number % 2 == 0,
    };
    (0..many).map(colour).collect()
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let view = |many, sheet| ColoursPage {
        shell: Shell::sample("Colour card"),
        sheet,
        action: paths::COLOURS,
        rows: sample(many)
            .iter()
            .map(|c| row(c, Sheet::sample()))
            .collect(),
        back: paths::MILL,
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("colour_name", "<script>")
        .refuse("shade", "Please pick a colour.");
    vec![Box::new(view(0, Sheet::sample())), Box::new(view(5, wrong))]
}
