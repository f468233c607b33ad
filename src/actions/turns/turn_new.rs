//! A turn that was not there before, whether it is booked or come to from a waiting list: whose cane, how
//! much to expect, and its first lines in the store.

use super::turn_place::take;
use crate::actions::{Act, Done, Stop};
use crate::calc::RuleRefusal;
use crate::calc::turns::starts::Span;
use crate::calc::turns::turn_cane::{AmountTold, Estimate, Expected};
use crate::facts::turns::room::DayRoom;
use crate::facts::turns::turn_habit;
use crate::store::people::members;
use crate::store::people::members::Member;
use crate::store::turns::day_board;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::turn::{self, Turn};
use crate::store::turns::turn_events::{self, What};
use crate::store::{Question, WriteTx};
use crate::units::{DayClock, Grams, MemberId, MemberName, TurnId};

/// The member whose cane is to be pressed, if that member takes turns, and how much to expect of what was told,
/// corrected perhaps, and whether that is sure; by the figures that the day's room was read with.
pub(super) async fn expected(
    act: &Act,
    tx: &mut WriteTx,
    room: &DayRoom,
    member: MemberId,
    (told, corrected, sure): (AmountTold, Option<Grams>, bool),
) -> Done<(Member, Estimate)> {
    let member = members::find(member).ask(tx).await?.ok_or(Stop::Missing)?;
    if member.left_at.is_some() {
        return Err(RuleRefusal::beside(
            "member",
            "left",
            format!(
                "{} has left the co-op and takes no turns; a steward can take the member back first.",
                member.name
            ),
        )
        .into());
    }
    let units = act.units(tx).await?;
    let yields = turn_habit::yields_now(&room.rules, &room.habit);
    let expected = Expected::reckon(told, yields, corrected, sure, units)?;
    let estimate = Estimate {
        cane: expected.cane,
        told: expected.told,
        row_kg_per_m: yields.to_keep(expected.told),
    };
    Ok((member, estimate))
}

/// The name of the box that says that a second turn on one day is meant.
pub const SECOND: &str = "second";

/// Asks about a second turn of a member on one day; `again` says what is to be done where it is meant.
pub(super) async fn no_turn_yet(
    tx: &mut WriteTx,
    day: &PressDay,
    member: MemberId,
    again: &str,
) -> Done<()> {
    let turns = day_board::turns(day.id).ask(tx).await?;
    let own = turns.iter().filter(|turn| turn.member_id == member);
    let starts: Vec<String> = own.map(|turn| turn.start.show()).collect();
    if starts.is_empty() {
        return Ok(());
    }
    Err(RuleRefusal::beside(
        SECOND,
        "second-turn",
        format!(
            "There is a turn on {} at {} already. {again}",
            day.date.show(),
            starts.join(" and ")
        ),
    )
    .into())
}

/// A turn that was not there before.
pub(super) fn new_turn(
    act: &Act,
    day: &PressDay,
    (member_id, member): (MemberId, MemberName),
    estimate: Estimate,
    (clock, span): (&DayClock, Span),
) -> Turn {
    Turn {
        id: TurnId::new(act.id()),
        press_day_id: day.id,
        date: day.date,
        member_id,
        member,
        start: clock.time(span.start),
        minutes: span.minutes,
        cane: estimate.cane,
        told: estimate.told,
        row_kg_per_m: estimate.row_kg_per_m,
        held: true,
        version: 1,
        made_at: act.at,
        confirmed_at: None,
        confirmed_by: None,
        no_show_at: None,
    }
}

/// Adds a turn with its minutes and the first line of its history.
pub(super) fn add(
    act: &Act,
    turn: &Turn,
    (clock, span): (&DayClock, Span),
    why: &str,
) -> Question<()> {
    Question::every([
        turn::insert(turn, act.actor.id),
        take(turn, clock, span),
        turn_events::insert(turn, What::Made, why, act.actor.id, act.at),
    ])
}
