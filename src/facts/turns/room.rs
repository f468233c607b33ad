//! What a press day has room for, as the store has it: shared by the actions that place turns and
//! the pages that show what is free. Writes nothing.

use super::turn::day_of;
use crate::actions::Stop;
use crate::calc::boil::pan::Settings;
use crate::calc::turns::day_room::{Boiling, Held, Rooms, Setup};
use crate::calc::turns::starts::{Day, Span};
use crate::calc::turns::turn_habit::{Habit, enough, figure};
use crate::store::Conn;
use crate::store::boil::pans;
use crate::store::cane::mill;
use crate::store::season::seasons::Rules;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::turn::{self, HeldTurn};
use crate::store::turns::{offers, standstills, turn_habit};
use crate::units::{DayClock, Grams, Millilitres, TurnId, Zone};

/// What happens to juice after the mill, with the pans and vessels in use, a season's rules, and the
/// juice that its turns have taught to expect.
pub async fn boiling(conn: &mut Conn, rules: &Rules) -> Result<Boiling, Stop> {
    let habit = turn_habit::read(conn, rules.season_id).await?;
    boiling_with(conn, rules, &habit).await
}

async fn boiling_with(conn: &mut Conn, rules: &Rules, habit: &Habit) -> Result<Boiling, Stop> {
    let pans: Vec<Settings> = pans::list(conn)
        .await?
        .into_iter()
        .filter(|pan| pan.retired_at.is_none())
        .map(|pan| pan.settings)
        .collect();
    let vessels = mill::vessels(conn)
        .await?
        .into_iter()
        .filter(|vessel| vessel.retired_at.is_none())
        .map(|vessel| vessel.capacity.get())
        .sum();
    Ok(Boiling::new(&Setup {
        juice_pct: figure(habit.juice_pct, rules.juice_pct),
        juice_turns: enough(habit.juice_pct).map_or(0, |learned| learned.boils),
        floor_bx: rules.floor_bx,
        target_bx: rules.target_bx,
        hold: rules.hold_red,
        pans: &pans,
        vessels: Millilitres::new(vessels),
    })?)
}

/// A press day with what it is reckoned from.
#[derive(Debug, Clone)]
pub struct DayRoom {
    /// The day.
    pub day: Day,
    /// What the season's turns have taught.
    pub habit: Habit,
    /// What comes after the mill.
    pub boiling: Boiling,
    /// Its turns, without those that are about to move, and what is offered to those who wait, and
    /// when the mill stands.
    pub held: Vec<Held>,
}

impl DayRoom {
    /// Reads a day's turns and offers; turns that move do not stand in their own way. An offer holds
    /// its minutes until it is answered or noted as run out: whoever does that settles who is next, so
    /// that no page shows as free what is the next one's by then.
    pub async fn load(
        conn: &mut Conn,
        day: &PressDay,
        rules: &Rules,
        zone: &Zone,
        moving: &[TurnId],
    ) -> Result<Self, Stop> {
        let held = turn::held_of_day(conn, day.id).await?;
        let habit = turn_habit::read(conn, day.season_id).await?;
        let offered = offers::standing_of_day(conn, day.id).await?;
        let stands = standstills::of_day(conn, day.id).await?;
        let day = day_of(day, zone);
        Ok(Self {
            habit,
            boiling: boiling_with(conn, rules, &habit).await?,
            held: held
                .iter()
                .filter(|turn| !moving.contains(&turn.id))
                .map(|turn| held_of(&day.clock, turn))
                .chain(offered.iter().map(|offer| Held {
                    span: Span::kept(&day.clock, offer.start, offer.minutes),
                    cane: offer.cane,
                }))
                .chain(stands.iter().map(|mill| Held {
                    span: Span::kept(&day.clock, mill.start, mill.minutes),
                    cane: Grams::ZERO,
                }))
                .collect(),
            day,
        })
    }

    /// As room is reckoned.
    pub fn rooms(&self) -> Rooms<'_> {
        Rooms {
            day: self.day,
            boiling: &self.boiling,
            held: &self.held,
        }
    }
}

fn held_of(clock: &DayClock, turn: &HeldTurn) -> Held {
    Held {
        span: Span::kept(clock, turn.start, turn.minutes),
        cane: turn.cane,
    }
}
