//! Hours that members worked at the mill, credited as far as a season's rules do.

use super::season_close::{rules, today};
use crate::actions::shares::lines::{line, write};
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::season::settle;
use crate::calc::shares::ledger::Entry;
use crate::calc::shares::split::Sharer;
use crate::store::people::members;
use crate::store::season::season_close::{self as close, NewHoursRow};
use crate::store::shares::ledger::NewLine;
use crate::store::{Together, WriteTx};
use crate::units::{MemberId, MemberName, PressDate, SeasonId};

/// Hours as a steward notes them.
#[derive(Debug, Clone)]
pub struct NewHours {
    /// The season.
    pub season: SeasonId,
    /// Minutes that were worked.
    pub minutes: i64,
    /// The work that was done.
    pub what: String,
    /// The day on which they were worked, whose rules say what they are credited with; `None`: today.
    pub on: Option<PressDate>,
}

/// Notes hours that a member worked, and credits them as far as the rules do that the season had on that day.
///
/// # Errors
/// The day is still to come; no rules of the season were in force on it, or they credit no hours; the season is locked.
pub async fn note_hours(act: &Act, member: MemberId, new: NewHours) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "note_hours");
    note_one(act, &mut tx, member, new).await?;
    act.finish(tx, "note_hours", ()).await
}

/// Notes the hours of several people for the same work, all or none.
///
/// # Errors
/// Nobody is named; hours for that work are noted for one of them already; see [`note_hours`].
pub async fn note_hours_together(act: &Act, all: Vec<(MemberId, NewHours)>) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "note_hours_together");
    if all.is_empty() {
        return Err(
            RuleRefusal::new("no-hours", "Please write the hours of at least one person.").into(),
        );
    }
    for (member, new) in all {
        let found = (
            members::find(member),
            close::hours_noted(new.season, member, &new.what),
        );
        let (card, noted) = found.together().ask(&mut tx).await?;
        let name = card.ok_or(Stop::Missing)?.name;
        if let Some(minutes) = noted {
            let said = format!(
                "{minutes} min of {name} are noted already for “{}”. Please empty that box; what was noted is taken back in the ledger.",
                new.what
            );
            return Err(RuleRefusal::new("hours-noted", said).into());
        }
        note_one(act, &mut tx, member, new)
            .await
            .map_err(|stop| of_whom(&name, stop))?;
    }
    act.finish(tx, "note_hours_together", ()).await
}

/// Says of whom a refusal speaks.
fn of_whom(name: &MemberName, stop: Stop) -> Stop {
    match stop {
        Stop::RuleRefusal(refusal) => {
            RuleRefusal::new(refusal.code, format!("{name}: {}", refusal.sentence)).into()
        }
        other => other,
    }
}

async fn note_one(act: &Act, tx: &mut WriteTx, member: MemberId, new: NewHours) -> Done<()> {
    members::find(member).ask(tx).await?.ok_or(Stop::Missing)?;
    let today = today(act, tx).await?;
    let on = new.on.unwrap_or(today);
    if on > today {
        return Err(RuleRefusal::beside(
            "on",
            "worked-later",
            "That day is still to come. Please write the day on which the work was done.",
        )
        .into());
    }
    let rules = rules(tx, new.season, on).await?;
    let already = close::credited(new.season, member).ask(tx).await?;
    let credit = settle::credit(new.minutes, already, rules.hour, rules.hours_most)?;
    let day = on.show();
    let day = if on == today || new.what.contains(&day) {
        String::new()
    } else {
        format!(" on {day}")
    };
    let says = format!(
        "{}: {} min worked{day}, {} min credited × {} ÷ 60, to the nearest cent",
        new.what,
        new.minutes,
        credit.minutes,
        rules.hour.show()
    );
    let who = Sharer::Member(member);
    let credited = NewLine {
        cents: -credit.cents,
        ..line(act, new.season, who, Entry::Hours, says)
    };
    let row = NewHoursRow {
        line: write(tx, vec![credited]).await?,
        season_id: new.season,
        member_id: member,
        minutes: new.minutes,
        credited: credit.minutes,
        what: new.what,
        worked_on: on,
    };
    close::insert_hours(tx, &row).await?;
    Ok(())
}
