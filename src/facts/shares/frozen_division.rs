//! A division read back as it was frozen.

use crate::calc::shares::division::Division;
use crate::calc::shares::frozen::{self, FrozenJars, FrozenShare, MadeBy};
use crate::calc::shares::split::Sharer;
use crate::store::boil::boils::BoilRow;
use crate::store::shares::divisions::{self, DivisionRow, ShareJarRow, ShareRow};
use crate::store::{Question, Together, in_json};
use crate::units::{DivisionId, Grams};
use std::collections::HashMap;

/// A division as it was frozen, with its sums redone from the frozen weights.
pub fn recall(boil: &BoilRow, row: &DivisionRow) -> Question<Division> {
    let (boil, row) = (boil.clone(), row.clone());
    Frozen::of([row.id]).map(move |mut frozen| frozen.recall(&boil, &row))
}

/// The rows of many divisions, read at once.
pub struct Frozen {
    jars: HashMap<DivisionId, Vec<ShareJarRow>>,
    wishes: HashMap<DivisionId, Vec<(i64, Grams)>>,
    shares: HashMap<DivisionId, Vec<ShareRow>>,
}

impl Frozen {
    /// Reads the rows of these divisions.
    pub fn of(ids: impl IntoIterator<Item = DivisionId>) -> Question<Self> {
        let ids = in_json(ids);
        let found = (
            divisions::share_jars_of(&ids),
            divisions::wishes_of(&ids),
            divisions::shares_of(&ids),
        );
        found.together().map(|(jars, wishes, shares)| {
            let mut all = Self {
                jars: HashMap::new(),
                wishes: HashMap::new(),
                shares: HashMap::new(),
            };
            for (of, jars) in jars {
                all.jars.entry(of).or_default().push(jars);
            }
            for (of, place, net) in wishes {
                all.wishes.entry(of).or_default().push((place, net));
            }
            for (of, share) in shares {
                all.shares.entry(of).or_default().push(share);
            }
            all
        })
    }

    /// One of these divisions with its sums worked out again; its rows are used up.
    pub fn recall(&mut self, boil: &BoilRow, row: &DivisionRow) -> Division {
        let jars = self.jars.remove(&row.id).unwrap_or_default();
        let wishes = self.wishes.remove(&row.id).unwrap_or_default();
        let shares = self.shares.remove(&row.id).unwrap_or_default();
        let likes = |place| {
            let own = wishes.iter().filter(move |(at, _)| *at == place);
            own.map(|(_, net)| *net).collect()
        };
        let frozen: Vec<FrozenShare> = shares
            .into_iter()
            .map(|share| FrozenShare {
                sharer: Sharer::of(share.member_id),
                weight: u64::try_from(share.weight).unwrap_or(0),
                solids: share.solids,
                carried: share.carried,
                favoured_at: share.favoured_at,
                wishes: likes(share.place),
                entitled: share.entitled,
                jarred: share.jarred,
                carry: share.carry,
                jars: jars
                    .iter()
                    .filter(|j| j.place == share.place)
                    .map(|j| FrozenJars {
                        name: j.size_name.clone(),
                        net: j.net,
                        part: j.part,
                        count: u32::try_from(j.count).unwrap_or(0),
                    })
                    .collect(),
            })
            .collect();
        frozen::recall(
            boil.lot.as_str(),
            MadeBy {
                basis: row.basis,
                toll: row.toll,
                way: row.way,
                lots_repay_pct: row.lots_repay_pct,
                first: row.version == 1,
            },
            Some(row.finish),
            &frozen,
        )
    }
}
