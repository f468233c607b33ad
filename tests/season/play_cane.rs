//! Turns, the morning, weighing in, and juice.

use crate::mill::Mill;
use canewright::actions::cane::juice::{self, JuiceFix, JuiceMeasure, NewJuice};
use canewright::actions::cane::loads::{self, LoadFix};
use canewright::actions::cane::morning::{self, NewCheck};
use canewright::actions::cane::tickets::{self, CaneOf, NewLoad, NewTicket};
use canewright::actions::turns::turn::{self, NewPlace, NewTurn};
use canewright::calc::cane::juice::Amount;
use canewright::calc::cane::morning::{CheckWeight, Found, Item, WaterBrix};
use canewright::calc::cane::scale::Graduation;
use canewright::calc::cane::tickets::Condition;
use canewright::calc::physics::refractometer::Instrument;
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::store::cane::tickets::Ticket;
use canewright::store::cane::{juice as juice_store, mill as things, tickets as ticket_store};
use canewright::store::turns::turn::HeldTurn;
use canewright::store::turns::{press_days, turn as turns};
use canewright::units::{
    BrixRead, Celsius, Grams, Metres, Millilitres, MinuteOfDay, PressDayId, Units,
};

impl Mill {
    fn some_day_id(&mut self) -> PressDayId {
        *self.chance.one(&self.days).unwrap()
    }

    fn some_start(&mut self) -> MinuteOfDay {
        let start = self.chance.between(82, 200) * 5;
        MinuteOfDay::new(start + i64::from(self.chance.of_100(4))).unwrap()
    }

    pub async fn book(&mut self) {
        let of = self.anybody();
        let who = if self.chance.of_100(70) {
            of
        } else {
            self.anybody()
        };
        let told = match self.chance.between(1, 3) {
            1 => AmountTold::Weight(Grams::new(self.chance.between(30_000, 400_000))),
            2 => AmountTold::Row(Metres::new(self.chance.figure(20.0, 150.0)).unwrap()),
            _ => AmountTold::Stalks(self.chance.between(100, 900)),
        };
        let corrected = self
            .chance
            .of_100(10)
            .then(|| Grams::new(self.chance.between(10_000, 200_000)));
        let (day, start) = (self.some_day_id(), self.some_start());
        let new = NewTurn {
            member: of.id,
            start: start.into(),
            told,
            corrected,
            sure: false,
        };
        self.step("book a turn", who, async |act| {
            turn::book(&act, day, new).await
        })
        .await;
    }

    async fn some_turn(&mut self) -> Option<(PressDayId, HeldTurn)> {
        let day = self.some_day_id();
        let held = turns::held_of_day(day)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        self.chance.one(&held).map(|turn| (day, turn.clone()))
    }

    pub async fn move_turn(&mut self) {
        let Some((_, turn)) = self.some_turn().await else {
            return;
        };
        let who = if self.chance.of_100(60) {
            self.crew()
        } else {
            self.anybody()
        };
        let now = turns::find(turn.id)
            .ask(&mut *self.read().await)
            .await
            .unwrap()
            .unwrap();
        let to = NewPlace {
            day: self.some_day_id(),
            start: self.some_start().into(),
            why: String::new(),
            second: true,
            seen: now.version - i64::from(self.chance.of_100(10)),
        };
        self.step("move a turn", who, async |act| {
            turn::move_turn(&act, turn.id, to.clone()).await
        })
        .await;
    }

    pub async fn cancel_turn(&mut self) {
        let Some((_, turn)) = self.some_turn().await else {
            return;
        };
        let who = if self.chance.of_100(50) {
            self.crew()
        } else {
            self.anybody()
        };
        let why = if self.chance.of_100(85) { "rain" } else { "" };
        self.step("cancel a turn", who, async |act| {
            turn::cancel(&act, turn.id, why).await
        })
        .await;
    }

    /// The morning's checks, each made with so many chances of a hundred.
    pub async fn morning(&mut self, day: usize, times: i64) {
        let (id, who) = (self.days[day], self.crew());
        let mut snapshot = self.read().await;
        let date = press_days::find(id)
            .ask(&mut snapshot)
            .await
            .unwrap()
            .unwrap()
            .date;
        let scale = things::scales().ask(&mut snapshot).await.unwrap().remove(0);
        drop(snapshot);
        let mut checks = Vec::new();
        for item in Item::ALL {
            let waived = self.chance.of_100(20);
            let found = match item {
                _ if waived => Found::Waived(item),
                Item::Weight => Found::Weight(CheckWeight {
                    scale: scale.id,
                    graduation: Graduation::new(scale.graduation_g).unwrap(),
                    capacity: scale.capacity,
                    known: Grams::new(20_000),
                    reading: Grams::new(20_000 + self.chance.between(-300, 300)),
                }),
                Item::Refractometer => {
                    Found::Zero(WaterBrix::new(self.chance.figure(-0.3, 0.3)).unwrap())
                }
                Item::WaterBoil => {
                    Found::WaterBoil(Celsius::new(self.chance.figure(98.0, 100.5)).unwrap())
                }
                _ => Found::Seen(item),
            };
            if self.chance.of_100(times) {
                let (sure, note) = (times == 100 || self.chance.of_100(80), "on loan".to_owned());
                checks.push(NewCheck { found, sure, note });
            }
        }
        self.step("make the opening checks", who, async |act| {
            morning::note(&act, date, checks.clone(), Units::Us).await
        })
        .await;
    }

    async fn some_load(&mut self) -> NewLoad {
        let scales = things::scales().ask(&mut *self.read().await).await.unwrap();
        let scale = self.chance.one(&scales).unwrap().clone();
        let (net, tare) = (self.chance.between(30, 700), self.chance.between(0, 120));
        let of = |steps: i64| Grams::nearest(Grams::new(steps).as_f64() * scale.graduation_g);
        let mut load = NewLoad {
            scale: scale.id,
            gross: of(net + tare),
            tare: of(tare),
            trailer: String::new(),
            sure: self.chance.of_100(50),
            another: true,
            after_all: false,
            weighed_at: None,
        };
        if self.chance.of_100(25) {
            load.weighed_at = Some(self.at.plus(self.chance.between(-6_000, 60)));
        }
        match self.chance.between(1, 25) {
            1 => load.gross = Grams::new(load.gross.get() + 77),
            2 => load.tare = load.gross,
            _ => {}
        }
        load
    }

    pub async fn open_ticket(&mut self, day: usize) {
        let (id, who) = (
            self.days[day],
            if self.chance.of_100(96) {
                self.crew()
            } else {
                self.anybody()
            },
        );
        let waiting = canewright::store::cane::weigh_in::turns_waiting(id)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let whose = match self.chance.one(&waiting) {
            Some(turn) if self.chance.of_100(70) => CaneOf::Turn(turn.id),
            _ => CaneOf::WalkIn(self.anybody().id),
        };
        let condition = Condition {
            stripped: Some(self.chance.of_100(80)),
            headed: Some(self.chance.of_100(80)),
            clean: Some(self.chance.of_100(80)),
            frosted: Some(self.chance.of_100(10)),
        };
        let cut_at = self
            .chance
            .of_100(80)
            .then(|| self.at.plus(self.chance.between(-500_000, 2_000)));
        let new = NewTicket {
            number: None,
            whose,
            condition,
            cut_at,
            note: String::new(),
            load: NewLoad {
                another: false,
                after_all: false,
                ..self.some_load().await
            },
        };
        let opened = self
            .step("open a ticket", who, async |act| {
                tickets::open_ticket(&act, id, new.clone()).await
            })
            .await;
        if let Some(ticket) = opened {
            self.strip_a_sample(ticket).await;
        }
    }

    async fn some_ticket(&mut self) -> Option<Ticket> {
        let day = self.some_day_id();
        let all = ticket_store::of_day(day)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        self.chance.one(&all).cloned()
    }

    pub async fn add_load(&mut self) {
        let Some(ticket) = self.some_ticket().await else {
            return;
        };
        let (who, load) = (self.crew(), self.some_load().await);
        self.step("add a load", who, async |act| {
            loads::add_load(&act, ticket.id, load.clone()).await
        })
        .await;
    }

    pub async fn fix_load(&mut self) {
        let Some(ticket) = self.some_ticket().await else {
            return;
        };
        let loads = ticket_store::loads(ticket.id)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let Some(load) = self.chance.one(&loads).cloned() else {
            return;
        };
        let fix = LoadFix {
            load: self.some_load().await,
            void: self.chance.of_100(20),
            why: "misread".to_owned(),
            seen: load.version,
        };
        let (who, number) = (self.crew(), load.number);
        self.step("correct a load", who, async |act| {
            loads::correct_load(&act, ticket.id, number, fix.clone()).await
        })
        .await;
        self.strip_a_sample(ticket.id).await;
    }

    /// Juice of so much cane, a little under half of it.
    fn some_juice(&mut self, cane: Grams) -> JuiceMeasure {
        let part = if self.chance.of_100(92) {
            self.chance.between(300, 560)
        } else {
            self.chance.between(50, 1100)
        };
        let amount = (cane.get() * part / 1000).max(1);
        let dregs = if self.chance.of_100(70) {
            amount * self.chance.between(0, 60) / 1000
        } else {
            0
        };
        let by_volume = self.chance.of_100(50);
        let temp = Celsius::new(self.chance.figure(11.0, 32.0)).unwrap();
        let of = |n: i64| {
            if by_volume {
                Amount::Volume(Millilitres::new(n * 94 / 100), temp)
            } else {
                Amount::Weight(Grams::new(n))
            }
        };
        let brix = self.chance.figure(9.0, 20.0);
        let apart = if self.chance.of_100(75) { 0.3 } else { 1.2 };
        let mut readings = vec![brix, brix + apart];
        if apart > 1.0 && self.chance.of_100(85) {
            readings.push(brix + 0.2);
        }
        JuiceMeasure {
            amount: of(amount),
            sediment: (dregs > 10).then(|| of(dregs)),
            temp,
            instrument: *self.chance.one(&Instrument::ALL).unwrap(),
            readings: readings
                .into_iter()
                .map(|b| BrixRead::new(b).unwrap())
                .collect(),
            sure: self.chance.of_100(40),
        }
    }

    pub async fn measure(&mut self) {
        let Some(ticket) = self.some_ticket().await else {
            return;
        };
        let mut snapshot = self.read().await;
        let cane = ticket_store::net(ticket.id)
            .ask(&mut snapshot)
            .await
            .unwrap();
        let vessels = things::vessels().ask(&mut snapshot).await.unwrap();
        drop(snapshot);
        // Often all of the ticket's juice in one vessel, sometimes in two.
        let cane = if self.chance.of_100(25) {
            Grams::new(cane.get() / 2)
        } else {
            cane
        };
        let taken = self.some_juice(cane);
        let new = NewJuice {
            vessel: self.chance.one(&vessels).unwrap().id,
            taken,
            pressed_at: self
                .chance
                .of_100(50)
                .then(|| self.at.plus(self.chance.between(-9_000, 20))),
            vessel_empty: self.chance.of_100(80),
            after_all: false,
        };
        let who = self.crew();
        self.step("measure juice", who, async |act| {
            juice::record_juice(&act, ticket.id, new.clone()).await
        })
        .await;
    }

    pub async fn fix_juice(&mut self) {
        let season = self.season.unwrap();
        let all = juice_store::of_season(season)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let Some(juice) = self.chance.one(&all).cloned() else {
            return;
        };
        let cane = ticket_store::net(juice.ticket_id)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let fix = JuiceFix {
            pressed_at: None,
            taken: self.some_juice(cane),
            void: self.chance.of_100(25),
            after_all: false,
            why: "read again".to_owned(),
            seen: juice.version - i64::from(self.chance.of_100(8)),
        };
        let who = if self.chance.of_100(92) {
            self.crew()
        } else {
            self.anybody()
        };
        self.step("correct juice", who, async |act| {
            juice::correct_juice(&act, juice.id, fix.clone()).await
        })
        .await;
    }
}
