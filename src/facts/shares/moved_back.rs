//! Lines of the ledger with what their answers took back.

use crate::calc::shares::ledger::Entry;
use crate::calc::shares::taken_back::{self, Moved};
use crate::store::shares::ledger::{self, LedgerLine, SumLine};
use crate::store::{Conn, StoreError, Stored};
use crate::units::{Cents, Grams, MemberId};
use std::collections::BTreeMap;

/// Of all lines, in order, those that were taken back in part, or whose other half was not: one sentence each, with whose
/// line it is.
///
/// # Errors
/// A line is of a kind that there is not.
pub fn half_taken_back(lines: &[SumLine]) -> Stored<Vec<(Option<MemberId>, String)>> {
    Ok(taken_back::half_taken_back(&moved(lines)?))
}

/// All lines, in order, each with what its answers moved.
fn moved(lines: &[SumLine]) -> Stored<Vec<Moved>> {
    let mut backs: BTreeMap<i64, (Grams, Cents)> = BTreeMap::new();
    for (line, of) in lines.iter().filter_map(|line| Some((line, line.answers?))) {
        let back = backs.entry(of).or_default();
        *back = (back.0 + line.grams, back.1 + line.cents);
    }
    let all = lines.iter().map(|line| {
        let kind = Entry::parse(&line.kind).map_err(|_| StoreError::Corrupt {
            what: "ledger.kind",
            found: line.kind.clone(),
        })?;
        Ok(Moved {
            number: line.number,
            member: line.member_id,
            kind,
            moves: (line.grams, line.cents),
            back: backs.get(&line.number).copied().unwrap_or_default(),
        })
    });
    all.collect()
}

/// The lines that are taken back together with one: both halves of a settlement in money, the member's first; else that line alone.
///
/// # Errors
/// The store failed.
pub async fn together(conn: &mut Conn, line: LedgerLine) -> Stored<Vec<(LedgerLine, Moved)>> {
    let own = moved_of(conn, &line).await?;
    let mut both = vec![(line, own)];
    if let Some(other) = own.other_half()
        && let Some(other) = ledger::find(other).ask(conn).await?
    {
        let half = moved_of(conn, &other).await?;
        if own.is_half_with(&half) {
            both.push((other, half));
        }
    }
    both.sort_by_key(|(line, _)| line.number);
    Ok(both)
}

async fn moved_of(conn: &mut Conn, line: &LedgerLine) -> Stored<Moved> {
    Ok(Moved {
        number: line.number,
        member: line.member_id,
        kind: line.kind,
        moves: (line.grams, line.cents),
        back: ledger::taken_back(line.number).ask(conn).await?,
    })
}
