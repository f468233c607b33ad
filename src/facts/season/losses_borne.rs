//! What a season bears of a loss: who is made good, and who gives up how much.

use crate::calc::RuleRefusal;
use crate::calc::shares::losses::{self, LossPart, LossRule};
use crate::calc::shares::split::Sharer;
use crate::facts::season::season_close::{BoilLoss, season_solids};
use crate::facts::shares::division_inputs::DivisionInputs;
use crate::facts::shares::syrup_lost;
use crate::store::people::members;
use crate::store::season::season_close::{self, MovedRow};
use crate::store::shares::ledger;
use crate::store::{Conn, Stored};
use crate::units::{Grams, MemberName, people_order};
use std::collections::BTreeMap;

/// Who is made good and who gives up how much, by the solids that everybody brought to the season.
///
/// # Errors
/// Nobody brought anything to the boil or to the season.
pub fn parts(
    boil: &DivisionInputs,
    lost: Grams,
    solids: &BTreeMap<Sharer, Grams>,
) -> Result<Vec<LossPart>, RuleRefusal> {
    let code = boil.boil.lot.as_str();
    let entitled = syrup_lost::entitled(code, lost, &boil.rules, &boil.pours)?;
    losses::spread(code, lost, &entitled, solids)
}

/// What the season bearing a loss would move for one sharer, or has moved.
#[derive(Debug, Clone)]
pub struct WouldMove {
    /// Whose; `None`: the mill's.
    pub name: Option<MemberName>,
    /// Made good, and given up.
    pub part: LossPart,
    /// Syrup carried before; plus: owed to the sharer. Nought once it was moved.
    pub carried: Grams,
}

/// What the season bearing the loss of a boil moved, the mill first, then by name; nothing where it does not bear it.
///
/// # Errors
/// The store failed.
pub async fn has_moved(conn: &mut Conn, of: &BoilLoss) -> Stored<Vec<WouldMove>> {
    if !of.loss.as_ref().is_some_and(|loss| loss.borne) {
        return Ok(Vec::new());
    }
    let rows = season_close::moved(of.boil.id).ask(conn).await?;
    let row = |row: MovedRow| WouldMove {
        name: row.name,
        part: LossPart {
            sharer: Sharer::of(row.member_id),
            made_good: row.made_good,
            borne: row.borne,
        },
        carried: Grams::ZERO,
    };
    let mut rows: Vec<WouldMove> = rows.into_iter().map(row).collect();
    by_name(&mut rows);
    Ok(rows)
}

fn by_name(rows: &mut [WouldMove]) {
    rows.sort_by_cached_key(|row| row.name.as_ref().map(|name| people_order(name.as_str())));
}

/// What the season would move if it bore the loss of a boil now, the mill first, then by name; nothing where it is not to bear it.
///
/// # Errors
/// The store failed.
pub async fn would_move(conn: &mut Conn, of: &BoilLoss) -> Stored<Vec<WouldMove>> {
    let Some(loss) = of.loss.as_ref().filter(|loss| !loss.borne) else {
        return Ok(Vec::new());
    };
    if of.rules.loss != LossRule::Pool {
        return Ok(Vec::new());
    }
    let laid = DivisionInputs::measured(conn, of.boil.clone()).await?;
    let solids = season_solids(conn, of.boil.season_id).await?;
    let Ok(parts) = parts(&laid, loss.lost, &solids) else {
        return Ok(Vec::new());
    };
    let carries: BTreeMap<_, _> = ledger::carries().ask(conn).await?.into_iter().collect();
    let cards = members::list().ask(conn).await?;
    let row = |part: LossPart| {
        let member = part.sharer.member();
        let card = cards.iter().find(|card| Some(card.id) == member);
        WouldMove {
            name: card.map(|card| card.name.clone()),
            carried: carries.get(&member).copied().unwrap_or_default(),
            part,
        }
    };
    let mut rows: Vec<WouldMove> = parts.into_iter().map(row).collect();
    by_name(&mut rows);
    Ok(rows)
}
