//! Jars set aside for somebody, and receipts of what was handed over.

use crate::calc::shares::split::Sharer;
use crate::facts::came_by::CameBy;
use crate::store::home;
use crate::store::people::members;
use crate::store::shares::hand_overs::{self, AsideRow, HandOverJar, HandOverRow};
use crate::store::shares::holds::{self, HeldLot};
use crate::store::shares::jar_moves::{self, JarMove};
use crate::store::shares::ledger;
use crate::store::shares::settled_jars::{self, SettledRow};
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{Cents, Grams, LotCode, MemberId, MemberName};

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
    /// Lots with a share of that member's that were divided and are open to be put right.
    pub reopened: Vec<LotCode>,
}

impl SetAside {
    /// Reads the jars of a sharer. `None`: there is no such member.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, sharer: Sharer) -> Stored<Option<Self>> {
        let found = (
            Question::when(sharer.member().map(members::find)),
            hand_overs::jars_set_aside(sharer.member()),
            holds::held(),
            Question::when(sharer.member().map(home::reopened_lots)),
        );
        let (card, jars, held, reopened) = found.together().ask(conn).await?;
        let name = match card {
            None => None,
            Some(Some(card)) => Some(card.name),
            Some(None) => return Ok(None),
        };
        Ok(Some(Self {
            sharer,
            name,
            jars,
            held,
            reopened: reopened.unwrap_or_default(),
        }))
    }
}

/// What is left for a member after a hand-over.
#[derive(Debug, Clone)]
pub struct LeftFor {
    /// Number of the member's jars still at the mill.
    pub jars: i64,
    /// Syrup; plus: owed to the member.
    pub grams: Grams,
    /// Money; plus: owed by the member.
    pub cents: Cents,
    /// Lots that are open to be put right, which may change all this.
    pub reopened: Vec<LotCode>,
}

/// What is left for a member.
fn left_for(member: MemberId) -> Question<LeftFor> {
    let found = (
        ledger::balance_of(member),
        hand_overs::jars_set_aside(Some(member)),
        home::reopened_lots(member),
    );
    found
        .together()
        .map(|((grams, cents), aside, reopened)| LeftFor {
            reopened,
            jars: aside.iter().map(AsideRow::left).sum(),
            grams,
            cents,
        })
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
        let found = (
            hand_overs::jars(row.id),
            Question::when(row.member_id.map(left_for)),
            jar_moves::of_receipt(number),
            CameBy::of(&row.number.to_string()),
            settled_jars::of_receipt(number),
        );
        let (jars, left, moves, came, settled) = found.together().ask(conn).await?;
        Ok(Some(Self {
            row,
            jars,
            left,
            moves,
            came,
            settled,
        }))
    }
}
