//! Syrup that is owed to a member, settled in jars of the mill's own: they leave the shelf on a receipt, and the balance moves by
//! what they hold.

use super::hand_overs::{NewHandOver, ReceiptNumber, hand};
use super::lines::{self, line};
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::shares::ledger::Entry;
use crate::calc::shares::split::Sharer;
use crate::store::WriteTx;
use crate::store::people::{coop, members};
use crate::store::season::seasons;
use crate::store::shares::ledger::{self, NewLine};
use crate::store::shares::settled_jars;
use crate::units::{Grams, MemberId, SeasonId, Units};

/// Jars that settle what is owed.
#[derive(Debug, Clone)]
pub struct NewSettledJars {
    /// The season on whose statement it stands.
    pub season: SeasonId,
    /// The mill's own jars that settle it, and who takes them.
    pub jars: NewHandOver,
}

/// Hands jars of the mill's own to a member who is owed syrup, and takes what they hold off the balance. Never more than is owed:
/// the rest is settled in money or carried.
///
/// # Errors
/// No syrup is owed; the jars hold more; see [`super::hand_overs::hand_over`].
pub async fn settle_in_jars(
    act: &Act,
    member: MemberId,
    new: NewSettledJars,
) -> Done<ReceiptNumber> {
    act.steward()?;
    let mut tx = begin!(act, "settle_in_jars");
    let card = members::find(member)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    if seasons::find(new.season).ask(&mut tx).await?.is_none() {
        return Err(RuleRefusal::beside("season", "no-season", "Please choose a season.").into());
    }
    let (owed, _) = ledger::balance_of(member).ask(&mut tx).await?;
    if owed <= Grams::ZERO {
        return Err(RuleRefusal::new(
            "nothing-owed",
            format!(
                "No syrup is owed to {}, so there is nothing to settle in jars.",
                card.name
            ),
        )
        .into());
    }
    let jars = new.jars.jars.iter();
    let grams: Grams = jars
        .map(|j| Grams::new(j.net.get().saturating_mul(j.count.max(0))))
        .sum();
    if grams > owed {
        let reads = act.units(&mut tx).await?;
        return Err(RuleRefusal::new(
            "more-than-owed",
            format!(
                "{} are owed to {}, and these jars hold {}. Please take fewer or smaller ones; the rest is settled in money, or \
                 carried to the next lot.",
                owed.booked(reads),
                card.name,
                grams.booked(reads)
            ),
        )
        .into());
    }
    let receipt = hand(act, &mut tx, Sharer::Mill, new.jars).await?;
    let says = format!(
        "{} settled in jars of the mill’s own, receipt {receipt}",
        grams.booked(coops_units(&mut tx).await?)
    );
    let mills = format!("{says}, to {}", card.name);
    let lines = [(Some(member), -grams, says), (None, grams, mills)];
    let line = write(act, &mut tx, new.season, lines).await?;
    settled_jars::insert(&mut tx, receipt, (member, new.season), line).await?;
    act.finish(tx, "settle_in_jars", ReceiptNumber(receipt))
        .await
}

/// The units that lines of the ledger are written in.
async fn coops_units(tx: &mut WriteTx) -> Done<Units> {
    Ok(coop::find().ask(tx).await?.map_or(Units::Us, |c| c.units))
}

/// Owes a member again what came back of jars that settled a balance; jars of any other receipt move none. The lines stand in the
/// season of the settlement, or in the latest that is not locked.
///
/// # Errors
/// Every season is locked.
pub(super) async fn owe_again(act: &Act, tx: &mut WriteTx, receipt: i64, grams: Grams) -> Done<()> {
    let Some(settled) = settled_jars::of_receipt(receipt).ask(tx).await? else {
        return Ok(());
    };
    let season = or_latest_open(tx, settled.season_id).await?;
    let says = format!(
        "{} back from receipt {receipt}, which settled it: owed again",
        grams.booked(coops_units(tx).await?)
    );
    let mills = format!("{says} to {}", settled.name);
    let lines = [
        (Some(settled.member_id), grams, says),
        (None, -grams, mills),
    ];
    write(act, tx, season, lines).await?;
    Ok(())
}

/// That season, or the latest that is not locked where it is: what becomes of jars after a season was locked stands in the next.
///
/// # Errors
/// Every season is locked.
pub(super) async fn or_latest_open(tx: &mut WriteTx, season: SeasonId) -> Done<SeasonId> {
    let open = seasons::not_locked().ask(tx).await?;
    match open.iter().find(|s| s.id == season).or(open.first()) {
        Some(season) => Ok(season.id),
        None => Err(RuleRefusal::new(
            "all-locked",
            "Every season is closed and locked, and this moves what is owed. Please open the next season first, or lift a lock \
             with a reason.",
        )
        .into()),
    }
}

/// The member's line and the mill's; gives the number of the first.
async fn write(
    act: &Act,
    tx: &mut WriteTx,
    season: SeasonId,
    lines: [(Option<MemberId>, Grams, String); 2],
) -> Done<i64> {
    let lines = lines.map(|(member, grams, says)| NewLine {
        grams,
        ..line(act, season, Sharer::of(member), Entry::Settled, says)
    });
    Ok(lines::write(tx, lines.into()).await?)
}
