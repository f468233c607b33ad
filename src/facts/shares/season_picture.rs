//! A member's season in a few figures, out of the book.

use super::division_inputs::rules_of;
use super::poured_juice::Behind;
use super::syrup_lost::SyrupLost;
use crate::calc::shares::season_picture::{MySeason, mill_brix};
use crate::calc::shares::split::Sharer;
use crate::facts::boil::boil_sums;
use crate::facts::cane::yields::{self, TicketYield};
use crate::store::boil::boils::{self, BoilRow};
use crate::store::cane::tickets::{self, Ticket};
use crate::store::cane::yard::{self, LostPart};
use crate::store::home::{self, LastShare};
use crate::store::season::seasons::Season;
use crate::store::shares::ledger::{self, SeasonSyrup};
use crate::store::shares::lot_losses;
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{BoilId, Grams, LotCode, MemberId, TicketId};
use std::collections::{BTreeMap, BTreeSet};

/// A member's season.
#[derive(Debug)]
pub struct Pictured {
    /// Its figures.
    pub figures: MySeason,
    /// Of the last lots those that are open to be put right.
    pub reopened: BTreeSet<LotCode>,
    /// What was lost of the syrup of the member's lots, each with what of it would have been the member's.
    pub lost: Vec<(SyrupLost, Grams)>,
}

/// What is read of a member's season.
struct Read {
    own: Vec<Ticket>,
    yields: Vec<TicketYield>,
    syrup: SeasonSyrup,
    carried: Grams,
    shares: Vec<LastShare>,
    juice_lost: Vec<LostPart>,
    /// The boils that lost syrup, with what they lost.
    lost: Vec<(BoilRow, SyrupLost)>,
}

impl Read {
    fn of(season: &Season, member: MemberId) -> Question<Self> {
        let found = (
            tickets::of_season_member(season.id, member),
            yields::of_season(season.id),
            ledger::syrup_of(season.id, member),
            ledger::before_year(member, season.year + 1),
            home::last_shares(member),
            yard::lost_of_member(season.id, member),
            boils::of_member(season.id, member),
            lot_losses::of_member(season.id, member),
        );
        found.together().map(
            |(own, yields, syrup, (carried, _), shares, juice_lost, boils, losses)| Self {
                own,
                yields,
                syrup,
                carried,
                shares,
                juice_lost,
                lost: boils
                    .into_iter()
                    .flat_map(|boil| {
                        let all = SyrupLost::all_of(&boil, &losses).into_iter();
                        all.map(move |lost| (boil.clone(), lost))
                    })
                    .collect(),
            },
        )
    }

    fn pictured(self, lost: Vec<(SyrupLost, Grams)>) -> Pictured {
        let own: BTreeSet<TicketId> = self.own.iter().map(|ticket| ticket.id).collect();
        let mut out = MySeason::default();
        let mut all = Vec::new();
        for ticket in self.yields {
            let mine = own.contains(&ticket.ticket_id);
            if mine {
                out.cane += ticket.cane;
            }
            let Some(juice) = ticket.juice.filter(|juice| juice.mass > Grams::ZERO) else {
                continue;
            };
            if mine {
                out.pressed += ticket.cane;
                out.juice += juice.mass;
                out.solids += juice.solids;
            }
            let brix = 100.0 * juice.solids.as_f64() / juice.mass.as_f64();
            all.push((juice.member_id, brix));
        }
        out.mill_brix = mill_brix(&all);
        out.entitled = self.syrup.entitled;
        out.off_shelf = self.syrup.off_shelf;
        out.jarred = self.syrup.jarred - out.off_shelf;
        out.by_losses = (self.syrup.made_good, self.syrup.gave_up);
        out.carried = self.carried;
        let juice_lost = self.juice_lost.iter().filter(|l| !l.twice);
        out.lost = juice_lost.map(|l| l.amount).sum();
        out.syrup_lost = lost.iter().map(|(_, part)| *part).sum();
        let reopened = self.shares.into_iter().filter(|share| share.reopened);
        Pictured {
            figures: out,
            reopened: reopened.map(|share| share.lot).collect(),
            lost,
        }
    }
}

/// Some seasons of a member, in their order.
///
/// # Errors
/// The store failed.
pub async fn my_seasons(
    conn: &mut Conn,
    seasons: &[&Season],
    member: MemberId,
) -> Stored<Vec<Pictured>> {
    let all = seasons.iter().map(|season| Read::of(season, member));
    let read = Question::all(all).ask(conn).await?;
    let lost: Vec<&(BoilRow, SyrupLost)> = read.iter().flat_map(|read| &read.lost).collect();
    let mut parts = own_parts(conn, &lost, member).await?.into_iter();
    let mut out = Vec::with_capacity(read.len());
    for season in read {
        let lost = season.lost.iter().map(|(_, lost)| lost.clone());
        let lost = lost.zip(parts.by_ref()).collect();
        out.push(season.pictured(lost));
    }
    Ok(out)
}

/// What of the syrup that some boils lost would have been a member's.
async fn own_parts(
    conn: &mut Conn,
    lost: &[&(BoilRow, SyrupLost)],
    member: MemberId,
) -> Stored<Vec<Grams>> {
    if lost.is_empty() {
        return Ok(Vec::new());
    }
    // Of a boil that lost syrup twice the pan is asked for once.
    let rows: BTreeMap<BoilId, &BoilRow> = lost.iter().map(|(boil, _)| (boil.id, boil)).collect();
    let rows: Vec<BoilRow> = rows.into_values().cloned().collect();
    let ids: Vec<BoilId> = rows.iter().map(|boil| boil.id).collect();
    let found = (rules_of(&rows), boil_sums::in_pans(&ids)).together();
    let (rules, pans) = found.ask(conn).await?;
    let behind = Behind::of(pans.values().flatten()).ask(conn).await?;
    let off = |boil: &BoilRow| rules.get(&boil.rules_id).is_some_and(|r| r.trash_off);
    let wanted: Vec<(BoilId, bool)> = rows.iter().map(|boil| (boil.id, off(boil))).collect();
    let pours = behind.pours(pans, &wanted)?;
    let part = |(boil, lost): &&(BoilRow, SyrupLost)| {
        let (rules, pours) = (rules.get(&boil.rules_id)?, pours.get(&boil.id)?);
        Some(lost.part_of(Sharer::Member(member), rules, pours))
    };
    Ok(lost.iter().map(|of| part(of).unwrap_or_default()).collect())
}
