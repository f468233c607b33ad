//! What a member says of the field: adding a planting, changing it, taking it off the record. Each
//! change is a new version; what was said before stays.

use crate::actions::people::household::own;
use crate::actions::{Act, Done, Stop, as_seen, begin};
use crate::calc::RuleRefusal;
use crate::calc::season::dates::of_a_season;
use crate::calc::season::plantings as rules;
use crate::facts::season::plantings::{again, planned};
use crate::store::WriteTx;
use crate::store::people::members::{self, Member};
use crate::store::season::plantings::{self, Planting};
use crate::store::season::seasons;
use crate::units::{MemberId, Metres, PlantingId, PressDate};

/// A planting as its member describes it.
#[derive(Debug, Clone)]
pub struct NewPlanting {
    /// The variety in the member's own words.
    pub variety: String,
    /// When it was planted.
    pub planted_on: PressDate,
    /// Length of all rows together.
    pub row: Metres,
    /// Distance from row to row, if it was said.
    pub apart: Option<Metres>,
    /// Days from planting to the day it is best cut.
    pub maturity_days: i64,
    /// Remark.
    pub note: String,
}

/// Adds a planting to the season of its year: a member for oneself, crew for anybody.
pub async fn add(act: &Act, member: MemberId, new: NewPlanting) -> Done<PlantingId> {
    let mut tx = begin!(act, "add_planting");
    own(act, &mut tx, member).await?;
    let whose = members::find(member)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    still_here(&whose)?;
    let year = i64::from(new.planted_on.date().year());
    let seasons = seasons::list().ask(&mut tx).await?;
    let years: Vec<i64> = seasons.iter().map(|season| season.year).collect();
    of_a_season(new.planted_on, &years)
        .map_err(|refused| RuleRefusal::beside("planted_on", "no-season", refused.sentence()))?;
    let season = seasons.iter().find(|season| season.year == year);
    let season = season.ok_or(Stop::Missing)?;
    let row = Planting {
        id: PlantingId::new(act.id()),
        season_id: season.id,
        year,
        member_id: member,
        member: whose.name,
        version: 1,
        variety: new.variety,
        planted_on: new.planted_on,
        row: new.row,
        apart: new.apart,
        maturity_days: new.maturity_days,
        note: new.note,
        void: false,
    };
    rules::sound(&planned(&row), year)?;
    plantings::insert(&mut tx, row.id, season.id, member, act.actor.id, act.at).await?;
    plantings::insert_version(&mut tx, &row, act.actor.id, act.at).await?;
    act.finish(tx, "add_planting", row.id).await
}

/// Takes a member's plantings of the season before over into the latest, as [`again`] lays them out. Gives the first of them.
///
/// # Errors
/// Nothing is left to take over; the member has left.
pub async fn take_over(act: &Act, member: MemberId) -> Done<PlantingId> {
    let mut tx = begin!(act, "take_plantings_over");
    own(act, &mut tx, member).await?;
    let whose = members::find(member)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    still_here(&whose)?;
    let again = again(&mut tx, member).await?;
    let year = again.as_ref().map(|a| a.year);
    let mut first = None;
    for old in again.map(|a| a.plantings).unwrap_or_default() {
        let row = Planting {
            id: PlantingId::new(act.id()),
            ..old
        };
        rules::sound(&planned(&row), row.year)?;
        plantings::insert(&mut tx, row.id, row.season_id, member, act.actor.id, act.at).await?;
        plantings::insert_version(&mut tx, &row, act.actor.id, act.at).await?;
        first = first.or(Some(row.id));
    }
    let Some(first) = first else {
        let why = match year {
            Some(year) => {
                format!(
                    "There are plantings in the season of {year} already. Please add what is missing by itself."
                )
            }
            None => "No planting of an earlier season is on record.".to_owned(),
        };
        return Err(RuleRefusal::new("nothing-to-take-over", why).into());
    };
    act.finish(tx, "take_plantings_over", first).await
}

fn still_here(whose: &Member) -> Result<(), RuleRefusal> {
    if whose.left_at.is_none() {
        return Ok(());
    }
    Err(RuleRefusal::new(
        "left",
        format!(
            "{} has left the co-op; a steward can take the member back first.",
            whose.name
        ),
    ))
}

/// Changes what is said of a planting; `seen` is the version that the form was filled in from.
pub async fn change(act: &Act, id: PlantingId, seen: i64, new: NewPlanting) -> Done<PlantingId> {
    let mut tx = begin!(act, "change_planting");
    let before = own_planting(act, &mut tx, id).await?;
    as_seen(before.version, seen, || {
        "This planting was changed".to_owned()
    })?;
    let after = Planting {
        version: before.version + 1,
        variety: new.variety,
        planted_on: new.planted_on,
        row: new.row,
        apart: new.apart,
        maturity_days: new.maturity_days,
        note: new.note,
        ..before
    };
    rules::sound(&planned(&after), after.year)?;
    plantings::insert_version(&mut tx, &after, act.actor.id, act.at).await?;
    act.finish(tx, "change_planting", id).await
}

/// Takes a planting off the record: it was never sown, or is lost.
pub async fn remove(act: &Act, id: PlantingId) -> Done<PlantingId> {
    let mut tx = begin!(act, "remove_planting");
    let before = own_planting(act, &mut tx, id).await?;
    let after = Planting {
        version: before.version + 1,
        void: true,
        ..before
    };
    plantings::insert_version(&mut tx, &after, act.actor.id, act.at).await?;
    act.finish(tx, "remove_planting", id).await
}

/// A planting that stands and that this person may change.
async fn own_planting(act: &Act, tx: &mut WriteTx, id: PlantingId) -> Done<Planting> {
    let found = plantings::find(id).ask(tx).await?.ok_or(Stop::Missing)?;
    own(act, tx, found.member_id).await?;
    if found.void {
        return Err(Stop::Missing);
    }
    Ok(found)
}
