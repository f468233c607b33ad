//! A recall as it stands: its jars, whom to ask, what was found. And which jars one would touch, with a fixed
//! number of queries however many seasons there are.

use crate::calc::shares::jar_places::{Counted, Jars, Kind, Placed, placed};
use crate::calc::shares::recall::{Records, Said, Start, Tally, tally, touched_lots};
use crate::store::shares::jar_moves;
use crate::store::shares::recalls::{
    self, CallRow, EndRow, FoundRow, JarRow, LineRow, LotDay, RecallRow,
};
use crate::store::{Conn, Stored};
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
        let mut lots = recalls::lots().ask(conn).await?;
        let records = Records {
            pours: recalls::pours().ask(conn).await?,
            added: recalls::added().ask(conn).await?,
            boils: lots.iter().map(|l| (l.boil, l.day)).collect(),
        };
        let touched = touched_lots(start, &records);
        lots.retain(|l| touched.contains(&l.boil));
        let jars = placed(&jars_of(conn, &touched).await?);
        Ok(Self { lots, jars })
    }
}

/// The jars of some lots and what became of them.
///
/// # Errors
/// The store failed.
pub async fn jars_of(conn: &mut Conn, lots: &BTreeSet<BoilId>) -> Stored<Jars> {
    let ids: Vec<String> = lots.iter().map(|id| format!("\"{id}\"")).collect();
    let ids = format!("[{}]", ids.join(","));
    let filled = recalls::filled(&ids).ask(conn).await?;
    let all = |rows: Vec<JarRow>| rows.into_iter().map(counted).collect();
    let moved = jar_moves::of_lots(conn, &ids).await?;
    Ok(Jars {
        filled: filled
            .into_iter()
            .map(|row| {
                let one = counted(row);
                (one.kind, one.count)
            })
            .collect(),
        aside: all(recalls::aside(&ids).ask(conn).await?),
        handed: all(recalls::handed(&ids).ask(conn).await?),
        moved: moved
            .into_iter()
            .map(|m| (m.became, counted(m.jars)))
            .collect(),
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
