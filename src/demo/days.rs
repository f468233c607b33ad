//! The demo's four press days: one finished, one running, one open for booking, one full, with two who
//! wait for it.

use super::boiling::{Boil, Ended, WATER_BOIL_C};
use super::comings::{Coming, FULL_DAY, LAST_DAY, NEXT_DAY, Pressed, THIS_DAY, WAITING};
use super::maker::{Demo, STARTS_AT, TODAY};
use super::people::{acts_for, gal, lb};
use crate::actions::cane::juice::{self, JuiceMeasure, NewJuice};
use crate::actions::cane::morning::{self, NewCheck};
use crate::actions::cane::tickets::{self, CaneOf, NewLoad, NewTicket};
use crate::actions::turns::press_days::{self, NewPressDay};
use crate::actions::turns::turn::{self, NewTurn};
use crate::actions::turns::waiting::{self, Joins};
use crate::actions::{Done, Stop};
use crate::calc::cane::juice::Amount;
use crate::calc::cane::morning::{CheckWeight, Found, Item, WaterBrix};
use crate::calc::cane::scale::Graduation;
use crate::calc::cane::tickets::Condition;
use crate::calc::physics::refractometer::Instrument;
use crate::calc::turns::turn_cane::AmountTold;
use crate::store::cane::mill;
use crate::units::{
    BrixRead, Celsius, ClockTyped, JuiceId, Metres, MinuteOfDay, Minutes, PressDate, PressDayId,
    SeasonId, TicketId, TurnId, Units,
};

const LAST: &str = "2026-10-03";
const NEXT: &str = "2026-10-17";
const FULL: &str = "2026-10-24";

fn told(amount: f64) -> Done<AmountTold> {
    if amount < 0.0 {
        Ok(AmountTold::Row(Metres::new(-amount * 0.3048)?))
    } else {
        Ok(AmountTold::Weight(lb(amount)))
    }
}

fn fahrenheit(degrees: f64) -> Done<Celsius> {
    Ok(Celsius::new((degrees - 32.0) / 1.8)?)
}

impl Demo {
    async fn plan(
        &self,
        season: SeasonId,
        date: &str,
        opens: &str,
        note: &str,
    ) -> Done<PressDayId> {
        let new = NewPressDay {
            date: PressDate::parse(date)?,
            opens: MinuteOfDay::parse(opens)?,
            closes: MinuteOfDay::parse("17:00")?,
            mill_per_h: lb(600.0),
            changeover: Minutes::new(10),
            note: note.to_owned(),
        };
        press_days::plan(&self.act(0, "2026-08-31", "19:00")?, season, new).await
    }

    async fn book(
        &self,
        day: PressDayId,
        who: usize,
        start: &str,
        amount: f64,
        on: &str,
    ) -> Done<TurnId> {
        let new = NewTurn {
            member: self.member(who)?,
            start: ClockTyped::parse(start)?,
            told: told(amount)?,
            corrected: None,
            sure: false,
        };
        turn::book(&self.act(acts_for(who), on, "20:15")?, day, new).await
    }

    /// The morning's checks, with figures, twenty minutes before the mill starts.
    async fn morning(&self, date: &str, time: &str) -> Done<()> {
        let mut snapshot = self.reader.snapshot().await?;
        let scale = mill::scales()
            .ask(&mut snapshot)
            .await?
            .into_iter()
            .next()
            .ok_or(Stop::Missing)?;
        drop(snapshot);
        let check = |found| NewCheck {
            found,
            sure: false,
            note: String::new(),
        };
        let weight = CheckWeight {
            scale: scale.id,
            graduation: Graduation::new(scale.graduation_g)?,
            capacity: scale.capacity,
            known: lb(50.0),
            reading: lb(50.0),
        };
        let seen = Item::ALL
            .into_iter()
            .filter(|i| !matches!(i, Item::Weight | Item::Refractometer | Item::WaterBoil));
        let mut checks = vec![
            check(Found::Weight(weight)),
            check(Found::Zero(WaterBrix::new(0.1)?)),
            check(Found::WaterBoil(Celsius::new(WATER_BOIL_C)?)),
        ];
        checks.extend(seen.map(|item| check(Found::Seen(item))));
        let act = self.act(2, date, time)?;
        morning::note(&act, PressDate::parse(date)?, checks, Units::Us).await
    }

    /// Weighs one member's cane in.
    async fn weigh_in(
        &self,
        day: PressDayId,
        date: &str,
        c: &Coming,
        turn: Option<TurnId>,
    ) -> Done<TicketId> {
        let mut snapshot = self.reader.snapshot().await?;
        let scale = mill::scales()
            .ask(&mut snapshot)
            .await?
            .into_iter()
            .next()
            .ok_or(Stop::Missing)?;
        drop(snapshot);
        let act = self.act(1, date, c.weighed.ok_or(Stop::Missing)?)?;
        let condition = Condition {
            stripped: Some(c.who != 19),
            headed: Some(true),
            clean: Some(true),
            frosted: Some(false),
        };
        let new = NewTicket {
            number: None,
            whose: match turn {
                Some(id) => CaneOf::Turn(id),
                None => CaneOf::WalkIn(self.member(c.who)?),
            },
            condition,
            cut_at: Some(act.at.plus(-c.cut_days * 86_400)),
            note: String::new(),
            load: NewLoad {
                scale: scale.id,
                gross: lb(c.gross),
                tare: lb(c.tare),
                trailer: String::new(),
                sure: false,
                another: false,
                after_all: false,
                weighed_at: None,
            },
        };
        tickets::open_ticket(&act, day, new).await
    }

    /// Measures the juice of a ticket.
    async fn measure(&self, date: &str, ticket: TicketId, p: &Pressed) -> Done<JuiceId> {
        let mut snapshot = self.reader.snapshot().await?;
        let name = format!("Barrel {}", p.barrel);
        let vessel = mill::vessels()
            .ask(&mut snapshot)
            .await?
            .into_iter()
            .find(|v| v.name == name)
            .ok_or(Stop::Missing)?;
        drop(snapshot);
        let temp = fahrenheit(p.temp_f)?;
        let amount = |value: f64| {
            if p.amount < 0.0 {
                Amount::Weight(lb(value.abs()))
            } else {
                Amount::Volume(gal(value), temp)
            }
        };
        let taken = JuiceMeasure {
            amount: amount(p.amount),
            sediment: Some(amount(p.sediment)),
            temp,
            instrument: Instrument::Plain,
            readings: vec![BrixRead::new(p.brix.0)?, BrixRead::new(p.brix.1)?],
            sure: false,
        };
        let new = NewJuice {
            vessel: vessel.id,
            taken,
            pressed_at: None,
            vessel_empty: true,
            after_all: false,
        };
        juice::record_juice(&self.act(1, date, p.at)?, ticket, new).await
    }

    /// Everybody's coming on one day, in order; gives the juices.
    async fn press(
        &self,
        day: PressDayId,
        date: &str,
        booked: &str,
        all: &[Coming],
    ) -> Done<Vec<JuiceId>> {
        let mut turns = Vec::new();
        for c in all {
            turns.push(match c.turn {
                Some(start) => Some(self.book(day, c.who, start, c.told, booked).await?),
                None => None,
            });
        }
        let mut found = Vec::new();
        for (c, turn) in all.iter().zip(turns) {
            if c.weighed.is_none() {
                continue;
            }
            let ticket = self.weigh_in(day, date, c, turn).await?;
            if let Some(p) = &c.juice {
                found.push(self.measure(date, ticket, p).await?);
            }
        }
        Ok(found)
    }

    pub(super) async fn finished_day(&self, season: SeasonId) -> Done<()> {
        let day = self
            .plan(
                season,
                LAST,
                "07:00",
                "First pressing. Bring jars back if you have any.",
            )
            .await?;
        self.morning(LAST, "06:20").await?;
        let j = self.press(day, LAST, "2026-09-24", &LAST_DAY).await?;
        let boils = last_boils(day, &j);
        for (boil, ended) in &boils {
            let lot = self.boil(boil, self.at(LAST, "23:00")?).await?;
            self.finish(&lot, boil, ended).await?;
            self.divide(&lot, LAST, "18:05").await?;
        }
        for place in [3, 6, 7, 9, 5, 10, 14] {
            self.hand_over(place, "2026-10-05", "17:30").await?;
        }
        for (place, how) in [(3, "cash"), (6, "cash"), (9, "check 1204"), (14, "cash")] {
            self.pay(place, season, "2026-10-05", how).await?;
        }
        press_days::set_closed(&self.act(0, "2026-10-05", "20:00")?, day, true).await?;
        Ok(())
    }

    pub(super) async fn running_day(&self, season: SeasonId) -> Done<()> {
        let day = self.plan(season, TODAY, "06:00", "").await?;
        self.morning(TODAY, "05:35").await?;
        let j = self.press(day, TODAY, "2026-10-01", &THIS_DAY).await?;
        let until = self.at(TODAY, STARTS_AT)?;
        let alone = Boil {
            day,
            date: TODAY,
            lit: "06:40",
            juices: j.get(0..1).unwrap_or_default(),
            solo: Some(5),
            heats: 13,
            lasts: 97,
        };
        let lot = self.boil(&alone, until).await?;
        self.finish(
            &lot,
            &alone,
            &Ended {
                recovery: 0.85,
                brix: 78.1,
                quarts: 0.4,
                cords: 0.0115,
                spilt: 0.0,
            },
        )
        .await?;
        let pooled = Boil {
            day,
            date: TODAY,
            lit: "09:05",
            juices: j.get(1..4).unwrap_or_default(),
            solo: None,
            heats: 22,
            lasts: 160,
        };
        self.boil(&pooled, until).await?;
        Ok(())
    }

    pub(super) async fn open_day(&self, season: SeasonId) -> Done<()> {
        let day = self
            .plan(season, NEXT, "07:00", "Rain date: the Sunday after.")
            .await?;
        for (who, start, amount) in NEXT_DAY {
            self.book(day, who, start, amount, "2026-10-08").await?;
        }
        Ok(())
    }

    /// The last afternoon of the year is full. Two wait; this morning a turn was given up, and the first
    /// of the two is offered it.
    pub(super) async fn full_day(&self, season: SeasonId) -> Done<()> {
        let note = "Last pressing of the year, in the afternoon only.";
        let day = self.plan(season, FULL, "13:00", note).await?;
        let mut turns = Vec::new();
        for (who, start, amount) in FULL_DAY {
            let turn = self.book(day, who, start, amount, "2026-10-07").await?;
            turns.push((who, turn));
        }
        for (who, time, amount) in WAITING {
            let new = Joins {
                member: self.member(who)?,
                told: told(amount)?,
                corrected: None,
                sure: false,
            };
            waiting::join(&self.act(acts_for(who), "2026-10-09", time)?, day, new).await?;
        }
        let (who, turn) = *turns.get(2).ok_or(Stop::Missing)?;
        let act = self.act(who, TODAY, "09:40")?;
        turn::cancel(&act, turn, "Deer got into the patch, not enough left.").await?;
        Ok(())
    }
}

/// The boils of the finished day, as lit and as they ended.
fn last_boils(day: PressDayId, j: &[JuiceId]) -> [(Boil<'_>, Ended); 3] {
    let part = |range: std::ops::Range<usize>| j.get(range).unwrap_or_default();
    [
        (
            Boil {
                day,
                date: LAST,
                lit: "10:20",
                juices: part(0..4),
                solo: None,
                heats: 24,
                lasts: 156,
            },
            Ended {
                recovery: 0.86,
                brix: 78.3,
                quarts: 0.6,
                cords: 0.08,
                spilt: 0.0,
            },
        ),
        (
            Boil {
                day,
                date: LAST,
                lit: "10:50",
                juices: part(4..5),
                solo: Some(5),
                heats: 14,
                lasts: 100,
            },
            Ended {
                recovery: 0.84,
                brix: 77.6,
                quarts: 0.3,
                cords: 0.013,
                spilt: 0.0,
            },
        ),
        (
            Boil {
                day,
                date: LAST,
                lit: "13:50",
                juices: part(5..9),
                solo: None,
                heats: 25,
                lasts: 165,
            },
            Ended {
                recovery: 0.82,
                brix: 79.1,
                quarts: 0.55,
                cords: 0.075,
                spilt: 1.5,
            },
        ),
    ]
}
