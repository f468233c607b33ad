//! Losses of syrup as those are told of them whose juice was in the boil, each with the rule on who bears it.

use crate::calc::shares::losses::{HowLost, LossRule};
use crate::store::question::question;
use crate::store::{Question, StoreError, Stored};
use crate::units::{BoilId, Grams, MemberId, SeasonId, UtcSecond};

/// The loss of a boil as it counts.
#[derive(Debug, Clone)]
pub struct LotLoss {
    /// The boil.
    pub boil_id: BoilId,
    /// How it was lost.
    pub how: HowLost,
    /// Syrup lost.
    pub lost: Grams,
    /// Whether nothing was left to put in jars.
    pub whole: bool,
    /// Why it was lost.
    pub why: String,
    /// Who bears it, by the rules that the boil is divided by.
    pub rule: LossRule,
    /// When it was written down.
    pub at: UtcSecond,
    /// Whether the season bears it already.
    pub borne: bool,
}

struct LossColumns {
    boil_id: BoilId,
    what: String,
    lost: Grams,
    whole: bool,
    why: String,
    rule: String,
    at: UtcSecond,
    borne: bool,
}

impl LossColumns {
    fn read(self) -> Stored<LotLoss> {
        let how = HowLost::of_word(&self.what).ok_or(StoreError::Corrupt {
            what: "losses.what",
            found: self.what,
        })?;
        let rule = LossRule::parse(&self.rule).map_err(|_| StoreError::Corrupt {
            what: "season_rules.loss",
            found: self.rule,
        })?;
        Ok(LotLoss {
            rule,
            boil_id: self.boil_id,
            how,
            lost: self.lost,
            whole: self.whole,
            why: self.why,
            at: self.at,
            borne: self.borne,
        })
    }
}

macro_rules! losses {
    ($which:literal, $($bound:expr),*) => {
        question!(
            LossColumns,
            r#"select l.boil_id as "boil_id: BoilId", l.what as "what!: String", l.lost_g as "lost!: Grams", l.whole as "whole!: bool",
            l.why as "why!: String", r.loss as "rule!: String", l.at as "at!: UtcSecond",
            exists (select 1 from ledger x where x.boil_id = l.boil_id and x.kind = 'loss') as "borne!: bool"
            from counted_losses l join rules_of_boils ro on ro.boil_id = l.boil_id join season_rules r on r.id = ro.rules_id where "#
                + $which,
            $($bound),*
        )
        .try_map(|rows| rows.into_iter().map(LossColumns::read).collect::<Stored<Vec<LotLoss>>>())
    };
}

/// The losses of the boils of a JSON array of ids.
pub fn of_boils(ids: &str) -> Question<Vec<LotLoss>> {
    losses!("l.boil_id in (select value from json_each(?1))", ids)
}

/// The losses of the boils that hold, or held, any of a member's juices of a season.
pub fn of_member(season: SeasonId, member: MemberId) -> Question<Vec<LotLoss>> {
    losses!(
        "l.boil_id in (select y.boil_id from draws y join juices i on i.id = y.juice_id
        join tickets k on k.id = i.ticket_id where k.season_id = ?1 and k.member_id = ?2)",
        season,
        member
    )
}
