//! Turns of a season's proposal, offered to their members together: each holds its minutes until its member answers,
//! or its time runs out. All of them are offered, or none.

use super::asker::zone;
use super::offering::{self, take_step};
use super::possible_days;
use super::turn_place::{latest_habit, placed};
use crate::actions::people::notices::{self, About, Tell};
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::Unmet;
use crate::calc::people::notices::Kind;
use crate::calc::turns::starts::Asker;
use crate::calc::turns::turn_cane::Told;
use crate::calc::turns::waiting::Step;
use crate::facts::turns::room::DayRoom;
use crate::facts::turns::turn_habit::LatestHabit;
use crate::store::WriteTx;
use crate::store::people::coop::{self, Coop};
use crate::store::people::members;
use crate::store::season::plantings;
use crate::store::turns::offers;
use crate::store::turns::press_days::{self, PressDay};
use crate::store::turns::waiting::{self, Entry, NewWaiting};
use crate::units::{
    ClockTyped, Grams, MemberId, OfferId, PlantingId, PressDate, SeasonId, Units, WaitingId,
};

/// A turn to be offered.
#[derive(Debug, Clone, PartialEq)]
pub struct NewOffer {
    /// The press day.
    pub date: PressDate,
    /// To whom.
    pub member: MemberId,
    /// Its start.
    pub start: ClockTyped,
    /// Its cane, above nought.
    pub cane: Grams,
    /// Which plantings it is for.
    pub plantings: Vec<PlantingId>,
    /// The same in words.
    pub planted: String,
}

/// Offers turns of a season to their members.
///
/// # Errors
/// None is given; a day is closed, a member has left or is offered something already, or the room is taken by now.
pub async fn offer(act: &Act, season: SeasonId, new: Vec<NewOffer>) -> Done<SeasonId> {
    act.steward()?;
    let habit = latest_habit(&act.reader).await?;
    let mut tx = begin!(act, "offer_together");
    if new.is_empty() {
        return Err(Unmet::new(
            "nothing-proposed",
            "Nothing is proposed, so nobody is asked.",
        )
        .into());
    }
    let coop = coop::find().ask(&mut tx).await?.ok_or(Stop::Missing)?;
    for one in new {
        offer_one(act, &mut tx, (&coop, &habit), season, one).await?;
    }
    act.finish(tx, "offer_together", season).await
}

fn meanwhile(what: &str) -> Stop {
    let rest = "Nobody was asked. Below stands what is proposed now: please look again.";
    Unmet::changed(format!("{what} {rest}")).into()
}

async fn offer_one(
    act: &Act,
    tx: &mut WriteTx,
    (coop, habit): (&Coop, &LatestHabit),
    season: SeasonId,
    new: NewOffer,
) -> Done<()> {
    let day = match press_days::of_date(new.date).ask(tx).await? {
        Some(day) => day,
        None => possible_days::plan(act, tx, season, new.date)
            .await?
            .ok_or(Stop::Missing)?,
    };
    let member = members::find(new.member).ask(tx).await?;
    let member = member.ok_or(Stop::Missing)?;
    if day.season_id != season || day.closed_at.is_some() || member.left_at.is_some() {
        return Err(meanwhile(&format!(
            "{} cannot be asked for {} any more.",
            member.name,
            new.date.show()
        )));
    }
    let zone = zone(tx).await?;
    let room = DayRoom::by_habit(tx, (&day, habit), &zone, &[]).await?;
    let asker = Asker {
        at: act.at,
        crew: false,
    };
    let span = placed(
        &room,
        (member.id, new.cane, new.start),
        Units::Metric,
        asker,
    )
    .map_err(|unmet| meanwhile(&format!("{}: {}", member.name, unmet.sentence)))?;
    let clock = zone.clock(day.date);
    let start = clock.instant(span.start);
    let ends_at = act.at.plus(room.rules.offer.get() * 60).min(start);
    let entry = entry_of(act, tx, &day, (member.id, new.cane)).await?;
    let id = OfferId::new(act.id());
    offering::make(tx, (id, &entry), (&clock, span), (act.at, ends_at)).await?;
    for planting in &new.plantings {
        let of = plantings::find(*planting)
            .ask(tx)
            .await?
            .ok_or(Stop::Missing)?;
        if of.member_id != member.id {
            return Err(Stop::Missing);
        }
    }
    offers::name_plantings(tx, id, &new.plantings).await?;
    let call = offering::or_call(coop);
    let date = day.date.show();
    let told = Tell {
        member: member.id,
        kind: Kind::Offer,
        mark: format!("offer:{id}"),
        subject: format!("A turn is proposed for you on {date}"),
        words: format!(
            "{date}, {}, is proposed for your {}: {} of cane. The turn is kept for you until {}. Please take it or \
             decline it on your home page{call}.",
            span.show(&clock),
            new.planted,
            new.cane.show(member.units),
            zone.show(ends_at)
        ),
        about: About::Offer(id),
    };
    notices::tell(act, tx, told).await
}

/// A new place on the day's list for the member: an offer belongs to one.
async fn entry_of(
    act: &Act,
    tx: &mut WriteTx,
    day: &PressDay,
    (member, cane): (MemberId, Grams),
) -> Done<Entry> {
    let list = waiting::of_day(day.id).ask(tx).await?;
    let own = list
        .into_iter()
        .find(|e| e.member_id == member && e.from_turn_id.is_none() && e.state.on_list());
    if let Some(mut entry) = own {
        let standing = offers::standing_of_day(day.id).ask(tx).await?;
        if standing.iter().any(|o| o.waiting_id == entry.id) {
            let said = format!(
                "{} has been asked for {} already.",
                entry.member,
                day.date.show()
            );
            return Err(meanwhile(&said));
        }
        // The place was for other cane: a new one takes its stead.
        take_step(tx, &mut entry, Step::Leaves, "").await?;
    }
    let new = NewWaiting {
        id: WaitingId::new(act.id()),
        press_day_id: day.id,
        member_id: member,
        cane,
        told: Told::Weight(cane),
        row_kg_per_m: None,
        from_turn_id: None,
        by: act.actor.id,
        at: act.at,
    };
    waiting::insert(tx, &new).await?;
    waiting::find(new.id).ask(tx).await?.ok_or(Stop::Missing)
}
