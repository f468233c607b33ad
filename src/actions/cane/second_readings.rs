//! A second person reads the juice of a ticket that was drawn by lot.

use super::tickets::not_divided;
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::cane::second_reading::drawn;
use crate::calc::physics::refractometer::{Instrument, to_20c};
use crate::facts::rules_versions;
use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::second_readings::{self, NewSecondReading};
use crate::store::cane::tickets;
use crate::units::{BrixRead, Celsius, JuiceId};

/// A second person's reading of a juice, as it was typed.
#[derive(Debug, Clone)]
pub struct ReadAgain {
    /// Brix as read.
    pub brix: BrixRead,
    /// Temperature of the drop.
    pub temp: Celsius,
    /// The instrument that it was read with.
    pub instrument: Instrument,
    /// Remark.
    pub note: String,
}

/// Keeps a second reading of a juice beside the first.
pub async fn read_again(act: &Act, id: JuiceId, new: ReadAgain) -> Done<JuiceId> {
    act.crew()?;
    let mut tx = begin!(act, "read_again");
    let row = juice::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    not_divided(tickets::divided_lot(row.ticket_id).ask(&mut tx).await?)?;
    let ticket = tickets::find(row.ticket_id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let rules = rules_versions::on(row.season_id, ticket.date)
        .ask(&mut tx)
        .await?;
    if !drawn(ticket.date, ticket.id, rules.read_again_one_in) {
        return Err(RuleRefusal::new(
            "not-drawn",
            "This ticket was not drawn to be read again. What is wrong with its juice is corrected on its page.",
        )
        .into());
    }
    by_another(&juice::versions(id).ask(&mut tx).await?, act)?;
    to_20c(new.brix, new.instrument, new.temp)?;
    let reading = NewSecondReading {
        juice: id,
        brix: new.brix,
        temp: new.temp,
        instrument: new.instrument,
        note: &new.note,
        by: act.actor.id,
        at: act.at,
    };
    second_readings::insert(&mut tx, &reading).await?;
    act.finish(tx, "read_again", id).await
}

/// Refuses whoever measured the juice, in any version: a second person reads it again.
fn by_another(versions: &[JuiceRow], act: &Act) -> Done<()> {
    if versions.iter().any(|version| version.by == act.actor.id) {
        return Err(RuleRefusal::new(
            "same-person",
            "You measured this juice, so a second person reads it again and signs in with their own name.",
        )
        .into());
    }
    Ok(())
}
