//! A season as people might live it: planned, booked, and three press days on which anything may
//! happen in any order, much of it refused.

use crate::mill::{Mill, Person};
use canewright::actions::Hashing;
use canewright::actions::cane::mill as things;
use canewright::actions::people::members;
use canewright::actions::people::members::NewMember;
use canewright::actions::season::seasons;
use canewright::actions::season::seasons::NewRules;
use canewright::actions::turns::press_days;
use canewright::actions::turns::press_days::NewPressDay;
use canewright::calc::Basis;
use canewright::calc::shares::losses::LossRule;
use canewright::facts::rules_versions;
use canewright::store::people::members as cards;
use canewright::store::season::seasons::JarSize;
use canewright::store::turns::press_days as day_store;
use canewright::units::{
    BasisPoints, Cents, Grams, MemberName, MilliCents, Millilitres, MinuteOfDay, Minutes,
    Passphrase, Phone, PressDate, Role, Units, Zone,
};

const NAMES: [&str; 12] = [
    "Amos Trout",
    "Ida Finch",
    "Clyde Fenn",
    "June Hollow",
    "Otis Pruitt",
    "Minnie Sand",
    "Hattie Lind",
    "Ezra Stubb",
    "Nora Castel",
    "Virgil Amber",
    "Pearl Dock",
    "Opal Jern",
];
/// Jar sizes, g: round ones, odd ones, and some that share no measure.
const NETS: [i64; 14] = [
    1247, 624, 312, 1360, 680, 340, 97, 5000, 51, 2267, 453, 999, 10_000, 1361,
];
const DATES: [&str; 3] = ["2026-09-12", "2026-09-19", "2026-09-26"];

/// What may be done on a press day.
#[derive(Debug, Clone, Copy)]
enum Deed {
    Ticket,
    Load,
    FixLoad,
    Juice,
    FixJuice,
    Light,
    Pour,
    Read,
    Add,
    Finish,
    Fill,
    FixFill,
    Divide,
    HandOver,
    JarsBecome,
    Pay,
    Answer,
    Book,
    Move,
    Cancel,
    Rules,
    Card,
    Leave,
    Morning,
    Hours,
    Close,
    Plant,
    PlantOtherwise,
    Wait,
    Lose,
    NotLost,
    Work,
    SettleMoney,
    SettleJars,
}

const DEEDS: [(i64, Deed); 27] = [
    (1, Deed::Wait),
    (20, Deed::Ticket),
    (7, Deed::Load),
    (4, Deed::FixLoad),
    (22, Deed::Juice),
    (8, Deed::FixJuice),
    (10, Deed::Light),
    (12, Deed::Pour),
    (6, Deed::Read),
    (2, Deed::Add),
    (9, Deed::Finish),
    (10, Deed::Fill),
    (4, Deed::FixFill),
    (9, Deed::Divide),
    (5, Deed::HandOver),
    (3, Deed::JarsBecome),
    (2, Deed::Pay),
    (4, Deed::Answer),
    (3, Deed::Book),
    (2, Deed::Move),
    (1, Deed::Cancel),
    (1, Deed::Rules),
    (2, Deed::Card),
    (1, Deed::Leave),
    (1, Deed::Morning),
    (1, Deed::Hours),
    (1, Deed::Close),
];

impl Mill {
    /// Lives a whole season of so many press days, each of about so many deeds.
    pub async fn season(&mut self, days: usize, deeds: i64) {
        self.people_join().await;
        self.furnish().await;
        self.rules_are_voted().await;
        self.days_are_planned(days).await;
        for _ in 0..deeds / 3 {
            self.later(600);
            let deeds = [
                (6, Deed::Book),
                (3, Deed::Move),
                (1, Deed::Cancel),
                (2, Deed::Plant),
                (2, Deed::PlantOtherwise),
            ];
            let deed = self.chance.weighed(&deeds);
            self.deed(0, deed).await;
        }
        for _ in 0..deeds {
            self.later(90);
            self.wait().await;
            if self.chance.of_100(12) {
                self.change_day().await;
            } else if self.chance.of_100(10) {
                self.run_again().await;
            }
        }
        for (day, date) in DATES.iter().enumerate().take(days) {
            let date = PressDate::parse(date).unwrap();
            let zone = Zone::parse("America/Chicago").unwrap();
            self.at = zone.instant(date, MinuteOfDay::new(380).unwrap()).unwrap();
            if self.bounds {
                // Jars that broke are owed again: more than one lot may repay.
                for _ in 0..14 {
                    self.jars_become().await;
                }
            }
            if self.chance.of_100(30) {
                self.open_ticket(day).await;
            }
            self.morning(day, 70).await;
            self.morning(day, 100).await;
            for _ in 0..deeds {
                self.later(25);
                let deed = self.chance.weighed(&DEEDS);
                self.deed(day, deed).await;
            }
            self.evening(day).await;
        }
        for _ in 0..deeds / 5 {
            self.later(900);
            let late = [
                (6, Deed::HandOver),
                (4, Deed::JarsBecome),
                (3, Deed::Pay),
                (4, Deed::Answer),
                (1, Deed::FixLoad),
                (1, Deed::FixJuice),
                (5, Deed::Lose),
                (2, Deed::NotLost),
                (3, Deed::Work),
                (4, Deed::SettleMoney),
                (5, Deed::SettleJars),
            ];
            let deed = self.chance.weighed(&late);
            self.deed(days - 1, deed).await;
        }
        self.lock_up().await;
    }

    async fn deed(&mut self, day: usize, deed: Deed) {
        match deed {
            Deed::Ticket => self.open_ticket(day).await,
            Deed::Load => self.add_load().await,
            Deed::FixLoad => self.fix_load().await,
            Deed::Juice => self.measure().await,
            Deed::FixJuice => self.fix_juice().await,
            Deed::Light => self.light(day).await,
            Deed::Pour => self.pour().await,
            Deed::Read => self.read_boil().await,
            Deed::Add => self.add_to_boil().await,
            Deed::Finish => self.finish().await,
            Deed::Fill => self.fill().await,
            Deed::FixFill => self.fix_fill().await,
            Deed::Divide => self.divide().await,
            Deed::HandOver => self.hand_over().await,
            Deed::JarsBecome => self.jars_become().await,
            Deed::Pay => self.pay().await,
            Deed::Answer => self.answer().await,
            Deed::Book => self.book().await,
            Deed::Move => self.move_turn().await,
            Deed::Cancel => self.cancel_turn().await,
            Deed::Rules => self.rules_change().await,
            Deed::Card => self.card_changes().await,
            Deed::Leave => self.leave_or_come_back().await,
            Deed::Morning => self.morning(day, 50).await,
            Deed::Hours => self.hours_change(day).await,
            Deed::Close => self.close(day).await,
            Deed::Plant => self.plant().await,
            Deed::PlantOtherwise => self.plant_otherwise().await,
            Deed::Wait => self.wait().await,
            Deed::Lose => self.lose().await,
            Deed::NotLost => self.not_lost().await,
            Deed::Work => self.work().await,
            Deed::SettleMoney => self.settle_in_money().await,
            Deed::SettleJars => self.settle_in_jars().await,
        }
    }

    /// What is left is boiled and divided, most of it; then the day is closed, if it may be.
    async fn evening(&mut self, day: usize) {
        for _ in 0..4 {
            self.later(20);
            self.measure().await;
        }
        for deed in [
            Deed::Light,
            Deed::Finish,
            Deed::Fill,
            Deed::Fill,
            Deed::Divide,
        ] {
            for _ in 0..3 {
                self.later(20);
                self.deed(day, deed).await;
            }
        }
        self.close(day).await;
        self.close(day).await;
    }

    async fn people_join(&mut self) {
        let many = usize::try_from(self.chance.between(3, 11)).unwrap();
        for (n, name) in NAMES.iter().take(many).enumerate() {
            let role = if n == 0 { Role::Crew } else { Role::Member };
            let card = self.card(name, role);
            let steward = self.steward();
            let id = self
                .step("add a member", steward, async |act| {
                    members::add(&act, card.clone()).await
                })
                .await
                .unwrap();
            self.people.push(Person { id, role });
        }
    }

    /// Some member's card.
    pub fn card(&mut self, name: &str, role: Role) -> NewMember {
        let units = if self.chance.of_100(50) {
            Units::Us
        } else {
            Units::Metric
        };
        let wished = self.chance.between(0, 2);
        NewMember {
            clock: 24,
            address: String::new(),
            name: MemberName::parse(name).unwrap(),
            phone: Phone::parse("615 555 0101").unwrap(),
            email: None,
            units,
            wishes: NETS
                .iter()
                .take(usize::try_from(wished).unwrap())
                .map(|g| Grams::new(*g))
                .collect(),
            pools: self.chance.of_100(80),
            named: self.chance.of_100(50),
            in_queue: false,
            call_by: String::new(),
            role,
        }
    }

    async fn furnish(&mut self) {
        let steward = self.steward();
        for (name, graduation_g) in [("Platform", 226.796_185), ("Yard scale", 500.0)] {
            let capacity = Grams::new(900_000);
            self.step("add a scale", steward, async |act| {
                things::add_scale(&act, name.to_owned(), graduation_g, capacity).await
            })
            .await;
        }
        for n in 1..=6 {
            let capacity = Millilitres::new(self.chance.between(60_000, 300_000));
            self.step("add a vessel", steward, async |act| {
                things::add_vessel(&act, format!("Barrel {n}"), capacity).await
            })
            .await;
        }
    }

    fn some_rules(&mut self) -> NewRules {
        let mut rules = NewRules::defaults();
        rules.basis = *self.chance.one(&Basis::ALL).unwrap();
        rules.toll = BasisPoints::new(self.chance.between(0, 4000)).unwrap();
        if self.chance.of_100(30) {
            rules.toll = BasisPoints::ZERO;
        }
        let cane_rate = self.chance.between(0, 5000);
        rules.rates_in = [Units::Us, Units::Metric][usize::from(cane_rate % 2 == 0)];
        rules.cane_rate = MilliCents::new(cane_rate);
        rules.juice_rate = MilliCents::new(self.chance.between(0, 8000));
        rules.jar_fee = Cents::new(self.chance.between(0, 40));
        rules.least = Cents::new(self.chance.between(0, 900));
        if cane_rate % 3 != 0 {
            rules.loss = LossRule::Pool;
        }
        rules.lots_repay_pct =
            Some([100, 100, 100, 20, 45, 0][usize::try_from(cane_rate % 6).unwrap()]);
        rules.trash_off = cane_rate % 5 < 3;
        (rules.hour, rules.hours_most) = (Cents::new(1_250), 10);
        rules.syrup_rate = MilliCents::new(431_000);
        rules.hold_red = Minutes::new(self.chance.between(240, 400));
        rules.sizes.clear();
        if self.bounds {
            // Jars large enough that whoever gets none is owed one, and others small enough to fit under what is left of the bound.
            rules.lots_repay_pct = Some(self.chance.between(8, 50));
            for (name, net) in [
                ("half gallon", 2720),
                ("quart", 1360),
                ("pint", 680),
                ("half pint", 340),
            ] {
                rules.sizes.push(JarSize {
                    name: name.to_owned(),
                    net: Grams::new(net),
                    price: Cents::new(85),
                });
            }
            return rules;
        }
        for n in 0..self.chance.between(1, 4) {
            let net = Grams::new(*self.chance.one(&NETS).unwrap());
            if rules.sizes.iter().all(|s| s.net != net) {
                let price = Cents::new(self.chance.between(0, 200));
                rules.sizes.push(JarSize {
                    name: format!("size {n}"),
                    net,
                    price,
                });
            }
        }
        rules
    }

    async fn rules_are_voted(&mut self) {
        let (steward, rules) = (self.steward(), self.some_rules());
        self.season = self
            .step("open a season", steward, async |act| {
                seasons::open(&act, 2026, rules.clone()).await
            })
            .await;
        assert!(self.season.is_some(), "{}", self.here());
    }

    async fn rules_change(&mut self) {
        let (who, rules, season) = (self.anybody(), self.some_rules(), self.season.unwrap());
        let seen = rules_versions::made_last(season)
            .ask(&mut *self.read().await)
            .await
            .unwrap()
            .number;
        let seen = seen - i64::from(self.chance.of_100(15));
        let made = self
            .step("change the rules", who, async |act| {
                seasons::change_rules(&act, season, seen, rules.clone()).await
            })
            .await;
        if made.is_none() || self.chance.of_100(20) {
            return;
        }
        // Confirmed for a day that may have passed, be today, or be to come.
        let from = PressDate::parse("2026-09-01")
            .unwrap()
            .plus_days(self.chance.between(0, 60));
        self.step("confirm the rules", who, async |act| {
            seasons::confirm(&act, season, seen + 1, from).await
        })
        .await;
    }

    fn some_day(&mut self, date: &str) -> NewPressDay {
        NewPressDay {
            date: PressDate::parse(date).unwrap(),
            opens: MinuteOfDay::new(self.chance.between(80, 90) * 5).unwrap(),
            closes: MinuteOfDay::new(self.chance.between(190, 215) * 5).unwrap(),
            mill_per_h: Grams::new(self.chance.between(120_000, 400_000)),
            changeover: Minutes::new(self.chance.between(0, 15)),
            note: String::new(),
        }
    }

    async fn days_are_planned(&mut self, days: usize) {
        let (steward, season) = (self.steward(), self.season.unwrap());
        for date in DATES.iter().take(days).chain(&DATES[..1]) {
            let new = self.some_day(date);
            let day = self
                .step("plan a press day", steward, async |act| {
                    press_days::plan(&act, season, new.clone()).await
                })
                .await;
            self.days.extend(day);
        }
    }

    async fn hours_change(&mut self, day: usize) {
        let (who, new, id) = (self.steward(), self.some_day(DATES[day]), self.days[day]);
        let before = day_store::find(id)
            .ask(&mut *self.read().await)
            .await
            .unwrap()
            .unwrap();
        self.step("change a press day", who, async |act| {
            press_days::change(&act, id, before.version, new.clone()).await
        })
        .await;
    }

    async fn close(&mut self, day: usize) {
        let (who, id) = (self.steward(), self.days[day]);
        let closed = self.chance.of_100(60);
        self.step("close a press day", who, async |act| {
            press_days::set_closed(&act, id, closed).await
        })
        .await;
    }

    async fn card_changes(&mut self) {
        let (who, of) = (self.anybody(), self.anybody());
        let before = cards::find(of.id)
            .ask(&mut *self.read().await)
            .await
            .unwrap()
            .unwrap();
        let card = self.card(before.name.as_str(), of.role);
        self.step("change a card", who, async |act| {
            let proof = members::Proof {
                hashing: &Hashing::new(),
                passphrase: Passphrase::typed(""),
            };
            members::change(&act, of.id, before.version, card.clone(), proof).await
        })
        .await;
    }

    async fn leave_or_come_back(&mut self) {
        let (who, of, goes) = (self.steward(), self.anybody(), self.chance.of_100(40));
        self.step("leave or come back", who, async |act| {
            if goes {
                members::let_go(&act, of.id, true).await
            } else {
                members::take_back(&act, of.id).await
            }
        })
        .await;
    }
}
