//! Noting payments, and taking a line of money back with another that names it.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::Unmet;
use crate::calc::shares::ledger::Entry;
use crate::store::people::members;
use crate::store::season::seasons;
use crate::store::shares::ledger::{self, NewLine};
use crate::units::{Cents, Grams, MemberId, SeasonId};

/// Which way money went.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paid {
    /// From the member to the mill.
    ToTheMill,
    /// From the mill to the member.
    ToTheMember,
}

/// A payment as a steward notes it.
#[derive(Debug, Clone)]
pub struct NewPayment {
    /// The season it is for.
    pub season: SeasonId,
    /// Which way.
    pub way: Paid,
    /// How much; above zero.
    pub cents: Cents,
    /// How: "cash", "check 1204".
    pub text: String,
}

/// Notes a payment of a member.
pub async fn note_payment(act: &Act, member: MemberId, new: NewPayment) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "note_payment");
    members::find(&mut tx, member).await?.ok_or(Stop::Missing)?;
    if seasons::find(&mut tx, new.season).await?.is_none() {
        return Err(Unmet::beside("season", "no-season", "Please choose a season.").into());
    }
    if new.cents <= Cents::ZERO {
        return Err(Unmet::beside(
            "cents",
            "nothing-paid",
            "Please write an amount above nothing.",
        )
        .into());
    }
    let (cents, says) = match new.way {
        Paid::ToTheMill => (-new.cents, format!("received: {}", new.text)),
        Paid::ToTheMember => (new.cents, format!("paid out: {}", new.text)),
    };
    let line = NewLine {
        number: ledger::next_number(&mut tx).await?,
        season_id: new.season,
        member_id: Some(member),
        kind: Entry::Payment,
        grams: Grams::ZERO,
        cents,
        boil_id: None,
        division_id: None,
        says,
        answers: None,
        by_id: act.actor.id,
        at: act.at,
    };
    ledger::insert(&mut tx, &line).await?;
    act.finish(tx, "note_payment", ()).await
}

/// Takes a line of money back: a new line of the opposite amount that names it and says why. Lines
/// of syrup stand: jars and shares are not put right with a pen.
pub async fn answer(act: &Act, number: i64, why: String) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "answer_line");
    let beside = |code, sentence: String| Unmet::beside("number", code, sentence);
    let Some(line) = ledger::find(&mut tx, number).await? else {
        return Err(beside(
            "no-line",
            format!("There is no line {number}. Please look at the list below."),
        )
        .into());
    };
    if let Some(by) = line.answered_by {
        return Err(beside(
            "answered-before",
            format!("Line {number} is taken back already, by line {by}."),
        )
        .into());
    }
    if line.kind == Entry::Answer {
        return Err(beside(
            "an-answer",
            format!("Line {number} takes another line back. Please write a new payment instead."),
        )
        .into());
    }
    if line.cents == Cents::ZERO {
        return Err(beside(
            "syrup-stands",
            format!(
                "Line {number} is of syrup, not of money. What is divided stands; please settle it \
                 with the next lot."
            ),
        )
        .into());
    }
    let answer = NewLine {
        number: ledger::next_number(&mut tx).await?,
        season_id: line.season_id,
        member_id: line.member_id,
        kind: Entry::Answer,
        grams: Grams::ZERO,
        cents: -line.cents,
        boil_id: line.boil_id,
        division_id: None,
        says: format!("takes back line {number}: {why}"),
        answers: Some(number),
        by_id: act.actor.id,
        at: act.at,
    };
    ledger::insert(&mut tx, &answer).await?;
    act.finish(tx, "answer_line", ()).await
}
