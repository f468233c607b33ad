//! A season before its cane is cut: from what is planted, week by week, cane, juice, syrup, hours of
//! the mill and of the pan against what the press days have; which of the two is the limit, and what
//! one more day or a larger pan would do. Knows no names and plans no turns.

use super::plantings::Planting;
use crate::units::{Grams, Millilitres, Minutes, PressDate};

/// Minutes of each boil that drive nothing off: lighting, finishing, draining, cleaning (common
/// practice: an hour for each lot).
pub const BETWEEN_BOILS: Minutes = Minutes::new(60);
/// How long juice settles before it is boiled: the pan starts so long after the mill (common practice: two hours and
/// more).
pub const SETTLES: Minutes = Minutes::new(120);

/// The figures that a season is planned with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Cane of a metre of row, kg.
    pub row_kg_per_m: f64,
    /// Juice for each 100 of cane.
    pub juice_pct: f64,
    /// Brix of the juice.
    pub brix: f64,
    /// Brix of the syrup; above that of the juice.
    pub target_bx: f64,
    /// Solids in jars for each 1 in juice.
    pub recovery: f64,
    /// How long juice may wait before it is boiled.
    pub hold: Minutes,
    /// The pan, if there is one.
    pub pan: Option<Pan>,
}

/// The pan of a season.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pan {
    /// Water it drives off at the boil, kg an hour.
    pub water_kg_h: f64,
    /// Most juice it takes at once.
    pub most: Millilitres,
    /// Its boiling surface, m².
    pub area_m2: f64,
}

/// A press day of the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Day {
    /// Its date.
    pub date: PressDate,
    /// Minutes from opening to closing.
    pub open: Minutes,
    /// Cane the mill takes in an hour.
    pub mill_per_h: Grams,
    /// Minutes for cleaning between two members' cane.
    pub changeover: Minutes,
}

impl Day {
    /// Minutes the pan has: from when the first juice has settled until the last pressed may wait no
    /// longer; never over a whole day.
    pub fn pan(&self, hold: Minutes) -> Minutes {
        let minutes = self.open.get() - SETTLES.get() + hold.get();
        Minutes::new(minutes.clamp(0, 1440))
    }
}

/// Whether mill or pan is short of time in a week.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// Neither is short.
    Neither,
    /// The mill's hours are short.
    Mill,
    /// The pan's hours: the mill could press what the pan cannot boil in time.
    Pan,
    /// There is cane ready, and no press day.
    NoDay,
}

/// One week, Monday to Sunday.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Week {
    /// The week's Monday.
    pub monday: PressDate,
    /// Cane that is ready.
    pub cane: Grams,
    /// Juice to expect of that cane.
    pub juice: Grams,
    /// Dissolved solids in that juice.
    pub solids: Grams,
    /// Syrup to expect.
    pub syrup: Grams,
    /// Number of press days.
    pub days: i64,
    /// Minutes of the mill that the cane takes, and that the days have.
    pub mill: (Minutes, Minutes),
    /// Minutes of the pan that the juice takes, and that the days have; nothing without a pan.
    pub pan: Option<(Minutes, Minutes)>,
    /// Those of the pan's minutes that drive water off: a larger pan shortens them.
    pub boiling: Minutes,
}

impl Week {
    /// Whether mill or pan is short; where both are, the one that is shorter of time.
    pub fn limit(&self) -> Limit {
        let over = |(takes, has): (Minutes, Minutes)| takes.get() - has.get();
        let (mill, pan) = (over(self.mill), self.pan.map_or(0, over));
        match (self.cane > Grams::ZERO && self.days == 0, mill > 0, pan > 0) {
            (true, _, _) => Limit::NoDay,
            (_, false, false) => Limit::Neither,
            (_, true, _) if mill >= pan => Limit::Mill,
            _ => Limit::Pan,
        }
    }

    /// How many more press days like that one would carry what these days do not.
    pub fn days_more(&self, day: &Day, hold: Minutes) -> i64 {
        let more = |takes: Minutes, has: Minutes, each: Minutes| {
            let over = (takes.get() - has.get()).max(0);
            if each.get() > 0 {
                (over + each.get() - 1) / each.get()
            } else {
                0
            }
        };
        let pan = self
            .pan
            .map_or(0, |(takes, has)| more(takes, has, day.pan(hold)));
        more(self.mill.0, self.mill.1, day.open).max(pan)
    }

    /// How many times the pan's surface would carry the week on the days it has; nothing when the pan
    /// is not short, or no surface would do.
    pub fn pan_larger(&self) -> Option<f64> {
        let (takes, has) = self.pan?;
        let rest = has.get() - (takes.get() - self.boiling.get());
        (takes > has && rest > 0)
            .then(|| Grams::new(self.boiling.get()).as_f64() / Grams::new(rest).as_f64())
    }
}

/// The weeks of a season, from the first that has cane ready or a press day to the last. The cane of
/// a planting comes in evenly over the days it is ready, to the gram.
pub fn weeks(plantings: &[Planting], days: &[Day], of: &Figures) -> Vec<Week> {
    let monday = |date: PressDate| {
        date.plus_days(-i64::from(date.date().weekday().number_days_from_monday()))
    };
    let ready = plantings.iter().map(Planting::ready);
    let ends = ready.flat_map(|r| [r.from, r.to]);
    let mut mondays: Vec<PressDate> = ends
        .chain(days.iter().map(|d| d.date))
        .map(monday)
        .collect();
    mondays.sort_unstable();
    let (Some(first), Some(last)) = (mondays.first(), mondays.last()) else {
        return Vec::new();
    };
    let mut weeks = Vec::new();
    let mut at = *first;
    while at <= *last {
        weeks.push(week(at, plantings, days, of));
        at = at.plus_days(7);
    }
    weeks
}

fn week(monday: PressDate, plantings: &[Planting], days: &[Day], of: &Figures) -> Week {
    let within = |date: PressDate| (monday..monday.plus_days(7)).contains(&date);
    let cane = plantings
        .iter()
        .map(|p| until(p, monday.plus_days(7), of) - until(p, monday, of))
        .sum::<Grams>();
    let comings = plantings.iter().filter(|p| within(p.ready().best)).count();
    let own: Vec<&Day> = days.iter().filter(|d| within(d.date)).collect();
    let juice = Grams::nearest(cane.as_f64() * of.juice_pct / 100.0);
    let solids = Grams::nearest(juice.as_f64() * of.brix / 100.0);
    let has =
        |each: &dyn Fn(&Day) -> Minutes| Minutes::new(own.iter().map(|d| each(d).get()).sum());
    let boiling = of.pan.map_or(0.0, |pan| {
        let water = juice.kg() - solids.kg() * 100.0 / of.target_bx;
        60.0 * water.max(0.0) / pan.water_kg_h
    });
    let boiling = Minutes::new(Grams::nearest(boiling).get());
    let pan = of.pan.map(|pan| {
        // A litre of juice is 1.06 kg or so; taken as one, so that no boil is left out.
        let boils = (juice.get() + pan.most.get() - 1) / pan.most.get().max(1);
        let takes = boiling + Minutes::new(boils * BETWEEN_BOILS.get());
        (takes, has(&|day| day.pan(of.hold)))
    });
    Week {
        monday,
        cane,
        juice,
        solids,
        syrup: Grams::nearest(solids.as_f64() * of.recovery * 100.0 / of.target_bx),
        days: i64::try_from(own.len()).unwrap_or(i64::MAX),
        mill: (
            mill_minutes(cane, comings, days, &own),
            has(&|day| day.open),
        ),
        pan,
        boiling,
    }
}

/// Cane of a planting that is ready by the morning of a day: none before its first day, all after its last, evenly
/// in between.
fn until(planting: &Planting, day: PressDate, of: &Figures) -> Grams {
    let all = planting.row.get() * of.row_kg_per_m * 1000.0;
    let ready = planting.ready();
    let gone = (day.date() - ready.from.date()).whole_days();
    let of_all = (ready.to.date() - ready.from.date()).whole_days() + 1;
    let part = Grams::new(gone.clamp(0, of_all)).as_f64() / Grams::new(of_all).as_f64();
    Grams::nearest(all * part)
}

/// Minutes of the mill: at the rate of the week's own days, else of the season's, with a change-over
/// for each planting that ripens in the week.
fn mill_minutes(cane: Grams, comings: usize, season: &[Day], own: &[&Day]) -> Minutes {
    let Some(day) = own.first().copied().or(season.last()) else {
        return Minutes::new(0);
    };
    let pressing = 60.0 * cane.as_f64() / day.mill_per_h.as_f64().max(1.0);
    let comings = i64::try_from(comings).unwrap_or(i64::MAX);
    Minutes::new(Grams::nearest(pressing).get() + comings * day.changeover.get())
}

#[cfg(test)]
#[path = "season_plan_tests.rs"]
mod tests;
