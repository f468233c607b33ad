//! New lines of the ledger: how each is begun, and how they are written with the next numbers.

use crate::actions::Act;
use crate::calc::shares::ledger::Entry;
use crate::calc::shares::split::Sharer;
use crate::store::shares::ledger::{self, NewLine};
use crate::store::{Stored, WriteTx};
use crate::units::{Cents, Grams, SeasonId};

/// A line of nothing yet: what it moves, and the boil it comes from, are filled in; its number is given on writing.
pub(in crate::actions) fn line(
    act: &Act,
    season: SeasonId,
    who: Sharer,
    kind: Entry,
    says: String,
) -> NewLine {
    NewLine {
        number: 0,
        season_id: season,
        member_id: who.member(),
        kind,
        grams: Grams::ZERO,
        cents: Cents::ZERO,
        boil_id: None,
        division_id: None,
        says,
        answers: None,
        jar_move: None,
        by_id: act.actor.id,
        at: act.at,
    }
}

/// Writes lines with the next numbers and gives the first.
pub(in crate::actions) async fn write(tx: &mut WriteTx, lines: Vec<NewLine>) -> Stored<i64> {
    let first = ledger::next_number().ask(tx).await?;
    for (number, line) in (first..).zip(lines) {
        ledger::insert(tx, &NewLine { number, ..line }).await?;
    }
    Ok(first)
}
