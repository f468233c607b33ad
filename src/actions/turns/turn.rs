//! Booking a turn, moving it, giving it up. Looks and writes in one immediate transaction, so that
//! of two who want the same minutes one is told so; the schema's key asserts it once more.

use super::rooms::DayRoom;
use super::turn_new::{add, expected, new_turn};
use super::waiting;
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::Unmet;
use crate::calc::turns::day_room::Wanted;
use crate::calc::turns::starts::{Asker, Day, Span};
use crate::calc::turns::turn_cane::{RowFrom, Told, Yields};
use crate::calc::turns::turn_habit::Habit;
use crate::calc::turns::turn_states::When;
use crate::store::people::{coop, members};
use crate::store::season::seasons;
use crate::store::season::seasons::Rules;
use crate::store::turns::press_days;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::turn::{self, Turn, What};
use crate::store::{Conn, StoreError, WriteTx};
use crate::units::{
    ClockTyped, DayClock, Grams, MemberId, PressDayId, TicketId, TurnId, Units, UtcSecond, Zone,
    plain_text,
};

/// A turn as it is asked for.
#[derive(Debug, Clone, Copy)]
pub struct NewTurn {
    /// Whose cane.
    pub member: MemberId,
    /// The start that is wanted.
    pub start: ClockTyped,
    /// How much cane, as the member puts it.
    pub told: Told,
    /// The weight instead of what the season's figures make of it.
    pub corrected: Option<Grams>,
    /// Yes, the correction is meant, far off as it is.
    pub sure: bool,
}

/// Where a turn is to be moved to.
#[derive(Debug, Clone)]
pub struct NewPlace {
    /// The press day, the same or another.
    pub day: PressDayId,
    /// The start that is wanted.
    pub start: ClockTyped,
    /// Why, in a few words; may be empty.
    pub why: String,
    /// The version of the turn that the form was filled in from.
    pub seen: i64,
}

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

/// What a version of the rules expects of a row and a stalk.
pub fn yields_of(rules: &Rules) -> Yields {
    Yields {
        row_kg_per_m: rules.row_kg_per_m,
        row_from: RowFrom::Rules,
        stalk: rules.stalk,
    }
}

/// What a turn booked now is reckoned with: learned from turns enough, else the rules'.
pub fn yields_now(rules: &Rules, habit: &Habit) -> Yields {
    yields_of(rules).learned(habit.row_kg_per_m)
}

/// Books a turn: a member for oneself, crew for anybody.
pub async fn book(act: &Act, day: PressDayId, new: NewTurn) -> Done<TurnId> {
    own(act, new.member)?;
    let mut tx = begin!(act, "book_turn");
    let day = press_days::find(&mut tx, day).await?.ok_or(Stop::Missing)?;
    waiting::settle_first(act, &mut tx, day.id).await?;
    let told = (new.told, new.corrected, new.sure);
    let (member, estimate) = expected(act, &mut tx, &day, new.member, told).await?;
    let units = own_units(act, &mut tx).await?;
    let place = Place {
        day: &day,
        moving: None,
        start: new.start,
        cane: estimate.cane,
    };
    let (clock, span) = placed(act, &mut tx, place, units).await?;
    let whose = (member.id, member.name);
    let turn = new_turn(act, &day, whose, estimate, (&clock, span));
    add(act, &mut tx, &turn, (&clock, span), "").await?;
    act.finish(tx, "book_turn", turn.id).await
}

/// Moves a turn to another start, on its own press day or another. Its minutes are reckoned anew
/// with that day's mill rate and change-over.
pub async fn move_turn(act: &Act, id: TurnId, to: NewPlace) -> Done<TurnId> {
    let mut tx = begin!(act, "move_turn");
    let before = own_turn(act, &mut tx, id).await?;
    if before.version != to.seen {
        return Err(Unmet::new(
            "changed-meanwhile",
            format!(
                "This turn was moved while you had the page open: it is on {} at {}. Choose again to move it from there.",
                before.date.show(),
                before.start.show()
            ),
        )
        .into());
    }
    let why = why_text(&to.why, 0)?;
    let day = press_days::find(&mut tx, to.day)
        .await?
        .ok_or(Stop::Missing)?;
    let left = before.press_day_id;
    waiting::settle_first(act, &mut tx, day.id).await?;
    let room_before = waiting::look(&mut tx, left).await?;
    let units = own_units(act, &mut tx).await?;
    let place = Place {
        day: &day,
        moving: Some(id),
        start: to.start,
        cane: before.cane,
    };
    let (clock, span) = placed(act, &mut tx, place, units).await?;
    let after = Turn {
        press_day_id: day.id,
        start: clock.time(span.start),
        minutes: span.minutes,
        // Confirmed was the place it had.
        confirmed_at: None,
        no_show_at: None,
        ..before
    };
    turn::update(&mut tx, &after).await?;
    turn::free_minutes(&mut tx, id).await?;
    take(&mut tx, &after, &clock, span).await?;
    note(act, &mut tx, after, What::Moved, &why).await?;
    waiting::settle(act, &mut tx, left, room_before).await?;
    act.finish(tx, "move_turn", id).await
}

/// Gives a turn up, saying why; its minutes are free again.
pub async fn cancel(act: &Act, id: TurnId, why: &str) -> Done<TurnId> {
    let mut tx = begin!(act, "cancel_turn");
    let before = own_turn(act, &mut tx, id).await?;
    let why = why_text(why, 1)?;
    let day = before.press_day_id;
    let room_before = waiting::look(&mut tx, day).await?;
    let after = Turn {
        held: false,
        ..before
    };
    turn::update(&mut tx, &after).await?;
    turn::free_minutes(&mut tx, id).await?;
    note(act, &mut tx, after, What::Cancelled, &why).await?;
    waiting::settle(act, &mut tx, day, room_before).await?;
    act.finish(tx, "cancel_turn", id).await
}

/// Confirms a turn: a member one's own, from two days before its press day. Confirmed again, it
/// stays as it was.
pub async fn confirm(act: &Act, id: TurnId) -> Done<TurnId> {
    let mut tx = begin!(act, "confirm_turn");
    let turn = standing(act, &mut tx, id).await?;
    when(&turn, &zone(&mut tx).await?, act.at).may_confirm()?;
    let confirmed = turn.confirmed_at.or(Some(act.at));
    turn::mark(&mut tx, id, confirmed, turn.no_show_at).await?;
    act.finish(tx, "confirm_turn", id).await
}

/// Notes that nobody came to a turn, once it has begun; or that somebody came after all.
pub async fn set_missed(act: &Act, id: TurnId, missed: bool) -> Done<TurnId> {
    act.crew()?;
    let mut tx = begin!(act, "miss_turn");
    let turn = standing(act, &mut tx, id).await?;
    if missed {
        when(&turn, &zone(&mut tx).await?, act.at).may_be_missed()?;
    }
    let missed = missed.then(|| turn.no_show_at.unwrap_or(act.at));
    turn::mark(&mut tx, id, turn.confirmed_at, missed).await?;
    act.finish(tx, "miss_turn", id).await
}

/// The act's own turn, or any for crew, while it is neither cancelled nor weighed in.
async fn standing(act: &Act, tx: &mut WriteTx, id: TurnId) -> Done<Turn> {
    let turn = turn::find(tx, id).await?.ok_or(Stop::Missing)?;
    own(act, turn.member_id)?;
    stands(&turn, turn::ticket(tx, id).await?)?;
    Ok(turn)
}

/// A turn as its time is looked at.
pub fn when<'a>(turn: &Turn, zone: &'a Zone, at: UtcSecond) -> When<'a> {
    When {
        date: turn.date,
        start: turn.start,
        zone,
        at,
    }
}

/// The act's own turn, or any for crew.
pub(in crate::actions) fn own(act: &Act, member: MemberId) -> Done<()> {
    if act.actor.is_crew() || act.actor.id == member {
        Ok(())
    } else {
        Err(Stop::Missing)
    }
}

pub(in crate::actions) async fn own_units(act: &Act, tx: &mut WriteTx) -> Done<Units> {
    let actor = members::find(tx, act.actor.id).await?;
    Ok(actor.ok_or(Stop::Missing)?.units)
}

pub(in crate::actions) async fn zone(tx: &mut WriteTx) -> Done<Zone> {
    Ok(coop::find(tx).await?.ok_or(Stop::Missing)?.zone)
}

/// Where a turn is to stand.
pub(in crate::actions) struct Place<'a> {
    pub(in crate::actions) day: &'a PressDay,
    /// The turn that moves: it does not stand in its own way.
    pub(in crate::actions) moving: Option<TurnId>,
    pub(in crate::actions) start: ClockTyped,
    pub(in crate::actions) cane: Grams,
}

/// The minutes for that much cane from that start, if they may stand there among the turns held.
pub(in crate::actions) async fn placed(
    act: &Act,
    tx: &mut WriteTx,
    place: Place<'_>,
    units: Units,
) -> Done<(DayClock, Span)> {
    let zone = zone(tx).await?;
    let rules = seasons::rules_in_force(tx, place.day.season_id).await?;
    let room = DayRoom::load(tx, place.day, &rules, &zone, place.moving.as_slice()).await?;
    let rooms = room.rooms();
    let start = rooms.day.find(place.start)?;
    let cane = place.cane;
    let minutes = rooms
        .day
        .minutes_for(cane, units)
        .map_err(|unmet| match place.moving {
            Some(_) => beside_day(unmet),
            None => unmet,
        })?;
    let span = rooms.place(Wanted { minutes, cane }, start, asker(act))?;
    Ok((rooms.day.clock, span))
}

pub(in crate::actions) async fn take(
    tx: &mut WriteTx,
    turn: &Turn,
    clock: &DayClock,
    span: Span,
) -> Done<()> {
    for five in span.fives() {
        turn::take_five(tx, turn.press_day_id, clock.time(five), turn.id).await?;
    }
    Ok(())
}

pub(in crate::actions) async fn note(
    act: &Act,
    tx: &mut WriteTx,
    turn: Turn,
    what: What,
    why: &str,
) -> Done<()> {
    let turn = Turn {
        version: turn.version + 1,
        ..turn
    };
    turn::insert_event(tx, &turn, what, why, act.actor.id, act.at).await?;
    Ok(())
}

/// The turn, if this person may still move it or give it up.
async fn own_turn(act: &Act, tx: &mut WriteTx, id: TurnId) -> Done<Turn> {
    let turn = turn::find(tx, id).await?.ok_or(Stop::Missing)?;
    own(act, turn.member_id)?;
    let ticket = turn::ticket(tx, id).await?;
    let cutoff_h = cutoff(tx, &turn).await?;
    changeable(&turn, ticket, &zone(tx).await?, asker(act), cutoff_h)?;
    Ok(turn)
}

fn asker(act: &Act) -> Asker {
    Asker {
        at: act.at,
        crew: act.actor.is_crew(),
    }
}

/// Whether a turn may be moved or given up.
///
/// # Errors
/// It was cancelled, its cane is weighed in, or, for members, it has begun or the cut-off has passed.
pub fn changeable(
    turn: &Turn,
    ticket: Option<TicketId>,
    zone: &Zone,
    asker: Asker,
    cutoff_h: i64,
) -> Result<(), Unmet> {
    stands(turn, ticket)?;
    if asker.crew {
        return Ok(());
    }
    let when = when(turn, zone, asker.at);
    if when.begun() {
        return Err(Unmet::new(
            "begun",
            format!(
                "This turn began at {} on {}. Please call the crew.",
                turn.start.show(),
                turn.date.show()
            ),
        ));
    }
    when.before_cutoff(cutoff_h)
}

/// The cut-off of a turn's season, hours before its start.
pub async fn cutoff(conn: &mut Conn, turn: &Turn) -> Done<i64> {
    let day = press_days::find(conn, turn.press_day_id)
        .await?
        .ok_or(Stop::Missing)?;
    Ok(seasons::rules_in_force(conn, day.season_id).await?.cutoff_h)
}

fn stands(turn: &Turn, ticket: Option<TicketId>) -> Result<(), Unmet> {
    if !turn.held {
        return Err(Unmet::new(
            "cancelled",
            "This turn was cancelled. Please book another.",
        ));
    }
    if ticket.is_some() {
        return Err(Unmet::new(
            "weighed-in",
            "The cane of this turn is weighed in; the turn stays as it is.",
        ));
    }
    Ok(())
}

/// What was said of the amount of cane, said of the day instead: of a turn that moves, only the day
/// can be chosen anew.
pub fn beside_day(unmet: Unmet) -> Unmet {
    Unmet {
        at: unmet.at.map(|at| if at == "amount" { "day" } else { at }),
        ..unmet
    }
}

pub(in crate::actions) fn why_text(text: &str, least: usize) -> Result<String, Stop> {
    plain_text(text, least, 200).map_err(|refused| Unmet::refused("why", &refused).into())
}

/// The rules that were in force when a turn was booked: of the versions, latest first, the first
/// that was there by then.
///
/// # Errors
/// The season has no rules, which cannot be.
pub fn rules_then(versions: Vec<Rules>, turn: &Turn) -> Result<Rules, StoreError> {
    versions
        .into_iter()
        .find(|rules| rules.made_at <= turn.made_at)
        .ok_or(StoreError::Corrupt {
            what: "season_rules",
            found: "no version".to_owned(),
        })
}
