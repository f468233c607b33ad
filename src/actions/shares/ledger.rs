//! Noting payments, and taking a line of money back with another that names it.

use super::lines::{line, write};
use super::not_locked::not_locked;
use crate::actions::{Act, Answer, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::shares::ledger::Entry;
use crate::calc::shares::payments::{PaidBy, far_too_much, long_ago};
use crate::calc::shares::split::Sharer;
use crate::facts::shares::moved_back::together;
use crate::store::WriteTx;
use crate::store::people::{coop, members};
use crate::store::season::seasons;
use crate::store::shares::ledger::{self, LedgerLine, NewLine};
use crate::store::shares::payments;
use crate::units::{Cents, MemberId, PressDate, SeasonId};

/// The way that money went.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paid {
    /// The member paid the mill.
    ToTheMill,
    /// The mill paid the member.
    ToTheMember,
}

/// A payment as a steward notes it.
#[derive(Debug, Clone)]
pub struct NewPayment {
    /// The season it is for.
    pub season: SeasonId,
    /// The way that the money went.
    pub way: Paid,
    /// Money paid, above zero.
    pub cents: Cents,
    /// How it was paid.
    pub by: PaidBy,
    /// The day it was paid; `None`: today.
    pub on: Option<PressDate>,
    /// What stands on the paper: "check 1204"; empty: how it was paid says enough.
    pub text: String,
    /// Whether whoever notes it knows that it is ten times what is owed, or more.
    pub sure: bool,
    /// Whether the day was said to be right though it is long ago.
    pub sure_day: bool,
}

/// The number on a payment's receipt, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PaymentNumber(pub i64);

impl Answer for PaymentNumber {
    fn keep(&self) -> String {
        self.0.to_string()
    }
    fn read(text: &str) -> Option<Self> {
        text.parse().ok().map(Self)
    }
}

/// A payment far above what is owed is asked about, and one of a day to come is refused.
async fn looks_right(
    tx: &mut WriteTx,
    member: MemberId,
    new: &NewPayment,
    (on, today): (PressDate, PressDate),
) -> Done<()> {
    if on > today {
        return Err(RuleRefusal::beside(
            "on",
            "paid-later",
            "That day is still to come. Please write the day on which the money changed hands.",
        )
        .into());
    }
    let ago = (today.date() - on.date()).whole_days();
    if !new.sure_day && long_ago(ago) {
        let sentence = format!(
            "{} is {ago} days ago. Please look at the year, or say that the day is right.",
            on.show()
        );
        return Err(RuleRefusal::beside("sure_day", "paid-long-ago", sentence).into());
    }
    let (_, balance) = ledger::balance_of(member).ask(tx).await?;
    let owed = match new.way {
        Paid::ToTheMill => balance,
        Paid::ToTheMember => -balance,
    };
    if !new.sure && far_too_much(new.cents, owed) {
        let (code, sentence) = in_doubt(new, owed);
        return Err(RuleRefusal::beside("sure", code, sentence).into());
    }
    Ok(())
}

/// The question to ask about a payment far above what is owed that way.
fn in_doubt(new: &NewPayment, owed: Cents) -> (&'static str, String) {
    let paid = new.cents.show();
    if owed > Cents::ZERO {
        let sentence = format!(
            "{paid} are ten times what is owed, {}, or more. Please look at the point, or say that it is right.",
            owed.show()
        );
        return ("ten-times", sentence);
    }
    let stands = match (new.way, -owed) {
        (_, Cents::ZERO) => "The account is even".to_owned(),
        (Paid::ToTheMill, credit) => format!("The member is in credit with {}", credit.show()),
        (Paid::ToTheMember, debt) => format!("The member has {} to pay", debt.show()),
    };
    let sentence = format!(
        "{stands}: nothing is owed that way, and {paid} would be. Please look at the member and the way, or say that it is right."
    );
    ("nothing-owed", sentence)
}

/// Notes a payment of a member.
pub async fn note_payment(act: &Act, member: MemberId, new: NewPayment) -> Done<PaymentNumber> {
    act.steward()?;
    let mut tx = begin!(act, "note_payment");
    members::find(member)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    if seasons::find(new.season).ask(&mut tx).await?.is_none() {
        return Err(RuleRefusal::beside("season", "no-season", "Please choose a season.").into());
    }
    if new.cents <= Cents::ZERO {
        return Err(RuleRefusal::beside(
            "cents",
            "nothing-paid",
            "Please write an amount above nothing.",
        )
        .into());
    }
    let coop = coop::find().ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let today = coop.zone.local(act.at).0;
    let on = new.on.unwrap_or(today);
    looks_right(&mut tx, member, &new, (on, today)).await?;
    let (cents, way) = match new.way {
        Paid::ToTheMill => (-new.cents, "received"),
        Paid::ToTheMember => (new.cents, "paid out"),
    };
    let day = if on == today {
        String::new()
    } else {
        format!(", on {}", on.show())
    };
    let text = if new.text.is_empty() {
        new.by.label()
    } else {
        &new.text
    };
    let says = format!("{way}: {text}{day}");
    let who = Sharer::Member(member);
    let paid = NewLine {
        cents,
        ..line(act, new.season, who, Entry::Payment, says)
    };
    let number = write(&mut tx, vec![paid]).await?;
    let receipt = payments::next_receipt().ask(&mut tx).await?;
    payments::insert(&mut tx, (number, receipt), new.by.word(), on).await?;
    act.finish(tx, "note_payment", PaymentNumber(receipt)).await
}

/// Takes a line of money back: a new line of the opposite amount that names it and says why. Of a settlement in money both halves
/// are taken back, syrup and cents; where an answer to one of them left something out, what is missing is written. Lines of syrup
/// alone stand: jars and shares are not put right with a pen.
///
/// # Errors
/// There is no such line, nothing of it is left, it is an answer itself, it moves syrup alone, or its season is locked and it is no
/// payment.
pub async fn answer(act: &Act, number: i64, why: String) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "answer_line");
    let Some(found) = ledger::find(number).ask(&mut tx).await? else {
        return Err(RuleRefusal::beside(
            "number",
            "no-line",
            format!("There is no line {number}. Please look at the list below."),
        )
        .into());
    };
    // Money that changed hands is put right in a locked season too, as it is noted in one.
    if found.kind != Entry::Payment {
        not_locked(&mut tx, found.season_id).await?;
    }
    may_be_answered(&found)?;
    let by = found.answered_by;
    let together = together(&mut tx, found).await?;
    if together.iter().all(|(_, moved)| moved.is_back()) {
        let by = by.map_or_else(String::new, |by| format!(", by line {by}"));
        return Err(RuleRefusal::beside(
            "number",
            "answered-before",
            format!("Line {number} is taken back already{by}."),
        )
        .into());
    }
    let left = together.into_iter().filter(|(_, moved)| !moved.is_back());
    let lines = left.map(|(of, moved)| {
        let (grams, cents) = moved.left();
        let says = format!("takes back line {}: {why}", of.number);
        NewLine {
            grams,
            cents,
            boil_id: of.boil_id,
            answers: Some(of.number),
            ..line(
                act,
                of.season_id,
                Sharer::of(of.member_id),
                Entry::Answer,
                says,
            )
        }
    });
    write(&mut tx, lines.collect()).await?;
    act.finish(tx, "answer_line", ()).await
}

/// Refuses an answer to an answer, and to a line of syrup alone.
fn may_be_answered(found: &LedgerLine) -> Result<(), RuleRefusal> {
    let beside = |code, sentence: String| RuleRefusal::beside("number", code, sentence);
    let number = found.number;
    if found.kind == Entry::Answer {
        return Err(beside(
            "an-answer",
            format!("Line {number} takes another line back. Please write a new payment instead."),
        ));
    }
    if found.cents != Cents::ZERO {
        return Ok(());
    }
    let sentence = if found.kind == Entry::Settled {
        format!(
            "Line {number} settled syrup in jars, not in money. Please take the jars back on the page of their receipt: what comes \
             back is owed again."
        )
    } else {
        format!(
            "Line {number} is of syrup, not of money. What is divided stands; please settle it with \
             the next lot."
        )
    };
    Err(beside("syrup-stands", sentence))
}
