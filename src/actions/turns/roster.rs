//! A press day's roster, saved as a whole.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::turns::roster::Task;
use crate::store::people::members;
use crate::store::turns::press_days;
use crate::store::turns::roster::{self, RosterShift};
use crate::units::PressDayId;

/// More shifts than this no day has.
const SHIFTS_MOST: usize = 60;

/// Saves who does what on a day.
///
/// # Errors
/// No shift; a shift that is none; somebody who is down for two things at once, or who has left.
pub async fn save(act: &Act, day: PressDayId, shifts: Vec<RosterShift>) -> Done<PressDayId> {
    act.steward()?;
    let mut tx = begin!(act, "save_roster");
    press_days::find(day)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    if shifts.is_empty() {
        return Err(RuleRefusal::new("no-shift", "There is no shift to save.").into());
    }
    if shifts.len() > SHIFTS_MOST {
        let said = format!(
            "A day’s roster holds at most {SHIFTS_MOST} shifts. Please leave some out, or make them longer."
        );
        return Err(RuleRefusal::new("many-shifts", said).into());
    }
    for shift in &shifts {
        let in_a_day = 0 <= shift.from && shift.from < shift.to && shift.to <= 24 * 60;
        if Task::of(&shift.task).is_none() || !in_a_day {
            return Err(Stop::Missing);
        }
        let Some(id) = shift.member_id else { continue };
        let member = members::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
        let twice = shifts.iter().any(|other| {
            other.number != shift.number
                && other.member_id == Some(id)
                && other.from < shift.to
                && shift.from < other.to
        });
        if twice {
            let said = format!(
                "{} is down for two things in the same hours. Please choose somebody else for one.",
                member.name
            );
            return Err(RuleRefusal::new("twice-on-roster", said).into());
        }
        if member.left_at.is_some() {
            let said = format!(
                "{} has left the co-op. Please choose somebody else.",
                member.name
            );
            return Err(RuleRefusal::new("has-left", said).into());
        }
    }
    roster::write(&mut tx, day, &shifts, act.actor.id, act.at).await?;
    act.finish(tx, "save_roster", day).await
}
