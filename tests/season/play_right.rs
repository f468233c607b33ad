//! Samples of cane that are stripped, and lots that are divided again after a count was put right.

use crate::mill::Mill;
use canewright::actions::boil::boils_finish::{self, FixedFill};
use canewright::actions::cane::yard::{self, NewSample};
use canewright::actions::season::season_lock;
use canewright::actions::shares::divisions::{self, Signed};
use canewright::actions::{Done, Stop};
use canewright::facts::shares::division_inputs::DivisionInputs;
use canewright::store::boil::boils;
use canewright::units::{Grams, LotCode, TicketId, Units};

/// Whether it was done; what breaks is no refusal.
fn went<T>(done: Done<T>) -> bool {
    match done {
        Ok(_) => true,
        Err(Stop::RuleRefusal(_)) => false,
        Err(stop) => panic!("{stop}"),
    }
}

impl Mill {
    /// A sample of a ticket's cane is stripped, or crossed out, by throws that the rest of the season does not feel.
    pub async fn strip_a_sample(&mut self, ticket: TicketId) {
        let mut own = self.chance.clone();
        if own.of_100(40) {
            return;
        }
        let before = own.between(2_300, 5_000);
        let new = NewSample {
            weights: (
                Grams::new(before),
                Grams::new(before * own.between(60, 100) / 100),
            ),
            sure: own.of_100(90),
        };
        let new = own.of_100(85).then_some(new);
        let who = self.steward();
        self.step("strip a sample", who, async |act| {
            yard::sample(&act, ticket, new).await
        })
        .await;
    }

    /// After the season many lots are opened again: jars were miscounted. Between two of them jars go out. These steps are
    /// not looked over one by one: the book that is written after them is worked again from outside.
    pub async fn puts_right(&mut self) {
        let season = self.season.unwrap();
        self.later(60);
        went(season_lock::lift(&self.own_act(), season, "jars were miscounted").await);
        let all = boils::of_season(season).ask(&mut *self.read().await).await;
        let divided = all.unwrap().into_iter().filter(|b| b.divided_at.is_some());
        let lots: Vec<LotCode> = divided.map(|boil| boil.lot).collect();
        for _ in 0..2 {
            for lot in &lots {
                if self.chance.of_100(60) {
                    self.later(60);
                    self.put_right(lot).await;
                }
            }
        }
    }

    async fn put_right(&mut self, lot: &LotCode) {
        if !went(divisions::open_correction(&self.own_act(), lot, "miscounted").await) {
            return;
        }
        let boil = boils::find(lot).ask(&mut *self.read().await).await;
        let boil = boil.unwrap().unwrap();
        let fills = boils::fills(boil.id).ask(&mut *self.read().await).await;
        for fill in fills.unwrap() {
            let most = if fill.part { 1 } else { fill.count + 2 };
            let new = FixedFill {
                count: self.chance.between((fill.count - 2).max(0), most),
                net: None,
                why: "counted again".to_owned(),
                units: Units::Us,
            };
            self.later(3);
            went(boils_finish::fix_fill(&self.own_act(), lot, fill.number, new).await);
        }
        self.later(3);
        let inputs = DivisionInputs::read(&mut *self.read().await, lot).await;
        let Ok(division) = inputs.unwrap().unwrap().propose(Units::Us) else {
            return;
        };
        let mark = division.mark();
        let ticked: Vec<&str> = division.questions.iter().map(|q| q.at).collect();
        let signed = Signed {
            seen: &mark,
            ticked: &ticked,
            by: Some(self.people[1].id),
        };
        let again = went(divisions::divide(&self.own_act(), lot, signed).await);
        self.note("divide again", if again { "done" } else { "refused" });
    }
}
