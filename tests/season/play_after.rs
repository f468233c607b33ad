//! What comes after the shares: jars handed over, and money.

use crate::mill::Mill;
use canewright::actions::shares::hand_overs::{self, JarsOut, NewHandOver};
use canewright::actions::shares::jar_moves::{self, NewMoves};
use canewright::actions::shares::ledger::{self, NewPayment, Paid};
use canewright::calc::shares::jar_places::Became;
use canewright::calc::shares::payments::PaidBy;
use canewright::calc::shares::split::Sharer;
use canewright::facts::shares::jar_count::OutOn;
use canewright::store::shares::recalls::JarRow;
use canewright::store::shares::{hand_overs as jar_store, ledger as book};
use canewright::units::{Cents, MemberName};

fn jars_out(of: &JarRow, count: i64) -> JarsOut {
    JarsOut {
        boil: of.boil,
        size_name: of.size_name.clone(),
        net: of.net,
        part: of.part,
        count,
    }
}

impl Mill {
    pub async fn hand_over(&mut self) {
        let waiting = jar_store::waiting()
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let Some(row) = self.chance.one(&waiting).cloned() else {
            return;
        };
        let aside = jar_store::jars_set_aside(row.member_id)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let mut jars = Vec::new();
        for a in &aside {
            let left = a.set_aside - a.gone;
            let over = i64::from(self.chance.of_100(2));
            let count = if self.chance.of_100(50) {
                left
            } else {
                self.chance.between(0, left)
            } + over;
            jars.push(JarsOut {
                boil: a.boil_id,
                size_name: a.size_name.clone(),
                net: a.net,
                part: a.part,
                count,
            });
        }
        let new = NewHandOver {
            jars,
            given_to: MemberName::parse("Whoever came").unwrap(),
            short: false,
            note: String::new(),
        };
        let (who, to) = (self.crew(), Sharer::of(row.member_id));
        self.step("hand jars over", who, async |act| {
            hand_overs::hand_over(&act, to, new.clone()).await
        })
        .await;
    }

    /// Something becomes of jars: they come back from a receipt, break, are missing, are found.
    pub async fn jars_become(&mut self) {
        let receipts = jar_store::recent(9)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let receipt = self.chance.one(&receipts).map(|r| r.number);
        if let (true, Some(receipt)) = (self.chance.of_100(50), receipt) {
            let out = OutOn::read(&mut *self.read().await, receipt).await;
            let mut jars = Vec::new();
            for o in out.unwrap().unwrap().jars {
                let over = i64::from(self.chance.of_100(5));
                let count = self.chance.between(0, o.jars.count) + over;
                jars.push(jars_out(&o.jars, count));
            }
            let became = if self.chance.of_100(60) {
                Became::Returned
            } else {
                Became::Miscounted
            };
            let new = NewMoves {
                became,
                jars,
                why: "Too many for now".to_owned(),
            };
            let who = self.crew();
            self.step("take jars back", who, async |act| {
                jar_moves::take_back(&act, receipt, new.clone()).await
            })
            .await;
            return;
        }
        let waiting = jar_store::waiting()
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let Some(row) = self.chance.one(&waiting).cloned() else {
            return;
        };
        let aside = jar_store::jars_set_aside(row.member_id)
            .ask(&mut *self.read().await)
            .await;
        let mut jars = Vec::new();
        for a in aside.unwrap() {
            let count = i64::from(self.chance.of_100(20));
            jars.push(JarsOut {
                boil: a.boil_id,
                size_name: a.size_name,
                net: a.net,
                part: a.part,
                count,
            });
        }
        let mut kinds = vec![
            (5, Became::Broken),
            (4, Became::Missing),
            (3, Became::Found),
        ];
        if self.bounds {
            kinds.push((3, Became::NotBroken));
        }
        let new = NewMoves {
            became: self.chance.weighed(&kinds),
            jars,
            why: "The shelf gave way".to_owned(),
        };
        let (who, of) = (self.crew(), Sharer::of(row.member_id));
        self.step("jars break", who, async |act| {
            jar_moves::off_the_shelf(&act, of, new.clone()).await
        })
        .await;
    }

    pub async fn pay(&mut self) {
        let (of, season) = (self.anybody(), self.season.unwrap());
        let owed = book::balance_of(of.id)
            .ask(&mut *self.read().await)
            .await
            .unwrap()
            .1;
        let some = Cents::new(self.chance.between(0, 3_000));
        let new = NewPayment {
            season,
            way: if self.chance.of_100(85) {
                Paid::ToTheMill
            } else {
                Paid::ToTheMember
            },
            cents: if self.chance.of_100(50) { owed } else { some },
            text: "cash".to_owned(),
            by: PaidBy::Cash,
            on: None,
            sure: self.chance.of_100(90),
            sure_day: true,
        };
        let who = if self.chance.of_100(90) {
            self.steward()
        } else {
            self.anybody()
        };
        self.step("note a payment", who, async |act| {
            ledger::note_payment(&act, of.id, new.clone()).await
        })
        .await;
    }

    pub async fn answer(&mut self) {
        let lines = self.count("select count(*) from ledger").await;
        let number = self.chance.between(1, lines + 1);
        let who = self.steward();
        self.step("answer a line", who, async |act| {
            ledger::answer(&act, number, "written down twice".to_owned()).await
        })
        .await;
    }
}
