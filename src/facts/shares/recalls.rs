//! A recall as it stands: its jars, whom to ask, what was found. And which jars one would touch, with a fixed
//! number of queries however many seasons there are.

use crate::calc::shares::jar_places::{Counted, Jars, Kind, Placed, placed};
use crate::calc::shares::recall::{Records, Said, Start, Tally, tally, touched_lots};
use crate::store::shares::jar_moves::{self, JarMove};
use crate::store::shares::recalls::{
    self, CallRow, EndRow, FoundRow, JarRow, LineRow, LotDay, RecallRow,
};
use crate::store::{Conn, Question, Stored, Together, in_json};
use crate::units::{BoilId, LotCode};
use std::collections::{BTreeMap, BTreeSet};

/// The lots and jars that a recall would touch.
#[derive(Debug)]
pub struct Touched {
    /// The lots, in the order they were lit.
    pub lots: Vec<LotDay>,
    /// Every jar of those lots.
    pub jars: Vec<Placed>,
}

impl Touched {
    /// Reads all that decides it, and decides.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, start: &Start) -> Stored<Self> {
        let found = (recalls::lots(), recalls::pours(), recalls::added());
        let (mut lots, pours, added) = found.together().ask(conn).await?;
        let records = Records {
            pours,
            added,
            boils: lots.iter().map(|l| (l.boil, l.day)).collect(),
        };
        let touched = touched_lots(start, &records);
        lots.retain(|l| touched.contains(&l.boil));
        let jars = placed(&jars_of(&touched).ask(conn).await?);
        Ok(Self { lots, jars })
    }
}

/// The jars of some lots and what became of them.
pub fn jars_of(lots: &BTreeSet<BoilId>) -> Question<Jars> {
    jars_and_moves(lots).map(|(jars, _)| jars)
}

/// The jars of some lots, and what became of some as it was written down.
pub fn jars_and_moves(lots: &BTreeSet<BoilId>) -> Question<(Jars, Vec<JarMove>)> {
    let ids = in_json(lots);
    let found = (
        recalls::filled(&ids),
        recalls::aside(&ids),
        recalls::handed(&ids),
        jar_moves::of_lots(&ids),
    );
    found.together().map(|(filled, aside, handed, moves)| {
        let all = |rows: Vec<JarRow>| rows.into_iter().map(counted).collect();
        let moved = moves.iter().map(|m| (m.became, counted(m.jars.clone())));
        let jars = Jars {
            filled: filled
                .into_iter()
                .map(|row| {
                    let one = counted(row);
                    (one.kind, one.count)
                })
                .collect(),
            aside: all(aside),
            handed: all(handed),
            moved: moved.collect(),
        };
        (jars, moves)
    })
}

fn counted(row: JarRow) -> Counted {
    Counted {
        kind: Kind {
            boil: row.boil,
            size_name: row.size_name,
            net: row.net,
            part: row.part,
        },
        member: row.member,
        receipt: row.receipt,
        count: row.count,
    }
}

/// One call of a recall, or one look at the shelf.
#[derive(Debug)]
pub struct CallRecord {
    /// Number of the call in its recall.
    pub call: i64,
    /// The jars it is about, with what was said of each.
    pub lines: Vec<(LineRow, Said)>,
    /// The latest note of the call; `None`: it was not made yet.
    pub noted: Option<CallRow>,
}

/// A recall with all that was done.
#[derive(Debug)]
pub struct RecallRecord {
    /// The recall.
    pub row: RecallRow,
    /// The lots, in the order of the lines.
    pub lots: Vec<LotCode>,
    /// The calls of the recall.
    pub calls: Vec<CallRecord>,
    /// What the calls brought so far.
    pub tally: Tally,
    /// The end of the recall; `None`: it is open.
    pub end: Option<EndRow>,
}

impl RecallRecord {
    /// Reads a recall. `None`: there is none of that number.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, number: i64) -> Stored<Option<Self>> {
        let Some(row) = recalls::find(number).ask(conn).await? else {
            return Ok(None);
        };
        let lines = recalls::lines(row.id).ask(conn).await?;
        let noted = recalls::calls(row.id).ask(conn).await?;
        let found = recalls::found(row.id).ask(conn).await?;
        let end = recalls::end_of(row.id).ask(conn).await?;
        Ok(Some(Self::of(row, lines, &noted, &found, end)))
    }

    fn of(
        row: RecallRow,
        lines: Vec<LineRow>,
        noted: &[CallRow],
        found: &[FoundRow],
        end: Option<EndRow>,
    ) -> Self {
        let said: BTreeMap<i64, Said> = found
            .iter()
            .map(|f| {
                let said = Said {
                    back: f.back,
                    gone: f.gone,
                };
                (f.line, said)
            })
            .collect();
        let said = |line: &LineRow| said.get(&line.line).copied().unwrap_or_default();
        let sums: Vec<_> = lines.iter().map(|l| (l.net, l.count, said(l))).collect();
        let mut lots: Vec<LotCode> = Vec::new();
        let mut calls: BTreeMap<i64, Vec<(LineRow, Said)>> = BTreeMap::new();
        for line in lines {
            if !lots.contains(&line.lot) {
                lots.push(line.lot.clone());
            }
            let said = said(&line);
            calls.entry(line.call).or_default().push((line, said));
        }
        let calls = calls.into_iter().map(|(call, lines)| CallRecord {
            call,
            lines,
            noted: noted.iter().find(|n| n.call == call).cloned(),
        });
        Self {
            row,
            lots,
            calls: calls.collect(),
            tally: tally(&sums),
            end,
        }
    }
}
