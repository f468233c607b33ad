//! Boils from the fire to the shares.

use crate::mill::Mill;
use canewright::actions::boil::additions;
use canewright::actions::boil::boils::{self, NewBoil, NewDraw, NewReading};
use canewright::actions::boil::boils_finish::{self, FixedFill, NewFills, NewFinish};
use canewright::actions::shares::divisions;
use canewright::actions::shares::divisions::Signed;
use canewright::calc::boil::additions::{Dose, What};
use canewright::calc::boil::fuel_burnt::FuelBurnt;
use canewright::calc::boil::sums::Stage;
use canewright::calc::physics::energy::Fuel;
use canewright::calc::physics::refractometer::Instrument;
use canewright::facts::boil::boil_sums::{self, Stocked};
use canewright::facts::shares::division_inputs::DivisionInputs;
use canewright::store::boil::additions::NewAddition;
use canewright::store::boil::boil_readings;
use canewright::store::boil::boils as boil_store;
use canewright::store::boil::boils::BoilRow;
use canewright::store::season::seasons;
use canewright::units::{BrixRead, Celsius, Grams, Units};

impl Mill {
    /// The juices of all days that something is left of.
    pub async fn standing(&mut self) -> Vec<Stocked> {
        let mut all = Vec::new();
        for day in self.days.clone() {
            let own = boil_sums::stocked_of_day(day)
                .ask(&mut *self.read().await)
                .await
                .unwrap();
            all.extend(own.into_iter().filter(|j| j.poured.left.mass > Grams::ZERO));
        }
        all
    }

    fn some_of(&mut self, juice: &Stocked) -> Option<Grams> {
        let left = juice.poured.left.mass.get();
        match self.chance.between(1, 20) {
            1..=11 => None,
            12 => Some(Grams::new(left + 1)),
            13 => Some(Grams::new(left)),
            _ => Some(Grams::new(self.chance.between(1, left))),
        }
    }

    pub async fn light(&mut self, day: usize) {
        let standing = self.standing().await;
        if standing.is_empty() && self.chance.of_100(90) {
            return;
        }
        let solo = match self.chance.one(&standing) {
            Some(juice) if !juice.row.pools || self.chance.of_100(15) => Some(juice.row.member_id),
            _ => None,
        };
        let (fits, most) = (self.chance.of_100(92), self.chance.between(1, 5));
        let mut juices = Vec::new();
        for juice in &standing {
            let may = solo.map_or(juice.row.pools, |own| own == juice.row.member_id);
            if (may || !fits)
                && i64::try_from(juices.len()).unwrap() < most
                && self.chance.of_100(70)
            {
                juices.push((juice.row.id, self.some_of(juice)));
            }
        }
        let new = NewBoil {
            day: self.days[day],
            solo,
            pan: None,
            charge_known: false,
            water_boil: self.chance.of_100(60).then(|| Celsius::new(98.9).unwrap()),
            juices,
            lit_at: None,
            tested: self.chance.of_100(70),
            note: String::new(),
            units: Units::Us,
        };
        let who = self.crew();
        self.step("light a boil", who, async |act| {
            boils::light(&act, new.clone()).await
        })
        .await;
    }

    /// Any boil; one of those asked for, if there is one and chance will have it.
    async fn some_boil(&mut self, stage: Stage) -> Option<BoilRow> {
        let season = self.season.unwrap();
        let all = boil_store::of_season(season)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let asked: Vec<BoilRow> = all.iter().filter(|b| b.stage() == stage).cloned().collect();
        let from = if self.chance.of_100(8) { all } else { asked };
        self.chance.one(&from).cloned()
    }

    pub async fn pour(&mut self) {
        let stage = if self.chance.of_100(70) {
            Stage::Lit
        } else {
            Stage::Finished
        };
        let Some(boil) = self.some_boil(stage).await else {
            return;
        };
        let draws = boil_store::draws(boil.id)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let standing = self.standing().await;
        let (juice, amount, why) = match (self.chance.one(&draws), self.chance.one(&standing)) {
            // A draw put right, taken out, or made all that there is.
            (Some(draw), _) if self.chance.of_100(55) => {
                let amount = match self.chance.between(1, 5) {
                    1 => Some(Grams::ZERO),
                    2 => None,
                    _ => Some(Grams::new(self.chance.between(1, draw.amount.get().max(1)))),
                };
                (
                    draw.juice_id,
                    amount,
                    if self.chance.of_100(92) { "spilt" } else { "" },
                )
            }
            (_, Some(juice)) => (juice.row.id, self.some_of(juice), ""),
            _ => return,
        };
        let new = NewDraw {
            juice,
            amount,
            why: why.to_owned(),
            tested: self.chance.of_100(70),
            units: Units::Metric,
        };
        let who = self.crew();
        self.step("pour", who, async |act| {
            boils::pour(&act, &boil.lot, new.clone()).await
        })
        .await;
    }

    pub async fn read_boil(&mut self) {
        let stage = if self.chance.of_100(85) {
            Stage::Lit
        } else {
            Stage::Finished
        };
        let Some(boil) = self.some_boil(stage).await else {
            return;
        };
        let before = boil_readings::of_boil(boil.id)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let new = NewReading {
            read_at: self.at.plus(self.chance.between(-400, 60)),
            temp: self
                .chance
                .of_100(70)
                .then(|| Celsius::new(self.chance.figure(60.0, 112.0)).unwrap()),
            brix: self
                .chance
                .of_100(50)
                .then(|| BrixRead::new(self.chance.figure(15.0, 75.0)).unwrap()),
            note: String::new(),
            replaces: self
                .chance
                .one(&before)
                .map(|r| r.number)
                .filter(|n| n % 3 == 0),
            units: Units::Us,
        };
        let who = self.crew();
        self.step("read a boil", who, async |act| {
            boils::read(&act, &boil.lot, new.clone()).await
        })
        .await;
    }

    pub async fn add_to_boil(&mut self) {
        let Some(boil) = self.some_boil(Stage::Lit).await else {
            return;
        };
        let new = NewAddition {
            what: *self.chance.one(&What::ALL).unwrap(),
            maker: "Foamdown, Ridge Works".to_owned(),
            its_lot: "A7".to_owned(),
            dose: Dose::parse("15 mL").unwrap(),
            temp: None,
            void: self.chance.of_100(15),
            replaces: self.chance.of_100(25).then_some(1),
            why: "wrong jug".to_owned(),
        };
        let who = self.crew();
        self.step("add to a boil", who, async |act| {
            additions::add(&act, &boil.lot, new.clone()).await
        })
        .await;
    }

    pub async fn finish(&mut self) {
        let again = self.chance.of_100(20);
        let stage = if again { Stage::Finished } else { Stage::Lit };
        let Some(boil) = self.some_boil(stage).await else {
            return;
        };
        let pan = boil_sums::in_pan(boil.id)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let solids: i64 = pan.iter().map(|p| p.part.solids.get()).sum();
        let brix = if self.chance.of_100(90) {
            self.chance.figure(75.0, 81.0)
        } else {
            self.chance.figure(66.0, 74.5)
        };
        let recovery = if self.chance.of_100(92) {
            self.chance.figure(0.7, 0.99)
        } else {
            self.chance.figure(0.2, 1.3)
        };
        let solids = Grams::new(solids).as_f64();
        let new = NewFinish {
            syrup: Grams::nearest(solids * recovery / brix * 100.0),
            brix: BrixRead::new(brix).unwrap(),
            instrument: *self.chance.one(&Instrument::ALL).unwrap(),
            sample: Celsius::new(self.chance.figure(18.0, 26.0)).unwrap(),
            finish_temp: self.chance.of_100(60).then(|| Celsius::new(108.2).unwrap()),
            skimmed: Grams::new(self.chance.between(0, 900)),
            spilt: Grams::new(if self.chance.of_100(10) {
                self.chance.between(0, 2_000)
            } else {
                0
            }),
            fuel: self.chance.of_100(30).then_some(FuelBurnt {
                fuel: Fuel::Wood,
                amount: 0.1,
            }),
            fuel_sure: self.chance.of_100(70),
            finished_at: self.at.plus(-self.chance.between(0, 200)),
            thin: self.chance.of_100(50),
            low: self.chance.of_100(50),
            why: if boil.finish.is_some() && self.chance.of_100(90) {
                "weighed again"
            } else {
                ""
            }
            .to_owned(),
            units: Units::Us,
        };
        let who = self.crew();
        self.step("finish a boil", who, async |act| {
            boils_finish::finish(&act, &boil.lot, new.clone()).await
        })
        .await;
    }

    pub async fn fill(&mut self) {
        let Some(boil) = self.some_boil(Stage::Finished).await else {
            return;
        };
        let mut snapshot = self.read().await;
        let sizes = seasons::jar_sizes(boil.rules_id)
            .ask(&mut snapshot)
            .await
            .unwrap();
        let fills = boil_store::fills(boil.id).ask(&mut snapshot).await.unwrap();
        drop(snapshot);
        let jarred: i64 = fills.iter().map(|f| f.grams().get()).sum();
        let mut left = boil.finish.map_or(1000, |f| f.syrup.get()) - jarred;
        let mut counts = Vec::new();
        for size in &sizes {
            let fit = left / size.net.get();
            let count = if self.bounds {
                self.chance.between(0, fit.max(0))
            } else if self.chance.of_100(60) {
                fit
            } else {
                self.chance.between(0, fit.max(0) + 1)
            }
            .min(1900);
            left -= count * size.net.get();
            counts.push((size.net, count));
        }
        let part = (left > 0 && !self.bounds && self.chance.of_100(60))
            .then(|| Grams::new(self.chance.between(1, left)));
        let new = NewFills {
            counts,
            part,
            filled_at: None,
            units: Units::Us,
        };
        let who = self.crew();
        self.step("fill jars", who, async |act| {
            boils_finish::fill(&act, &boil.lot, new.clone()).await
        })
        .await;
    }

    pub async fn fix_fill(&mut self) {
        let Some(boil) = self.some_boil(Stage::Finished).await else {
            return;
        };
        let fills = boil_store::fills(boil.id)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let Some(fill) = self.chance.one(&fills).cloned() else {
            return;
        };
        let new = FixedFill {
            count: if fill.part {
                self.chance.between(0, 1)
            } else {
                self.chance.between(0, fill.count + 1)
            },
            net: self
                .chance
                .of_100(50)
                .then(|| Grams::new(self.chance.between(1, 700))),
            why: "counted again".to_owned(),
            units: Units::Us,
        };
        let (who, number) = (self.crew(), fill.number);
        self.step("correct a fill", who, async |act| {
            boils_finish::fix_fill(&act, &boil.lot, number, new.clone()).await
        })
        .await;
    }

    pub async fn divide(&mut self) {
        let Some(boil) = self.some_boil(Stage::Finished).await else {
            return;
        };
        let inputs = DivisionInputs::read(&mut *self.read().await, &boil.lot)
            .await
            .unwrap()
            .unwrap();
        let (mark, questions) = match inputs.propose(Units::Us) {
            Ok(division) => (division.mark(), division.questions),
            Err(_) => (String::new(), Vec::new()),
        };
        let ticks = self.chance.of_100(90);
        let ticked: Vec<&str> = questions.iter().filter(|_| ticks).map(|q| q.at).collect();
        let seen = if self.chance.of_100(95) {
            mark
        } else {
            "another".to_owned()
        };
        let who = self.crew();
        let second = self.anybody().id;
        self.step("divide a boil", who, async |act| {
            let signed = Signed {
                seen: &seen,
                ticked: &ticked,
                by: Some(second),
            };
            divisions::divide(&act, &boil.lot, signed).await
        })
        .await;
    }
}
