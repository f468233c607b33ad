//! Telling members that something new stands on their statements. The statements themselves are
//! reckoned where they are shown.

use crate::actions::people::notices::{NoticeSubject, Tell, tell};
use crate::actions::{Act, Done, Stop};
use crate::calc::people::notices::Kind;
use crate::store::WriteTx;
use crate::store::boil::boils::{self, BoilRow};
use crate::store::people::members::{self, Member};
use crate::store::people::notices;
use crate::store::turns::press_days::PressDay;
use crate::units::{Cents, Grams, LotCode, MemberId, SeasonId, Units};
use std::collections::{BTreeMap, BTreeSet};

/// Tells everybody with a share in a lot of a press day that it was closed: once a day, however often
/// it is opened and closed again.
pub(in crate::actions) async fn day_closed(
    act: &Act,
    tx: &mut WriteTx,
    day: &PressDay,
) -> Done<()> {
    for member in notices::sharers_of_day(day.id).ask(tx).await? {
        let date = day.date.show();
        let what = Tell {
            member,
            kind: Kind::Statement,
            mark: format!("statement:{}:{member}", day.id),
            subject: format!("Your statement after {date}"),
            words: format!(
                "{date} is closed. What your cane gave, your share and what is to pay stand on your statement."
            ),
            about: NoticeSubject::Season(day.season_id),
        };
        tell(act, tx, what).await?;
    }
    Ok(())
}

/// A member's part of a lot, the syrup of it in jars, and what is to pay for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(in crate::actions) struct OfLot {
    pub(in crate::actions) part: Grams,
    pub(in crate::actions) in_jars: Grams,
    pub(in crate::actions) to_pay: Cents,
}

/// Tells everybody whose share of a lot, or what it costs, changed when it was divided again: what it was before and is now, why and by
/// whom.
pub(in crate::actions) async fn put_right(
    act: &Act,
    tx: &mut WriteTx,
    (lot, version, season): (&LotCode, i64, SeasonId),
    (changed, why): (&BTreeMap<MemberId, (OfLot, OfLot)>, &str),
) -> Done<()> {
    let by = members::find(act.actor.id)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    let why = match why.trim_end_matches('.') {
        "" => String::new(),
        why => format!(" Why: {why}."),
    };
    for (id, (was, now)) in changed {
        let member = members::find(*id).ask(tx).await?.ok_or(Stop::Missing)?;
        let what = Tell {
            member: *id,
            kind: Kind::Statement,
            mark: format!("put-right:{lot}:{version}:{id}"),
            subject: format!("Lot {lot} was put right"),
            words: format!(
                "Lot {lot} was put right and divided again.{}{why} Divided by {}. Your statement says all of it.",
                what_changed(*was, *now, member.units),
                by.name
            ),
            about: NoticeSubject::Season(season),
        };
        tell(act, tx, what).await?;
    }
    Ok(())
}

/// " Your part of it: 16.8 lb before, 15.8 lb now. To pay for it: $19.75 before, $17.90 now."
fn what_changed(was: OfLot, now: OfLot, units: Units) -> String {
    let syrup = |grams: Grams| grams.show(units);
    let told = [
        ("Your part of it", syrup(was.part), syrup(now.part)),
        ("Your jars of it", syrup(was.in_jars), syrup(now.in_jars)),
        ("To pay for it", was.to_pay.show(), now.to_pay.show()),
    ];
    let told: Vec<String> = told
        .into_iter()
        .filter(|(_, was, now)| was != now)
        .map(|(of, was, now)| format!("{of}: {was} before, {now} now."))
        .collect();
    if told.is_empty() {
        " What is carried for you of it changed.".to_owned()
    } else {
        format!(" {}", told.join(" "))
    }
}

/// Tells everybody whose juice was in a lot what of its syrup was lost, that this was taken back, or that the season has borne it: each in
/// the own units. `nth` tells it from what was told of the lot before.
pub(in crate::actions) async fn syrup_lost(
    act: &Act,
    tx: &mut WriteTx,
    (boil, nth): (&BoilRow, usize),
    (subject, words): (&str, impl Fn(&Member) -> String),
) -> Done<()> {
    let inside = boils::draws(boil.id).ask(tx).await?;
    let members: BTreeSet<MemberId> = inside.into_iter().map(|draw| draw.member_id).collect();
    for id in members {
        let member = members::find(id).ask(tx).await?.ok_or(Stop::Missing)?;
        let what = Tell {
            member: id,
            kind: Kind::Statement,
            mark: format!("lost:{}:{nth}:{id}", boil.lot),
            subject: subject.to_owned(),
            words: words(&member),
            about: NoticeSubject::Season(boil.season_id),
        };
        tell(act, tx, what).await?;
    }
    Ok(())
}

/// Tells a member what came back of the season's margin.
pub(in crate::actions) async fn return_margin(
    act: &Act,
    tx: &mut WriteTx,
    (season, year): (SeasonId, i64),
    (member, cents): (MemberId, Cents),
) -> Done<()> {
    let what = Tell {
        member,
        kind: Kind::Statement,
        mark: format!("statement:{season}:{member}"),
        subject: format!("Your statement of {year}"),
        words: format!(
            "The margin of the season of {year} has gone back to the members. {} of it is yours and stands \
             on your statement.",
            cents.show()
        ),
        about: NoticeSubject::Season(season),
    };
    tell(act, tx, what).await
}
