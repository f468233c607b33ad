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
use crate::units::{Cents, LotCode, MemberId, SeasonId};
use std::collections::BTreeSet;

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

/// Tells everybody whose share of a lot, or what it costs, changed when it was divided again.
pub(in crate::actions) async fn put_right(
    act: &Act,
    tx: &mut WriteTx,
    (lot, version, season): (&LotCode, i64, SeasonId),
    touched: &BTreeSet<MemberId>,
) -> Done<()> {
    for member in touched {
        let what = Tell {
            member: *member,
            kind: Kind::Statement,
            mark: format!("put-right:{lot}:{version}:{member}"),
            subject: format!("Lot {lot} was put right"),
            words: format!(
                "Lot {lot} was put right and divided again. Your share of it, or what you pay for it, changed: your statement says how."
            ),
            about: NoticeSubject::Season(season),
        };
        tell(act, tx, what).await?;
    }
    Ok(())
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
