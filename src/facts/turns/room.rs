//! What a press day has room for, as the store has it: for the actions that place turns and for the
//! pages that show what is free.

use super::held_by_day::HeldByDay;
use super::running_line::{RunningLine, under_way};
use super::turn_habit::{LatestHabit, Taught};
use crate::calc::boil::pan::Settings;
use crate::calc::turns::day_board::is_over;
use crate::calc::turns::day_room::{AfterMill, DayWithTurns, Room, Setup, TurnHeld, TurnWanted};
use crate::calc::turns::starts::{Asker, Day, Span};
use crate::calc::turns::turn_habit::{TurnHabit, enough, figure};
use crate::facts::recent_reads::RecentReads;
use crate::facts::rules_versions;
use crate::store::boil::pans;
use crate::store::cane::mill;
use crate::store::marks::{self, Mark};
use crate::store::people::members;
use crate::store::season::seasons::{self, Rules};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Conn, Question, StoreError, Stored, Together, in_json};
use crate::units::{
    DayMinute, Grams, MemberId, Millilitres, Minutes, PressDate, PressDayId, SeasonId, TurnId,
    Units, UtcSecond, Zone,
};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A press day as turns are reckoned on it.
pub fn day_of(day: &PressDay, zone: &Zone) -> Day {
    Day {
        clock: zone.clock(day.date),
        opens: day.opens,
        closes: day.closes,
        closed: day.closed_at.is_some(),
        mill_per_h: day.mill_per_h,
        changeover: day.changeover,
    }
}

/// What a season's days have in common: its rules, pans and vessels, and whose juice is boiled alone.
#[derive(Debug)]
pub(in crate::facts) struct SeasonSetup {
    versions: Vec<Rules>,
    pans: Vec<Settings>,
    vessels: Vec<Millilitres>,
    alone: BTreeSet<MemberId>,
}

pub(in crate::facts) static SETUPS: RecentReads<SeasonId, SeasonSetup> = RecentReads::new(
    2,
    &[
        "members",
        "pans",
        "rules_confirmed",
        "rules_days",
        "rules_not_voted",
        "season_rules",
        "vessels",
    ],
);

impl SeasonSetup {
    fn of(mark: Option<&Mark>, season: SeasonId) -> Question<Arc<Self>> {
        SETUPS.ask(mark, season, || Self::read_anew(season))
    }

    pub(in crate::facts) fn read_anew(season: SeasonId) -> Question<Self> {
        let found = (
            in_use(),
            seasons::rules_list(season),
            members::who_boil_alone(),
        );
        found
            .together()
            .map(|((pans, vessels), versions, alone)| Self {
                versions,
                pans,
                vessels,
                alone,
            })
    }
}

/// Pans and vessels that are in use.
pub(super) fn in_use() -> Question<(Vec<Settings>, Vec<Millilitres>)> {
    let found = (pans::list(), mill::vessels()).together();
    found.map(|(pans, vessels)| {
        let pans = pans.into_iter().filter(|pan| pan.retired_at.is_none());
        let vessels = vessels.into_iter();
        let vessels = vessels.filter(|vessel| vessel.retired_at.is_none());
        (
            pans.map(|pan| pan.settings).collect(),
            vessels.map(|vessel| vessel.capacity).collect(),
        )
    })
}

/// What happens to juice after the mill, with the pans and vessels in use, a season's rules, and the
/// juice that its turns have taught to expect.
///
/// # Errors
/// The rules hold a Brix that is none.
pub(super) fn boiling(
    rules: &Rules,
    habit: &TurnHabit,
    (pans, vessels): (&[Settings], &[Millilitres]),
) -> Stored<AfterMill> {
    AfterMill::new(&Setup {
        juice_pct: figure(habit.juice_pct, rules.juice_pct),
        juice_turns: enough(habit.juice_pct).map_or(0, |learned| learned.boils),
        floor_bx: rules.floor_bx,
        target_bx: rules.target_bx,
        hold: rules.hold_red,
        pans,
        vessels,
    })
    .map_err(|refusal| StoreError::Corrupt {
        what: "season_rules.floor_bx",
        found: refusal.sentence,
    })
}

/// A press day with what its room is reckoned from.
#[derive(Debug, Clone)]
pub struct DayRoom {
    /// The press day as turns are reckoned on it.
    pub day: Day,
    /// The rules of its season in force.
    pub rules: Rules,
    /// What the season's turns have taught.
    pub habit: TurnHabit,
    /// How the juice is boiled after the mill.
    pub boiling: AfterMill,
    /// What takes its minutes: turns, without those that are about to move, what is offered to those who wait, and
    /// when the mill stands.
    pub held: Vec<TurnHeld>,
    /// The members whose juice is boiled alone.
    pub alone: BTreeSet<MemberId>,
    /// Who is still to be pressed, while the day runs; else empty.
    pub line: RunningLine,
}

impl DayRoom {
    /// Reads a day's turns and offers; turns that move do not stand in their own way. An offer holds
    /// its minutes until it is answered or noted as run out: whoever does that offers the room to who
    /// is next, so that no page shows as free what is the next one's by then.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(
        conn: &mut Conn,
        day: &PressDay,
        moment: (&Zone, UtcSecond),
        moving: &[TurnId],
    ) -> Stored<Self> {
        let found = (
            marks::mark(),
            HeldByDay::day(day.id, moving),
            under_way(day, moment, moving),
        );
        let (mark, held, line) = found.together().ask(conn).await?;
        let (mark, season) = (mark.as_ref(), day.season_id);
        let found = (Taught::by(mark, season), SeasonSetup::of(mark, season)).together();
        let (taught, setups) = found.ask(conn).await?;
        let habit = taught.whole(mark).ask(conn).await?;
        Self::reckoned((day, habit), moment.0, (&setups, &held, line))
    }

    /// As [`Self::read`], with what the season's turns teach read already.
    ///
    /// # Errors
    /// The store failed.
    pub async fn by_habit(
        conn: &mut Conn,
        (day, habit): (&PressDay, &LatestHabit),
        moment: (&Zone, UtcSecond),
        moving: &[TurnId],
    ) -> Stored<Self> {
        let habit = habit.of(conn, day.season_id).await?;
        let found = (
            marks::mark(),
            HeldByDay::day(day.id, moving),
            under_way(day, moment, moving),
        );
        let (mark, held, line) = found.together().ask(conn).await?;
        let setups = SeasonSetup::of(mark.as_ref(), day.season_id);
        let setups = setups.ask(conn).await?;
        Self::reckoned((day, habit), moment.0, (&setups, &held, line))
    }

    /// Some days; what holds their minutes is read at once, and turns that move do not stand in their own way.
    ///
    /// # Errors
    /// The store failed.
    pub async fn each_of(
        conn: &mut Conn,
        days: &[&PressDay],
        moment: (&Zone, UtcSecond),
        moving: &[TurnId],
    ) -> Stored<Vec<Self>> {
        if days.is_empty() {
            return Ok(Vec::new());
        }
        let mark = marks::mark().ask(conn).await?;
        let found = HeldTimes::without(mark.as_ref(), days, moment, moving);
        let found = found.ask(conn).await?;
        found.rooms(conn, (days, mark.as_ref()), moment.0).await
    }

    fn reckoned(
        (day, habit): (&PressDay, TurnHabit),
        zone: &Zone,
        (setups, held_of, line): (&SeasonSetup, &HeldByDay, RunningLine),
    ) -> Stored<Self> {
        let rules = rules_versions::holding(&setups.versions, day.date)?;
        let boiling = boiling(&rules, &habit, (&setups.pans, &setups.vessels))?;
        let alone = setups.alone.clone();
        let id = day.id;
        let day = day_of(day, zone);
        Ok(Self {
            held: held_of.of(id, (&day.clock, &line), &alone),
            day,
            rules,
            habit,
            boiling,
            alone,
            line,
        })
    }

    /// The day in the form that room is worked out from.
    pub fn rooms(&self) -> DayWithTurns<'_> {
        DayWithTurns {
            day: self.day,
            boiling: &self.boiling,
            held: &self.held,
            line: &self.line.coming,
            stands: &self.line.stands,
        }
    }

    /// Whether the mill's hours on that day are past: nobody books a turn on it nor waits for one.
    pub fn is_over(&self, at: UtcSecond) -> bool {
        self.day.clock.instant(self.day.ends()) <= at
    }

    /// A turn of a member, as it is wanted.
    pub fn wanted(&self, member: MemberId, minutes: Minutes, cane: Grams) -> TurnWanted {
        TurnWanted {
            minutes,
            cane,
            pools: !self.alone.contains(&member),
        }
    }

    /// The first minutes in which a member's cane of this weight finds room beside what is held.
    pub fn first_free(&self, held: &[TurnHeld], of: (Grams, bool), at: UtcSecond) -> Option<Span> {
        self.first_free_within(held, of, at, (None, None))
    }

    /// As [`Self::first_free`], within some minutes since midnight: not before the first, not after the second.
    pub fn first_free_within(
        &self,
        held: &[TurnHeld],
        (cane, pools): (Grams, bool),
        at: UtcSecond,
        (from, to): (Option<i64>, Option<i64>),
    ) -> Option<Span> {
        let rooms = DayWithTurns {
            day: self.day,
            boiling: &self.boiling,
            held,
            line: &self.line.coming,
            stands: &self.line.stands,
        };
        let minutes = self.day.minutes_for(cane, Units::Metric).ok()?;
        let wanted = TurnWanted {
            minutes,
            cane,
            pools,
        };
        let within = |span: Span| self.within(span, (from, to));
        rooms
            .first(wanted, Asker { at, crew: false }, |start| {
                within(Span { start, minutes })
            })
            .map(|start| Span { start, minutes })
    }

    /// Whether a turn lies within some minutes since midnight; `None`: it may begin, or end, at any time.
    pub fn within(&self, span: Span, (from, to): (Option<i64>, Option<i64>)) -> bool {
        let shown = |at: DayMinute| self.day.clock.shows(at).get();
        from.is_none_or(|from| shown(span.start) >= from)
            && to.is_none_or(|to| shown(DayMinute::new(span.end())) <= to)
    }

    /// When the last charge of the pans is boiled, with these turns; `None`: no pan is in use, or nothing is boiled.
    pub fn pans_until(&self, held: &[TurnHeld]) -> Option<DayMinute> {
        let plan = self.boiling.plan(self.day.mill_per_h, held)?;
        let last = plan.charges.iter().map(|charge| charge.free_s).max()?;
        Some(DayMinute::new((last + 59) / 60))
    }
}

/// What takes the minutes of some days, and what their seasons have in common.
#[derive(Debug)]
pub struct HeldTimes {
    held: HeldByDay,
    seasons: BTreeMap<SeasonId, (Arc<SeasonSetup>, Arc<Taught>)>,
    lines: BTreeMap<PressDayId, RunningLine>,
}

impl HeldTimes {
    /// Reads it for these days, at the moment with this mark.
    pub fn of(
        mark: Option<&Mark>,
        days: &[&PressDay],
        moment: (&Zone, UtcSecond),
    ) -> Question<Self> {
        Self::without(mark, days, moment, &[])
    }

    /// As [`Self::of`], without turns that are about to move.
    fn without(
        mark: Option<&Mark>,
        days: &[&PressDay],
        moment: (&Zone, UtcSecond),
        moving: &[TurnId],
    ) -> Question<Self> {
        let seasons: BTreeSet<SeasonId> = days.iter().map(|day| day.season_id).collect();
        let seasons = seasons.into_iter().map(|season| {
            let of_it = (SeasonSetup::of(mark, season), Taught::by(mark, season));
            of_it.together().map(move |of_it| (season, of_it))
        });
        let held = HeldByDay::days(&in_json(days.iter().map(|day| day.id)), moving);
        let lines = days.iter().map(|day| {
            let id = day.id;
            under_way(day, moment, moving).map(move |line| (id, line))
        });
        let found = (held, Question::all(seasons), Question::all(lines)).together();
        found.map(|(held, seasons, lines)| Self {
            held,
            seasons: seasons.into_iter().collect(),
            lines: lines.into_iter().collect(),
        })
    }

    /// The days with their room.
    ///
    /// # Errors
    /// The store failed.
    pub async fn rooms(
        &self,
        conn: &mut Conn,
        (days, mark): (&[&PressDay], Option<&Mark>),
        zone: &Zone,
    ) -> Stored<Vec<DayRoom>> {
        let mut out = Vec::new();
        for day in days {
            if let Some((setups, taught)) = self.seasons.get(&day.season_id) {
                let habit = taught.whole(mark).ask(conn).await?;
                let line = self.lines.get(&day.id).cloned().unwrap_or_default();
                let of = (&**setups, &self.held, line);
                out.push(DayRoom::reckoned((day, habit), zone, of)?);
            }
        }
        Ok(out)
    }
}

/// What each open day of a season has room for, from a date on: each as on its own page.
///
/// # Errors
/// The store failed.
pub async fn of_season(
    conn: &mut Conn,
    season: SeasonId,
    (from, zone): (PressDate, &Zone),
    asker: Asker,
) -> Stored<BTreeMap<PressDate, Room>> {
    let days = press_days::of_season(season).ask(conn).await?;
    let open: Vec<&PressDay> = days
        .iter()
        .filter(|day| !is_over((day.date, day.closed_at.is_some()), from))
        .collect();
    let rooms = DayRoom::each_of(conn, &open, (zone, asker.at), &[]).await?;
    let left = open.iter().zip(&rooms);
    Ok(left
        .map(|(day, room)| (day.date, room.rooms().room(asker)))
        .collect())
}
