//! The demo's members, and what stands at its mill. All invented.

use super::maker::Demo;
use crate::actions::Done;
use crate::actions::boil::pans;
use crate::actions::cane::mill;
use crate::actions::people::household;
use crate::actions::people::members::{self, NewMember};
use crate::actions::season::seasons::{self, NewRules};
use crate::calc::boil::pan::Settings;
use crate::calc::physics::energy::Fuel;
use crate::calc::season::weights::Weights;
use crate::facts::rules_versions;
use crate::store::season::seasons::JarSize;
use crate::units::{
    BasisPoints, Cents, Email, Grams, MemberName, MilliCents, Millilitres, Phone, PressDate, Role,
    SeasonId, SquareMetres, Units,
};

/// One of the demo's members.
pub(super) struct Person {
    pub(super) name: &'static str,
    pub(super) phone: &'static str,
    pub(super) role: Role,
    pub(super) pools: bool,
    pub(super) named: bool,
    pub(super) signs_in: Option<&'static str>,
}

const fn member(name: &'static str, phone: &'static str, named: bool) -> Person {
    Person {
        name,
        phone,
        role: Role::Member,
        pools: true,
        named,
        signs_in: None,
    }
}

/// The members, the first steward first.
pub(super) const PEOPLE: [Person; 24] = [
    Person {
        name: "Ruth Bellweather",
        phone: "615 555 0100",
        role: Role::Steward,
        pools: true,
        named: true,
        signs_in: Some("ruth"),
    },
    Person {
        name: "Delia Marchbanks",
        phone: "615 555 0101",
        role: Role::Crew,
        pools: true,
        named: true,
        signs_in: Some("delia"),
    },
    Person {
        name: "Amos Troutwine",
        phone: "615 555 0102",
        role: Role::Crew,
        pools: true,
        named: false,
        signs_in: None,
    },
    Person {
        name: "June Hollowell",
        phone: "615 555 0103",
        role: Role::Member,
        pools: true,
        named: true,
        signs_in: Some("june"),
    },
    Person {
        name: "Otis Pruittmoore",
        phone: "615 555 0104",
        role: Role::Member,
        pools: true,
        named: true,
        signs_in: Some("otis"),
    },
    Person {
        name: "Minnie Sandlapper",
        phone: "615 555 0105",
        role: Role::Member,
        pools: false,
        named: true,
        signs_in: Some("minnie"),
    },
    member("Clyde Fennimore", "615 555 0106", true),
    Person {
        name: "Ida Quarterman",
        phone: "615 555 0107",
        role: Role::Member,
        pools: true,
        named: true,
        signs_in: Some("ida"),
    },
    member("Wendell Oakes-Rivera", "615 555 0108", false),
    member("Hattie Lindqvist", "615 555 0109", true),
    member("Ezra Stubblefield", "615 555 0110", true),
    member("Nora Castellaw", "615 555 0111", true),
    member("Virgil Amberson", "615 555 0112", false),
    Person {
        name: "Lucius Grantham",
        phone: "615 555 0113",
        role: Role::Member,
        pools: false,
        named: false,
        signs_in: None,
    },
    member("Pearl Dockery", "615 555 0114", true),
    member("Silas Wetherford", "615 555 0115", true),
    member("Opal Jernigan", "615 555 0116", true),
    member("Tomás Arroyo Vance", "615 555 0117", true),
    member("Beulah Crabtree-Okafor", "615 555 0118", false),
    member("Rufus Ellender", "615 555 0119", true),
    member("Cora Mae Tansill", "615 555 0120", true),
    member("Jasper Loomis", "615 555 0121", true),
    member("Etta Brandywine", "615 555 0122", true),
    member("Homer Yancey", "615 555 0123", false),
];

/// Who acts for another's card, and whose: he signs in nowhere.
pub(super) const ACTS_FOR: (usize, usize) = (7, 6);

/// Who books for a member: for Clyde his daughter.
pub(super) const fn acts_for(who: usize) -> usize {
    if who == ACTS_FOR.1 { ACTS_FOR.0 } else { who }
}

/// Pounds in whole grams.
pub(super) fn lb(pounds: f64) -> Grams {
    Grams::nearest(pounds * 453.592_37)
}

/// Gallons in whole millilitres.
pub(super) fn gal(gallons: f64) -> Millilitres {
    Millilitres::nearest(gallons * 3_785.411_784)
}

impl Demo {
    pub(super) async fn add_members(&mut self) -> Done<()> {
        for person in PEOPLE.iter().skip(1) {
            let new = NewMember {
                clock: 24,
                address: String::new(),
                name: MemberName::parse(person.name)?,
                phone: Phone::parse(person.phone)?,
                // No letter is sent unless the demo is given a mail server.
                email: person
                    .signs_in
                    .map(|name| Email::parse(&format!("{name}@example.org")))
                    .transpose()?,
                units: Units::Us,
                wishes: Vec::new(),
                pools: person.pools,
                named: person.named,
                in_queue: person.named,
                call_by: String::new(),
                role: person.role,
            };
            let act = self.act(0, "2026-07-13", "20:00")?;
            self.members.push(members::add(&act, new).await?);
            self.roles.push(person.role);
        }
        Ok(())
    }

    /// Ida acts for her father's card, too.
    pub(super) async fn household(&self) -> Done<()> {
        let (person, card) = (self.member(ACTS_FOR.0)?, self.member(ACTS_FOR.1)?);
        let act = self.act(0, "2026-07-16", "19:00")?;
        household::let_act(&act, card, person).await?;
        Ok(())
    }

    /// Scale, vessels, pans, and the season's rules: voted in July, one change in October.
    pub(super) async fn furnish(&self) -> Done<SeasonId> {
        let act = || self.act(0, "2026-07-20", "18:00");
        mill::add_scale(
            &act()?,
            "Platform by the door".to_owned(),
            226.796_185,
            lb(2000.0),
        )
        .await?;
        mill::add_scale(&act()?, "Scale for jars".to_owned(), 1.0, lb(11.0)).await?;
        for number in 1..=10 {
            mill::add_vessel(&act()?, format!("Barrel {number}"), gal(55.0)).await?;
        }
        let settings = Settings {
            area: SquareMetres::new(24.0 * 0.092_903_04)?,
            least: gal(40.0),
            most: gal(110.0),
            rate_l_m2_h: 48.0,
            fuel: Fuel::Wood,
            efficiency_pct: 40.0,
        };
        pans::add(&act()?, "Long pan".to_owned(), settings, Units::Us).await?;
        let kettle = Settings {
            area: SquareMetres::new(6.0 * 0.092_903_04)?,
            least: gal(5.0),
            most: gal(25.0),
            ..settings
        };
        pans::add(&act()?, "Kettle".to_owned(), kettle, Units::Us).await?;
        let mut rules = NewRules::defaults();
        rules.toll = BasisPoints::new(1000)?;
        rules.cane_rate = MilliCents::new(1_000);
        rules.jar_fee = Cents::new(20);
        rules.least = Cents::new(400);
        rules.sizes = sizes(150);
        "Voted at the July meeting: split by dissolved solids, a tenth to the mill."
            .clone_into(&mut rules.note);
        seasons::open(&act()?, 2026, rules).await
    }

    /// The second version of the rules: the boils of the first press day keep the first.
    pub(super) async fn change_rules(&self, season: SeasonId) -> Done<()> {
        let mut snapshot = self.reader.snapshot().await?;
        let before = rules_versions::made_last(season).ask(&mut snapshot).await?;
        drop(snapshot);
        let mut rules = NewRules::of(&before, sizes(165), Weights::DEFAULT);
        "Quart jars cost 15 cents more from the second order on.".clone_into(&mut rules.note);
        seasons::change_rules(&self.act(0, "2026-10-05", "20:15")?, season, 1, rules).await?;
        let from = PressDate::parse("2026-10-06")?;
        seasons::confirm(&self.act(0, "2026-10-05", "20:20")?, season, 2, from).await?;
        Ok(())
    }
}

/// Three sizes of jar; the price of the quart as given, cents.
fn sizes(quart_cents: i64) -> Vec<JarSize> {
    let size = |name: &str, net, cents| JarSize {
        name: name.to_owned(),
        net: Grams::new(net),
        price: Cents::new(cents),
    };
    // 44, 22 and 11 oz of syrup.
    vec![
        size("quart", 1247, quart_cents),
        size("pint", 624, 120),
        size("half-pint", 312, 95),
    ]
}
