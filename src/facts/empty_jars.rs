//! Empty jars: what is left of each size, what was used, and what the next press day needs.

use crate::calc::boil::empty_jars::{Size, Stock, needed, syrup_of_cane};
use crate::calc::turns::day_board::is_over;
use crate::facts::season::season_plan::SeasonPlan;
use crate::store::boil::empty_jars::{self, EmptyRow};
use crate::store::season::seasons;
use crate::store::turns::press_days;
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{Grams, PressDate, UtcSecond};

/// One size of empty jars.
#[derive(Debug, Clone)]
pub struct OfSize {
    /// Name of the size.
    pub name: String,
    /// Whether it was ever counted.
    pub ever: bool,
    /// What was counted, and what came and went since.
    pub stock: Stock,
    /// What the next press day needs; `None`: no day is planned, or the season's rules have no such size.
    pub needs: Option<i64>,
}

/// The next press day, as far as its turns are booked.
#[derive(Debug, Clone, Copy)]
pub struct NextDay {
    /// Its date.
    pub date: PressDate,
    /// Cane that stands in its turns.
    pub cane: Grams,
    /// Syrup to expect of that cane.
    pub syrup: Grams,
}

/// The stock of empty jars, size by size.
#[derive(Debug)]
pub struct EmptyJars {
    /// Size by size: those of the rules first.
    pub sizes: Vec<OfSize>,
    /// The next press day; `None`: none is planned.
    pub day: Option<NextDay>,
    /// What was written of empty jars, latest first.
    pub lines: Vec<EmptyRow>,
}

impl EmptyJars {
    /// Reads and reckons; `today` is the date at the co-op.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, today: PressDate) -> Stored<Self> {
        let (lines, seasons) = (empty_jars::list(), seasons::list())
            .together()
            .ask(conn)
            .await?;
        let season = seasons.into_iter().next();
        let mut names: Vec<String> = Vec::new();
        let mut sizes = Vec::new();
        let mut day = None;
        if let Some(season) = &season {
            let rules = seasons::rules_on(season.id, today).ask(conn).await?;
            let of_rules = seasons::jar_sizes(rules.id).ask(conn).await?;
            let filled = of_rules
                .iter()
                .map(|size| empty_jars::grams_filled(season.id, &size.name));
            let filled = Question::all(filled).ask(conn).await?;
            for (size, filled) in of_rules.into_iter().zip(filled) {
                sizes.push(Size {
                    net: size.net,
                    filled,
                });
                names.push(size.name);
            }
            day = next_day(conn, (season.id, season.year), today).await?;
        }
        let needs = day.map(|day| needed(day.syrup, &sizes));
        for line in &lines {
            if !names.contains(&line.size_name) {
                names.push(line.size_name.clone());
            }
        }
        let used = names
            .iter()
            .map(|name| empty_jars::filled_since(name, from(name, &lines)));
        let used = Question::all(used).ask(conn).await?;
        let mut out = Vec::new();
        for (place, (name, used)) in names.into_iter().zip(used).enumerate() {
            let needs = needs.as_ref().and_then(|needs| needs.get(place).copied());
            out.push(of_size(name, &lines, used, needs));
        }
        Ok(Self {
            sizes: out,
            day,
            lines,
        })
    }
}

/// The line from which the jars of a size are reckoned: where they were counted last, else the first that was written.
fn first_line<'a>(name: &str, lines: &'a [EmptyRow]) -> Option<&'a EmptyRow> {
    let own = || lines.iter().filter(|l| l.size_name == name);
    own().find(|l| l.counted).or_else(|| own().next_back())
}

fn from(name: &str, lines: &[EmptyRow]) -> Option<UtcSecond> {
    first_line(name, lines).map(|line| line.at)
}

/// `used`: filled since the line from which they are reckoned.
fn of_size(name: String, lines: &[EmptyRow], used: i64, needs: Option<i64>) -> OfSize {
    let own = || lines.iter().filter(|l| l.size_name == name);
    let counted = own().find(|l| l.counted);
    let since = counted.map_or(0, |l| l.number);
    let bought = own().filter(|l| !l.counted && l.number > since);
    let stock = Stock {
        counted: counted.map_or(0, |l| l.count),
        bought: bought.map(|l| l.count).sum(),
        used,
    };
    OfSize {
        ever: first_line(&name, lines).is_some(),
        name,
        stock,
        needs,
    }
}

async fn next_day(
    conn: &mut Conn,
    (season, year): (crate::units::SeasonId, i64),
    today: PressDate,
) -> Stored<Option<NextDay>> {
    let days = press_days::of_season(season).ask(conn).await?;
    let next = days
        .iter()
        .filter(|d| !is_over((d.date, d.closed_at.is_some()), today));
    let Some(day) = next.min_by_key(|d| d.date) else {
        return Ok(None);
    };
    let Some(plan) = SeasonPlan::of_year(conn, year, day.date).await? else {
        return Ok(None);
    };
    let cane = empty_jars::cane_booked(day.id).ask(conn).await?;
    let of = &plan.figures;
    Ok(Some(NextDay {
        date: day.date,
        cane,
        syrup: syrup_of_cane(cane, of.juice_pct, of.brix, (of.recovery, of.target_bx)),
    }))
}
