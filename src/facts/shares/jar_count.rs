//! Jars counted: those of a lot, place by place; those of a receipt that are still out; everybody's shelf.

use super::recalls::jars_of;
use crate::calc::shares::jar_places::{
    Became, Jars, Kind, LotCount, Placed, placed, take_found, too_many,
};
use crate::calc::shares::ledger::jar_says;
use crate::store::shares::hand_overs::{self, AsideRow, HandOverRow};
use crate::store::shares::jar_moves::{self, JarMove};
use crate::store::shares::recalls::{self, JarRow, LotDay};
use crate::store::{Conn, Stored, Together};
use crate::units::{BoilId, LotCode, MemberId, MemberName, Units};
use std::collections::BTreeMap;

/// The jars of a lot, counted.
#[derive(Debug)]
pub struct LotPlaces {
    /// How many jars are in each place.
    pub count: LotCount,
    /// The jars by kind, place and owner.
    pub places: Vec<Placed>,
    /// What became of jars after the division, in order.
    pub moves: Vec<JarMove>,
}

impl LotPlaces {
    /// Counts the jars of a boil, from those of several.
    pub fn of(boil: BoilId, jars: &Jars, all: &[Placed], moves: &[JarMove]) -> Self {
        let own = all.iter().filter(|p| p.kind.boil == boil);
        let places: Vec<Placed> = own.cloned().collect();
        Self {
            count: LotCount::of(boil, jars, &places),
            places,
            moves: moves
                .iter()
                .filter(|m| m.jars.boil == boil)
                .cloned()
                .collect(),
        }
    }
}

/// What does not add up among the jars of all divided lots that are not open for a correction, one sentence each.
///
/// # Errors
/// The store failed.
pub async fn what_does_not_add_up(conn: &mut Conn, open: &[String]) -> Stored<Vec<String>> {
    let mut lots = recalls::lots().ask(conn).await?;
    lots.retain(|l| !open.contains(&l.lot.to_string()));
    let called = |boil: BoilId| lots.iter().find(|l| l.boil == boil).map(called_lot);
    let jars = jars_of(&lots.iter().map(|l| l.boil).collect())
        .ask(conn)
        .await?;
    let places = placed(&jars);
    let mut out = Vec::new();
    for (kind, many) in too_many(&jars) {
        if let Some(lot) = called(kind.boil) {
            out.push(format!(
                "{lot}, {}: {many} more left, broke or came back than were there",
                jar_says(&kind.size_name, kind.net, kind.part, Units::Metric)
            ));
        }
    }
    let mut counted: BTreeMap<BoilId, Vec<Placed>> = BTreeMap::new();
    for one in places {
        counted.entry(one.kind.boil).or_default().push(one);
    }
    for lot in &lots {
        let places = counted.get(&lot.boil).map_or(&[][..], Vec::as_slice);
        let count = LotCount::of(lot.boil, &jars, places);
        if !count.adds_up() {
            out.push(format!(
                "{}: {} jars were filled, {} are counted in all places",
                called_lot(lot),
                count.filled,
                count.together()
            ));
        }
    }
    Ok(out)
}

/// "lot 26001-X of Sat 3 Oct 2026".
fn called_lot(lot: &LotDay) -> String {
    format!("lot {} of {}", lot.lot, lot.day.show())
}

/// Jars of one kind on a receipt that did not come back.
#[derive(Debug, Clone)]
pub struct StillOut {
    /// Code of the lot.
    pub lot: LotCode,
    /// The jars, and how many are out.
    pub jars: JarRow,
}

/// A receipt with the jars of it that are out.
#[derive(Debug)]
pub struct OutOn {
    /// The receipt.
    pub row: HandOverRow,
    /// The jars it was signed for, also those that all came back.
    pub jars: Vec<StillOut>,
}

impl OutOn {
    /// Reads a receipt. `None`: there is none of that number.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, number: i64) -> Stored<Option<Self>> {
        let Some(row) = hand_overs::find(number).ask(conn).await? else {
            return Ok(None);
        };
        let found = (
            jar_moves::of_receipt(number),
            recalls::lots(),
            hand_overs::jars(row.id),
        );
        let (moves, lots, handed) = found.together().ask(conn).await?;
        let mut jars = Vec::new();
        for jar in handed {
            let Some(boil) = lots.iter().find(|l| l.lot == jar.lot).map(|l| l.boil) else {
                continue;
            };
            let same = |m: &&JarMove| {
                m.jars.boil == boil
                    && m.jars.size_name == jar.size_name
                    && (m.jars.net, m.jars.part) == (jar.net, jar.part)
            };
            let back: i64 = moves.iter().filter(same).map(|m| m.jars.count).sum();
            jars.push(StillOut {
                lot: jar.lot,
                jars: JarRow {
                    boil,
                    size_name: jar.size_name,
                    net: jar.net,
                    part: jar.part,
                    member: row.member_id,
                    receipt: Some(number),
                    count: jar.count - back,
                },
            });
        }
        Ok(Some(Self { row, jars }))
    }
}

/// The shelf of one sharer.
#[derive(Debug, Clone)]
pub struct OwnShelf {
    /// The member whose shelf it is; `None`: the mill.
    pub member: Option<(MemberId, MemberName)>,
    /// The jars on it, in the order they were filled.
    pub jars: Vec<AsideRow>,
}

/// Everybody's shelf, the mill's first, then by name.
///
/// # Errors
/// The store failed.
pub async fn shelves(conn: &mut Conn) -> Stored<Vec<OwnShelf>> {
    let mut out: Vec<OwnShelf> = Vec::new();
    for row in hand_overs::shelf().ask(conn).await? {
        let member = row.member_id.zip(row.name);
        match out.last_mut() {
            Some(last) if last.member == member => last.jars.push(row.jars),
            _ => out.push(OwnShelf {
                member,
                jars: vec![row.jars],
            }),
        }
    }
    Ok(out)
}

/// How many jars of this kind the moves, in order, leave missing, and how many broken.
pub fn gone_of(moves: &[JarMove], kind: &Kind) -> (i64, i64) {
    let same = |m: &&JarMove| {
        m.jars.boil == kind.boil
            && m.jars.size_name == kind.size_name
            && (m.jars.net, m.jars.part) == (kind.net, kind.part)
    };
    let (mut missing, mut broken) = (0, 0);
    for one in moves.iter().filter(same) {
        match one.became {
            Became::Missing => missing += one.jars.count,
            Became::Broken => broken += one.jars.count,
            Became::Found => take_found((&mut missing, &mut broken), one.jars.count),
            Became::NotBroken => broken -= one.jars.count,
            Became::Returned | Became::Miscounted => {}
        }
    }
    (missing, broken)
}
