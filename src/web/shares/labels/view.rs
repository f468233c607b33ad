//! The pages of labels and the public page of a lot, as text ready to print.

use super::form::{self, LabelOrder};
use crate::calc::paper::label::NetContents;
use crate::calc::paper::label_face::{Face, Square};
use crate::calc::paper::label_sheet::{COMMON, Dimensions, Paper};
use crate::calc::paper::qr::Qr;
use crate::store::shares::lots::{Filled, Lot};
use crate::units::MemberName;
use crate::web::app::SAY_ADDRESS;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths, statics};
use askama::Template;

/// The form that chooses labels.
#[derive(Template)]
#[template(path = "shares/labels/choose.html")]
pub(super) struct ChoosePage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    jars: Vec<Choice>,
    sheets: Vec<Choice>,
    shapes: Vec<Choice>,
    public: String,
    no_qr: bool,
    say_address: &'static str,
    weights: String,
    back: String,
}

impl ChoosePage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        lot: &Lot,
        filled: &[Filled],
        sheet: Sheet,
        no_qr: bool,
    ) -> Self {
        let units = visit.units();
        let jars = filled.iter().map(|jar| {
            let kind = if jar.part { "part-jar" } else { &jar.size_name };
            let words = format!("{kind}: {} net, {} filled", jar.net.small(units), jar.count);
            Choice::new(form::jar_word(jar), words)
        });
        Self {
            shell: Shell::new(app, visit, format!("Labels for lot {}", lot.code)),
            sheet,
            action: paths::label_sheet(&lot.code),
            jars: jars.collect(),
            sheets: sheets(),
            shapes: form::shapes(),
            public: paths::lot_public(&lot.code),
            no_qr,
            say_address: SAY_ADDRESS,
            weights: paths::jar_weights(&lot.code),
            back: paths::boil(&lot.code),
        }
    }
}

fn sheets() -> Vec<Choice> {
    COMMON
        .iter()
        .map(|d| {
            let words = match d.paper {
                // Packets of this paper give inches.
                Paper::Letter => format!(
                    "{} ({:.2} × {:.2} in)",
                    d.name(),
                    d.label_w_mm / 25.4,
                    d.label_h_mm / 25.4
                ),
                Paper::A4 => d.name(),
            };
            Choice::new(form::sheet_word(d), words)
        })
        .collect()
}

/// No labels for this lot, and why.
#[derive(Template)]
#[template(path = "shares/labels/shut.html")]
pub(super) struct ShutPage {
    shell: Shell,
    why: String,
    back: String,
}

impl ShutPage {
    pub(super) fn new(app: &App, visit: &Visit, lot: &Lot, why: String) -> Self {
        Self {
            shell: Shell::new(app, visit, format!("Labels for lot {}", lot.code)),
            why,
            back: paths::boil(&lot.code),
        }
    }
}

/// The labels as they are printed.
pub(super) struct Print {
    pub order: LabelOrder,
    pub face: Face,
    pub qr: Option<Qr>,
}

/// A line of words on the label; lengths in millimetres.
struct Words {
    text: String,
    x: String,
    y: String,
    size: String,
    length: String,
    bold: bool,
}

/// The QR code on the label; lengths in millimetres, its path in modules.
struct Code {
    x: String,
    y: String,
    side: String,
    modules: i32,
    path: String,
}

/// The place of a label on its page, in millimetres.
struct Spot {
    x: String,
    y: String,
}

/// A line of exactly 100 mm in the top margin, in millimetres.
struct Ruler {
    from: String,
    to: String,
    middle: String,
    y: String,
    words_y: String,
}

/// The sheets, to print: no frame, nothing on paper but labels and the ruler.
#[derive(Template)]
#[template(path = "shares/labels/sheet.html")]
pub(super) struct SheetPage {
    title: String,
    css: String,
    paper: &'static str,
    paper_words: &'static str,
    page_w: String,
    page_h: String,
    label_w: String,
    label_h: String,
    words: Vec<Words>,
    code: Option<Code>,
    outline: bool,
    ruler: Ruler,
    pages: Vec<Vec<Spot>>,
    back: String,
}

/// Millimetres as text for an SVG.
fn mm(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

impl SheetPage {
    pub(super) fn new(lot: &Lot, print: &Print) -> Self {
        let order = &print.order;
        let d = order.sheet.dimensions();
        let (page_w, page_h) = d.paper.size_mm();
        let words = print.face.lines.iter().map(|line| Words {
            text: line.text.clone(),
            x: mm(line.x_mm),
            y: mm(line.baseline_mm),
            size: mm(line.size_mm),
            length: mm(line.length_mm),
            bold: line.bold,
        });
        let code = print.qr.as_ref().zip(print.face.qr);
        Self {
            title: format!("Labels for lot {}", lot.code),
            css: statics::print_css(),
            paper: d.paper.word(),
            paper_words: match d.paper {
                Paper::Letter => "US Letter",
                Paper::A4 => "A4",
            },
            page_w: mm(page_w),
            page_h: mm(page_h),
            label_w: mm(d.label_w_mm),
            label_h: mm(d.label_h_mm),
            words: words.collect(),
            code: code.map(|(qr, square)| Code::new(qr, square)),
            outline: order.outline,
            ruler: Ruler::new(d),
            pages: spots(order),
            back: paths::boil_part(&lot.code, "labels"),
        }
    }
}

impl Code {
    fn new(qr: &Qr, square: Square) -> Self {
        Self {
            x: mm(square.x_mm),
            y: mm(square.y_mm),
            side: mm(square.side_mm),
            modules: qr.modules,
            path: qr.path.clone(),
        }
    }
}

impl Ruler {
    fn new(d: &Dimensions) -> Self {
        let (page_w, _) = d.paper.size_mm();
        // Just above the first labels: most printers leave the top 4 to 6 mm white.
        let y = d.top_mm - 2.0;
        Self {
            from: mm(page_w / 2.0 - 50.0),
            to: mm(page_w / 2.0 + 50.0),
            middle: mm(page_w / 2.0),
            y: mm(y),
            words_y: mm(y - 1.2),
        }
    }
}

/// The places of all labels, page by page.
fn spots(order: &LabelOrder) -> Vec<Vec<Spot>> {
    let mut pages: Vec<Vec<Spot>> = Vec::new();
    let last = order.gone + order.count;
    pages.resize_with(order.sheet.pages(last) as usize, Vec::new);
    for place in (order.gone..last).map(|n| order.sheet.place(n)) {
        if let Some(page) = pages.get_mut(place.page as usize) {
            page.push(Spot {
                x: mm(place.x_mm),
                y: mm(place.y_mm),
            });
        }
    }
    pages
}

/// A lot's public page.
#[derive(Template)]
#[template(path = "shares/labels/lot.html")]
pub(super) struct LotPage {
    shell: Shell,
    code: String,
    pressed: String,
    net: Vec<String>,
    coop: String,
    place: String,
    /// Whom to call; empty when nobody wrote a number down.
    phone: String,
    growers: Vec<String>,
}

impl LotPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        lot: &Lot,
        filled: &[Filled],
        growers: &[MemberName],
    ) -> Result<Self, PageError> {
        let coop = visit.coop()?;
        let net = filled.iter().filter_map(|jar| {
            let net = NetContents::of(jar.net).ok()?;
            Some(net.text())
        });
        Ok(Self {
            shell: Shell::new(app, visit, format!("Lot {}", lot.code)),
            code: lot.code.to_string(),
            pressed: lot.pressed.show(),
            net: net.collect(),
            coop: coop.name.clone(),
            place: coop.place.clone(),
            phone: coop.contact_phone.clone(),
            growers: growers.iter().map(MemberName::to_string).collect(),
        })
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    use crate::units::{BrixAt20C, Grams, LotCode, PressDate};

    let lot = Lot {
        code: LotCode::nth(2026, 300).unwrap(),
        pressed: PressDate::parse("2026-09-19").unwrap(),
        solids: BrixAt20C::new(78.2).ok(),
    };
    let jar = |part| Filled {
        size_name: "Pint <wide>".to_owned(),
        net: Grams::new(680),
        part,
        count: 40,
    };
    let choose = |sheet| ChoosePage {
        shell: Shell::sample("Labels"),
        sheet,
        action: paths::label_sheet(&lot.code),
        jars: vec![Choice::new("680", "Pint <wide>: 24 oz net, 40 filled")],
        sheets: sheets(),
        shapes: form::shapes(),
        public: paths::lot_public(&lot.code),
        no_qr: true,
        say_address: SAY_ADDRESS,
        weights: paths::jar_weights(&lot.code),
        back: paths::boil(&lot.code),
    };
    let mut wrong = Sheet::sample();
    for name in form::BOXES {
        wrong
            .put(name, "<b>")
            .refuse(name, "Please write something else.");
    }
    let print = |dimensions, with_qr| sheet_sample(&lot, jar(false), dimensions, with_qr);
    let public = |net: &[&str], growers: &[&str]| LotPage {
        shell: Shell::sample("Lot 26A9Z-P"),
        code: "26A9Z-P".to_owned(),
        pressed: "Sat 19 Sep 2026".to_owned(),
        net: net.iter().map(ToString::to_string).collect(),
        coop: "Coldwater <Ridge>".to_owned(),
        place: "Tolliver, TN 37999".to_owned(),
        phone: if net.is_empty() {
            ""
        } else {
            "+1 931 555 0100"
        }
        .to_owned(),
        growers: growers.iter().map(ToString::to_string).collect(),
    };
    vec![
        Box::new(choose(Sheet::sample())),
        Box::new(choose(wrong)),
        Box::new(ShutPage {
            shell: Shell::sample("Labels"),
            why: "This boil is not finished.".to_owned(),
            back: paths::boil(&lot.code),
        }),
        Box::new(print(COMMON[1], true)),
        Box::new(print(COMMON[3], false)),
        Box::new(public(&[], &[])),
        Box::new(public(
            &["Net Wt 24 oz (1 lb 8 oz) 680 g", "Net Wt 5.2 oz 148 g"],
            &["Amos <b>Trout</b>", "Zeb"],
        )),
    ]
}

#[cfg(test)]
fn sheet_sample(lot: &Lot, jar: Filled, dimensions: Dimensions, with_qr: bool) -> SheetPage {
    use crate::calc::paper::label::JarLabel;
    use crate::calc::paper::label_sheet::LabelSheet;
    use crate::calc::paper::panel::Panel;
    use crate::units::{BrixAt20C, Grams};

    let panel = Panel::Round {
        height_mm: 101.6,
        diameter_mm: 76.2,
    };
    let label = JarLabel::new(
        BrixAt20C::new(78.2).unwrap(),
        Grams::new(680),
        lot.code.clone(),
        "Coldwater <Ridge> & “Söhne” Pressing Co-op, Tolliver, TN 37999",
        lot.pressed,
        panel,
    )
    .unwrap();
    let qr = with_qr.then(|| Qr::of("HTTPS://MILL.EXAMPLE/L/26A9ZP").unwrap());
    let (w, h) = (dimensions.label_w_mm, dimensions.label_h_mm);
    let face = Face::of(&label, qr.as_ref(), w, h).unwrap();
    let order = LabelOrder {
        jar,
        count: 40,
        sheet: LabelSheet::new(dimensions).unwrap(),
        gone: 5,
        panel,
        outline: with_qr,
    };
    SheetPage::new(lot, &Print { order, face, qr })
}
