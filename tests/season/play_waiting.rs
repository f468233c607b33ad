//! Waiting for room on a full day, and what is offered.

use crate::mill::Mill;
use canewright::actions::rounds;
use canewright::actions::turns::waiting as lists;
use canewright::actions::turns::waiting::Joins;
use canewright::actions::turns::{turn, waiting_overrides as overrides};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::calc::turns::waiting::State;
use canewright::store::turns::offers::{self, Offer};
use canewright::store::turns::press_days;
use canewright::store::turns::turn as turns;
use canewright::store::turns::waiting::{self, Entry};
use canewright::units::{Grams, MinuteOfDay, PressDayId};

impl Mill {
    /// One of what can be done with a day's list; mostly where somebody waits.
    pub async fn wait(&mut self) {
        let mut day = *self.chance.one(&self.days).unwrap();
        for other in self.days.clone() {
            let list = waiting::of_day(other)
                .ask(&mut *self.read().await)
                .await
                .unwrap();
            if list.iter().any(|e| e.state.on_list()) && self.chance.of_100(60) {
                day = other;
            }
        }
        match self.chance.between(1, 16) {
            1..=3 => self.join_list(day).await,
            4 | 5 => self.turn_given_up(day).await,
            6..=9 => self.answer_offer(day).await,
            10 | 11 => self.leave_list(day).await,
            12 => self.place_out_of_order(day).await,
            13 | 14 => self.withdraw_offer(day).await,
            _ => self.time_passes().await,
        }
    }

    async fn turn_given_up(&mut self, day: PressDayId) {
        let held = turns::held_of_day(day)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let Some(turn) = self.chance.one(&held).cloned() else {
            return;
        };
        let steward = self.steward();
        self.step("cancel a turn", steward, async |act| {
            turn::cancel(&act, turn.id, "rain").await
        })
        .await;
    }

    /// With cane for three to nine hours of the mill: more than most days have left.
    async fn join_list(&mut self, day: PressDayId) {
        let of = self.anybody();
        let who = if self.chance.of_100(80) {
            of
        } else {
            self.anybody()
        };
        let mill = press_days::find(day)
            .ask(&mut *self.read().await)
            .await
            .unwrap()
            .unwrap()
            .mill_per_h;
        let hours = self.chance.between(3, 9);
        let new = Joins {
            member: of.id,
            told: AmountTold::Weight(Grams::new(mill.get() * hours)),
            corrected: None,
            sure: false,
        };
        self.step("wait for a day", who, async |act| {
            lists::join(&act, day, new).await
        })
        .await;
    }

    async fn entry_of(&mut self, day: PressDayId) -> Option<Entry> {
        let list = waiting::of_day(day)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        self.chance.one(&list).cloned()
    }

    async fn offer_of(&mut self, day: PressDayId) -> Option<Offer> {
        let mut all = offers::of_day(day)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        if all.iter().any(|offer| offer.answer.is_none()) && self.chance.of_100(85) {
            all.retain(|offer| offer.answer.is_none());
        }
        self.chance.one(&all).cloned()
    }

    async fn answer_offer(&mut self, day: PressDayId) {
        let Some(offer) = self.offer_of(day).await else {
            return;
        };
        let own = self.people.iter().find(|p| p.id == offer.member_id);
        let who = match own.copied() {
            Some(own) if self.chance.of_100(70) => own,
            _ => self.anybody(),
        };
        if self.chance.of_100(60) {
            self.step("take an offer", who, async |act| {
                lists::accept(&act, offer.id).await
            })
            .await;
        } else {
            self.step("decline an offer", who, async |act| {
                lists::decline(&act, offer.id).await
            })
            .await;
        }
    }

    async fn leave_list(&mut self, day: PressDayId) {
        let Some(entry) = self.entry_of(day).await else {
            return;
        };
        let who = if self.chance.of_100(60) {
            self.crew()
        } else {
            self.anybody()
        };
        if entry.state != State::Missed && self.chance.of_100(70) {
            self.step("leave a list", who, async |act| {
                lists::leave(&act, entry.id).await
            })
            .await;
        } else {
            self.step("still wait", who, async |act| {
                lists::still_wait(&act, entry.id).await
            })
            .await;
        }
    }

    async fn place_out_of_order(&mut self, day: PressDayId) {
        let Some(entry) = self.entry_of(day).await else {
            return;
        };
        let steward = self.steward();
        if self.chance.of_100(25) {
            self.step("take off a list", steward, async |act| {
                overrides::take_off(&act, entry.id, "moved away").await
            })
            .await;
            return;
        }
        let start = match self.offer_of(day).await {
            Some(offer) if self.chance.of_100(60) => offer.start.minute(),
            _ => MinuteOfDay::new(self.chance.between(84, 120) * 5).unwrap(),
        };
        self.step("place out of order", steward, async |act| {
            overrides::place(&act, entry.id, start.into(), "frost").await
        })
        .await;
    }

    async fn withdraw_offer(&mut self, day: PressDayId) {
        let Some(offer) = self.offer_of(day).await else {
            return;
        };
        let steward = self.steward();
        self.step("withdraw an offer", steward, async |act| {
            overrides::withdraw(&act, offer.id, "the road is closed").await
        })
        .await;
    }

    /// What is done once a minute, done: again it does nothing more.
    async fn time_passes(&mut self) {
        rounds::due(&self.reader, &self.writer, &self.ids, self.at)
            .await
            .unwrap();
        self.remember().await;
        rounds::due(&self.reader, &self.writer, &self.ids, self.at)
            .await
            .unwrap();
        assert!(
            self.is_as_it_was().await,
            "{}: what was due, done twice",
            self.here()
        );
    }
}
