//! Empty jars: what is left of each size, what was used, and what the next press day needs.

use crate::calc::boil::empty_jars::{Size, Stock, needed, syrup_of_cane};
use crate::calc::turns::day_board::is_over;
use crate::facts::boil::season_boils::SeasonBoils;
use crate::facts::rules_versions;
use crate::facts::season::season_plan;
use crate::facts::turns::turn_habit::Taught;
use crate::store::boil::empty_jars::{self, EmptyRow};
use crate::store::marks::{self, Mark};
use crate::store::season::seasons::{self, Rules};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{Grams, PressDate, SeasonId, UtcSecond};

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
        let (lines, season) = (empty_jars::list(), seasons::latest())
            .together()
            .ask(conn)
            .await?;
        let (sizes, day) = match season {
            Some(season) => of_season(conn, season.id, today).await?,
            None => (Vec::new(), None),
        };
        let (mut names, sizes): (Vec<String>, Vec<Size>) = sizes.into_iter().unzip();
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

/// The sizes of a season's rules by name, each with what was filled of it, and the next press day.
async fn of_season(
    conn: &mut Conn,
    season: SeasonId,
    today: PressDate,
) -> Stored<(Vec<(String, Size)>, Option<NextDay>)> {
    let found = (
        seasons::rules_list(season),
        press_days::of_season(season),
        marks::mark(),
    );
    let (versions, days, mark) = found.together().ask(conn).await?;
    let day = match next_of(&days, today) {
        Some(day) => {
            let rules = rules_versions::holding(&versions, day.date)?;
            Some(next_day(conn, (day, &rules), mark.as_ref()).await?)
        }
        None => None,
    };
    let rules = rules_versions::holding(&versions, today)?;
    let sizes = seasons::jar_sizes(rules.id).ask(conn).await?;
    let filled = sizes
        .iter()
        .map(|size| empty_jars::grams_filled(season, &size.name));
    let filled = Question::all(filled).ask(conn).await?;
    let sizes = sizes.into_iter().zip(filled).map(|(size, filled)| {
        let net = size.net;
        (size.name, Size { net, filled })
    });
    Ok((sizes.collect(), day))
}

/// The day that is pressed next.
fn next_of(days: &[PressDay], today: PressDate) -> Option<&PressDay> {
    days.iter()
        .filter(|d| !is_over((d.date, d.closed_at.is_some()), today))
        .min_by_key(|d| d.date)
}

/// What the turns of a day come to by the rules that hold on it and what its season teaches.
async fn next_day(
    conn: &mut Conn,
    (day, rules): (&PressDay, &Rules),
    mark: Option<&Mark>,
) -> Stored<NextDay> {
    let found = (
        empty_jars::cane_booked(day.id),
        Taught::by(mark, day.season_id),
        SeasonBoils::of(mark, day.season_id),
    );
    let (cane, taught, boils) = found.together().ask(conn).await?;
    let habit = taught.whole(mark).ask(conn).await?;
    let (of, _) = season_plan::figures(rules, &habit, &boils);
    Ok(NextDay {
        date: day.date,
        cane,
        syrup: syrup_of_cane(cane, of.juice_pct, of.brix, (of.recovery, of.target_bx)),
    })
}
