//! Jars set aside for somebody, and receipts of what was handed over.

use crate::calc::shares::split::Sharer;
use crate::facts::came_by::CameBy;
use crate::store::people::members;
use crate::store::shares::hand_overs::{self, AsideRow, HandOverJar, HandOverRow};
use crate::store::shares::holds::{self, HeldLot};
use crate::store::shares::jar_moves::{self, JarMove};
use crate::store::shares::ledger;
use crate::store::shares::settled_jars::{self, SettledRow};
use crate::store::{Conn, Stored};
use crate::units::{Cents, Grams, MemberName};

/// All jars ever set aside for a sharer.
#[derive(Debug, Clone)]
pub struct SetAside {
    /// The sharer whose jars they are.
    pub sharer: Sharer,
    /// That member's name; `None`: the jars are the mill's own.
    pub name: Option<MemberName>,
    /// The jars, in the order they were filled.
    pub jars: Vec<AsideRow>,
    /// Lots that are held: their jars stay.
    pub held: Vec<HeldLot>,
}

impl SetAside {
    /// Reads the jars of a sharer. `None`: there is no such member.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, sharer: Sharer) -> Stored<Option<Self>> {
        let name = match sharer {
            Sharer::Mill => None,
            Sharer::Member(id) => match members::find(id).ask(conn).await? {
                Some(card) => Some(card.name),
                None => return Ok(None),
            },
        };
        let jars = hand_overs::jars_set_aside(sharer.member())
            .ask(conn)
            .await?;
        let held = holds::held().ask(conn).await?;
        Ok(Some(Self {
            sharer,
            name,
            jars,
            held,
        }))
    }
}

/// What is left for a member after a hand-over.
#[derive(Debug, Clone, Copy)]
pub struct LeftFor {
    /// Number of the member's jars still at the mill.
    pub jars: i64,
    /// Syrup; plus: owed to the member.
    pub grams: Grams,
    /// Money; plus: owed by the member.
    pub cents: Cents,
}

/// A receipt with its jars.
#[derive(Debug, Clone)]
pub struct Receipt {
    /// The hand-over.
    pub row: HandOverRow,
    /// Its jars, by lot.
    pub jars: Vec<HandOverJar>,
    /// What is left for the member; `None`: the jars were the mill's own.
    pub left: Option<LeftFor>,
    /// Jars of it that were brought back or counted wrong, in order.
    pub moves: Vec<JarMove>,
    /// How the entries of the receipt came.
    pub came: CameBy,
    /// The balance that the jars settled, if they were the mill's own and settled one.
    pub settled: Option<SettledRow>,
}

impl Receipt {
    /// Reads the receipt of that number. `None`: there is none.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, number: i64) -> Stored<Option<Self>> {
        let Some(row) = hand_overs::find(number).ask(conn).await? else {
            return Ok(None);
        };
        let jars = hand_overs::jars(row.id).ask(conn).await?;
        let left = match row.member_id {
            None => None,
            Some(id) => {
                let (grams, cents) = ledger::balance_of(id).ask(conn).await?;
                let aside = hand_overs::jars_set_aside(Some(id)).ask(conn).await?;
                Some(LeftFor {
                    jars: aside.iter().map(AsideRow::left).sum(),
                    grams,
                    cents,
                })
            }
        };
        let moves = jar_moves::of_receipt(conn, number).await?;
        let came = CameBy::of(&row.number.to_string()).ask(conn).await?;
        Ok(Some(Self {
            row,
            jars,
            left,
            moves,
            came,
            settled: settled_jars::of_receipt(number).ask(conn).await?,
        }))
    }
}
