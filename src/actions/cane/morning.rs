//! Noting the morning's opening checks, done or waived.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::cane::morning::{CheckWeight, Found};
use crate::calc::cane::scale::Graduation;
use crate::calc::turns::starts::not_closed;
use crate::facts::boil::finish_of_day::height;
use crate::store::WriteTx;
use crate::store::cane::{mill, morning};
use crate::store::turns::press_days;
use crate::units::{Altitude, PressDate, Units};

/// A check as the crew send it.
#[derive(Debug, Clone)]
pub struct NewCheck {
    /// What was found.
    pub found: Found,
    /// Read again, though the figure looked wrong.
    pub sure: bool,
    /// Why it is waived, or a remark.
    pub note: String,
}

/// Notes checks of a press day: all of them, or none. Refusals are written in `units`.
pub async fn note(act: &Act, date: PressDate, checks: Vec<NewCheck>, units: Units) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "note_opening_checks");
    let day = press_days::of_date(date)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    not_closed(day.date, day.closed_at.is_some())?;
    if checks.is_empty() {
        return Err(RuleRefusal::new(
            "nothing-checked",
            "Nothing is filled in yet. Please do or waive at least one check.",
        )
        .into());
    }
    let height = height().ask(&mut tx).await?;
    for check in checks {
        let found = with_scale(&mut tx, check.found).await?;
        fit(&found, &check, height, units)?;
        let kept = (&found, check.sure, check.note.as_str());
        morning::insert(&mut tx, day.id, kept, act.actor.id, act.said_at()).await?;
    }
    act.finish(tx, "note_opening_checks", ()).await
}

/// A check weight with what the store says of its scale, whatever the page said.
async fn with_scale(tx: &mut WriteTx, found: Found) -> Done<Found> {
    let Found::Weight(weighed) = found else {
        return Ok(found);
    };
    let scale = mill::scale(weighed.scale)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    if scale.retired_at.is_some() {
        return Err(RuleRefusal::beside(
            "scale",
            "scale-retired",
            "This scale is out of use. Please choose another.",
        )
        .into());
    }
    Ok(Found::Weight(CheckWeight {
        graduation: Graduation::new(scale.graduation_g)?,
        capacity: scale.capacity,
        ..weighed
    }))
}

/// A figure in doubt needs the tick, a waived item its reason.
fn fit(found: &Found, check: &NewCheck, height: Altitude, units: Units) -> Done<()> {
    let verdict = match found.verdict(height, units) {
        Ok(verdict) => verdict,
        Err(refusal) => {
            let first = refusal.into_iter().next().ok_or(Stop::Missing)?;
            return Err(first.into());
        }
    };
    if let Some(doubt) = verdict.and_then(|v| v.doubt)
        && !check.sure
    {
        return Err(doubt.into());
    }
    if matches!(found, Found::Waived(_)) && check.note.trim().is_empty() {
        return Err(RuleRefusal::new(
            "waived-why",
            format!("{}: please write why it is waived.", found.item().name()),
        )
        .into());
    }
    Ok(())
}
