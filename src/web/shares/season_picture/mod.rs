//! A member's season as a picture: cane, juice, Brix beside the mill's median, syrup, jars, carried, and the season
//! before beside it. Every bar has its figure in words.

use crate::calc::shares::season_picture::{MySeason, bar};
use crate::facts::shares::season_picture::{Pictured, my_seasons};
use crate::facts::shares::syrup_lost::SyrupLost;
use crate::store::Together;
use crate::store::season::seasons::{self, Season};
use crate::units::{BrixAt20C, Grams, MemberName, RateUnit, Units, Zone};
use crate::web::error::PageError;
use crate::web::people::members::seen_by;
use crate::web::reopened::may_change;
use crate::web::request::PageRequest;
use crate::web::shell::Shell;
use crate::web::{Page, page, paths};
use askama::Template;
use axum::extract::Path;

/// One bar with its figure.
struct BarLine {
    /// What the bar stands for: "2026", "the mill’s median".
    of: String,
    figure: String,
    length: u32,
    /// Whether it is of the season shown, not the one before or the mill.
    own: bool,
}

/// Bars of one kind, on one scale.
struct Kind {
    head: &'static str,
    bars: Vec<BarLine>,
    /// What the bars show, in a sentence; empty: nothing to tell.
    says: String,
}

/// The page of a member's season in pictures.
#[derive(Template)]
#[template(path = "shares/season_picture/show.html")]
struct SeasonPicturePage {
    shell: Shell,
    /// Of a card that is not the reader's own: the name on it.
    name: String,
    /// The name that stands at the head of every page on paper.
    whose: String,
    made: String,
    kinds: Vec<Kind>,
    carried: String,
    /// That lots are open to be put right; empty: none is.
    may_change: String,
    statement: String,
    /// The season before, on a page of its own; empty: there is none.
    before: String,
    before_year: i64,
}

/// `GET /members/{id}/season/{year}`
pub(crate) async fn show(
    mut request: PageRequest,
    Path((id, year)): Path<(String, String)>,
) -> Page {
    let db = &mut request.db;
    let member = seen_by(db, &request.me, &id).await?;
    let year: i64 = year.parse().map_err(|_| PageError::NotFound)?;
    let found = (seasons::of_year(year), seasons::of_year(year - 1)).together();
    let (season, before) = found.ask(db).await?;
    let season = season.ok_or(PageError::NotFound)?;
    let wanted: Vec<&Season> = [&season].into_iter().chain(&before).collect();
    let mut read = my_seasons(db, &wanted, member.id).await?.into_iter();
    let shown = read.next().ok_or(PageError::NotFound)?;
    let before = read.next().map(|before| before.figures);
    let (units, zone) = (request.visit.units(), request.visit.zone()?);
    let title = if member.id == request.me.id {
        format!("Your season {year}")
    } else {
        format!("{}: season {year}", member.name)
    };
    page(&SeasonPicturePage {
        shell: Shell::new(&request.app, &request.visit, title),
        name: whose(member.id == request.me.id, &member.name),
        kinds: kinds(
            (year, &shown.figures),
            before.as_ref(),
            (units, &lost(&shown, units, zone)),
        ),
        whose: member.name.to_string(),
        made: zone.show(request.visit.at),
        carried: carried(&shown.figures, units),
        may_change: may_change(&shown.reopened.iter().collect()),
        statement: paths::statement(member.id, year),
        before: before.map_or_else(String::new, |_| paths::season_picture(member.id, year - 1)),
        before_year: year - 1,
    })
}

/// What was lost of the syrup of the member's lots, in sentences.
fn lost(shown: &Pictured, units: Units, zone: &Zone) -> String {
    let nothing = (Grams::ZERO, Grams::ZERO);
    let says = shown.lost.iter().map(|(lost, part)| {
        let own = SyrupLost::own_says(*part, nothing, units);
        format!("{} {own}", lost.says(units, zone))
    });
    says.collect::<Vec<_>>().join(" ").trim_end().to_owned()
}

/// What the season bearing losses moved, as it goes on behind the balance; empty: nothing.
fn moved_by_losses(moved: (Grams, Grams), units: Units) -> String {
    if moved == (Grams::ZERO, Grams::ZERO) {
        return String::new();
    }
    let (good, gave) = (moved.0.said(units), moved.1.said(units));
    format!(
        " Because the season bears syrup that was lost, {good} was made good to you, and you gave up {gave}: that is in it."
    )
}

/// The balance of syrup in a sentence, with what the season bearing losses moved of it.
fn carried(season: &MySeason, units: Units) -> String {
    let moved = moved_by_losses(season.by_losses, units);
    let balance = match season.carried {
        Grams::ZERO => "No syrup is carried to your next lot.".to_owned(),
        more if more > Grams::ZERO => {
            format!("{} of syrup is carried to your next lot.", more.said(units))
        }
        less => format!("You have had {} of syrup in advance.", (-less).said(units)),
    };
    format!("{balance}{moved}")
}

fn whose(own: bool, name: &MemberName) -> String {
    if own { String::new() } else { name.to_string() }
}

/// Picks one figure of a member's season.
type Figure = fn(&MySeason) -> Grams;

/// Bars of grams. Their scale goes to the most of `scale`, which several kinds may share.
fn weights(
    head: &'static str,
    (figure, scale): (Figure, Figure),
    (year, season): (i64, &MySeason),
    before: Option<&MySeason>,
    units: Units,
) -> Kind {
    let both = [
        Some((year, season, true)),
        before.map(|b| (year - 1, b, false)),
    ];
    let both: Vec<_> = both.into_iter().flatten().collect();
    let most = both.iter().map(|(_, s, _)| scale(s)).max();
    let most = most.unwrap_or_default().as_f64();
    let line = |(year, season, own): (i64, &MySeason, bool)| BarLine {
        of: year.to_string(),
        figure: figure(season).show(units),
        length: bar(figure(season).as_f64(), most),
        own,
    };
    Kind {
        head,
        says: String::new(),
        bars: both.into_iter().map(line).collect(),
    }
}

/// The bars of Brix: the own of each season, and the mill's median.
fn sweetness((year, season): (i64, &MySeason), before: Option<&MySeason>) -> Kind {
    let figures = [
        (year.to_string(), season.brix(), true),
        ("the mill’s median".to_owned(), season.mill_brix, false),
        (
            (year - 1).to_string(),
            before.and_then(MySeason::brix),
            false,
        ),
    ];
    let most = figures.iter().filter_map(|(_, brix, _)| *brix);
    let most = most.fold(0.0, f64::max);
    let bars = figures.into_iter().filter_map(|(of, brix, own)| {
        Some(BarLine {
            of,
            figure: brix_shown(brix?),
            length: bar(brix?, most),
            own,
        })
    });
    let says = match (season.brix(), season.mill_brix) {
        (Some(own), Some(mill)) if (own - mill).abs() < 0.05 => {
            "Your juice was as sweet as the mill’s median.".to_owned()
        }
        (Some(own), Some(mill)) => format!(
            "Your juice was {:.1} °Bx {} than the mill’s median.",
            (own - mill).abs(),
            if own > mill { "sweeter" } else { "less sweet" }
        ),
        (Some(_), None) => {
            "The mill’s median is shown once three members’ juice is measured.".to_owned()
        }
        (None, _) => String::new(),
    };
    Kind {
        head: "Sweetness of the juice, Brix at 20 °C",
        bars: bars.collect(),
        says,
    }
}

fn brix_shown(brix: f64) -> String {
    BrixAt20C::new(brix).map_or_else(|_| String::new(), BrixAt20C::show)
}

/// The bars of syrup that was lost, on the scale of the other syrup, with what is said of it.
fn syrup_lost(
    (year, own): (i64, &MySeason),
    before: Option<&MySeason>,
    scale: Figure,
    (units, says): (Units, &str),
) -> Kind {
    let head = "Syrup lost: what would have been your part";
    let figures: (Figure, Figure) = (|s| s.syrup_lost, scale);
    let mut kind = weights(head, figures, (year, own), before, units);
    says.clone_into(&mut kind.says);
    // As the sentence says it: of little, a tenth of a pound would be another weight.
    for (bar, season) in kind.bars.iter_mut().zip([own].into_iter().chain(before)) {
        bar.figure = season.syrup_lost.said(units);
    }
    kind
}

/// The kinds of bars, from the field to the jar; what neither season has is left out.
fn kinds(
    season: (i64, &MySeason),
    before: Option<&MySeason>,
    (units, lost): (Units, &str),
) -> Vec<Kind> {
    let before = before.filter(|before| !before.is_empty());
    let (_, own) = season;
    let unit = RateUnit::of_mass(units).sign();
    let most_syrup: Figure = |s| s.entitled.max(s.jarred).max(s.syrup_lost);
    let mut cane = weights("Cane", (|s| s.cane, |s| s.cane), season, before, units);
    let mut juice = weights("Juice", (|s| s.juice, |s| s.cane), season, before, units);
    if let Some(of_100) = own.juice_of_100() {
        let rest = if own.pressed < own.cane {
            format!(" {} was not pressed.", (own.cane - own.pressed).show(units))
        } else {
            String::new()
        };
        let spilt = if own.lost > Grams::ZERO {
            format!(
                " {} of it was spilt or spoilt: no syrup comes of that.",
                own.lost.show(units)
            )
        } else {
            String::new()
        };
        juice.says = format!(
            "From every 100 {unit} of pressed cane came {of_100:.1} {unit} of juice.{rest}{spilt}"
        );
    }
    if let Some(then) = before.filter(|then| then.cane > Grams::ZERO) {
        let of_100 = 100.0 * own.cane.as_f64() / then.cane.as_f64();
        cane.says =
            format!("That is {of_100:.0} {unit} for every 100 {unit} of the season before.");
    }
    let mut all = vec![
        cane,
        juice,
        sweetness(season, before),
        weights(
            "Syrup, your part",
            (|s| s.entitled, most_syrup),
            season,
            before,
            units,
        ),
        syrup_lost(season, before, most_syrup, (units, lost)),
        weights(
            "In your jars",
            (|s| s.jarred, most_syrup),
            season,
            before,
            units,
        ),
    ];
    if own.off_shelf > Grams::ZERO
        && let Some(jars) = all.last_mut()
    {
        jars.says = format!(
            "{} more was set aside for you in jars that broke on the mill’s shelf or are missing there.",
            own.off_shelf.said(units)
        );
    }
    all.retain(|kind| kind.bars.iter().any(|bar| bar.length > 0));
    all
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let season = MySeason {
        cane: Grams::new(643_000),
        pressed: Grams::new(643_000),
        juice: Grams::new(270_000),
        lost: Grams::new(9_000),
        solids: Grams::new(41_000),
        mill_brix: Some(15.4),
        entitled: Grams::new(41_300),
        jarred: Grams::new(40_100),
        off_shelf: Grams::new(1_360),
        syrup_lost: Grams::new(900),
        by_losses: (Grams::new(900), Grams::new(300)),
        carried: Grams::new(1200),
    };
    let sample = |season: &MySeason, before: Option<&MySeason>, name: &str| SeasonPicturePage {
        shell: Shell::sample("Your season 2026"),
        name: name.to_owned(),
        kinds: kinds(
            (2026, season),
            before,
            (
                Units::Us,
                "2.2 lb of the syrup of lot 26001-X was <spilled>.",
            ),
        ),
        whose: "Ann <b>Fenn</b>".to_owned(),
        made: "Sat 19 Sep 2026 16:40".to_owned(),
        carried: "2.6 lb of syrup is carried to the next lot.".to_owned(),
        may_change: name.to_owned(),
        statement: "/members/1/statement/2026".to_owned(),
        before: before.map_or_else(String::new, |_| "/members/1/season/2025".to_owned()),
        before_year: 2025,
    };
    vec![
        Box::new(sample(&MySeason::default(), None, "")),
        Box::new(sample(&season, Some(&season), "Ann <b>Fenn</b>")),
        Box::new(sample(&season, None, "")),
    ]
}
