//! A large season made through the actions: every member brings one load, and every boil holds a part
//! of five members' juice. How long the program takes over one is in `tests/bench/whole_season.rs`.

use crate::site::{AT, TestSite};
use canewright::actions::Act;
use canewright::actions::boil::boils::{self, NewBoil};
use canewright::actions::boil::boils_finish::{self, NewFills, NewFinish};
use canewright::actions::cane::juice::{self, JuiceMeasure, NewJuice};
use canewright::actions::cane::tickets::{self, CaneOf, NewLoad, NewTicket};
use canewright::actions::people::members::{self, NewMember};
use canewright::actions::season::seasons::{self, NewRules};
use canewright::actions::shares::divisions::{self, Signed};
use canewright::calc::cane::juice::Amount;
use canewright::calc::cane::tickets::Condition;
use canewright::calc::physics::refractometer::Instrument;
use canewright::facts::shares::division_inputs::DivisionInputs;
use canewright::store::cane::mill as mill_store;
use canewright::units::{
    BasisPoints, BrixRead, Celsius, Cents, Grams, JuiceId, LotCode, MemberId, MemberName,
    MilliCents, Phone, Pounds, PressDate, Role, SeasonId, Units,
};

pub struct BigSeason {
    pub site: TestSite,
    pub members: Vec<MemberId>,
    pub lots: Vec<LotCode>,
}

fn act(site: &TestSite, seconds: i64) -> Act {
    let mut act = site.act();
    act.at = AT.plus(seconds);
    act
}

async fn member(site: &TestSite, n: usize) -> MemberId {
    let new = NewMember {
        clock: 24,
        address: String::new(),
        name: MemberName::parse(&format!("Member {n:03}")).unwrap(),
        phone: Phone::parse("615 555 0101").unwrap(),
        email: None,
        units: Units::Us,
        wishes: if n.is_multiple_of(3) {
            vec![Grams::new(624)]
        } else {
            Vec::new()
        },
        pools: true,
        named: true,
        in_queue: true,
        call_by: String::new(),
        role: Role::Member,
    };
    members::add(&site.act(), new).await.unwrap()
}

/// What the scale shows: in grams; in pounds where the season is weighed in them, steps of half a pound.
fn readings(units: Option<Units>, n: usize) -> (Grams, Grams) {
    let n = i64::try_from(n).unwrap();
    match units {
        None => (Grams::new(418_000 + n * 37), Grams::new(18_000)),
        Some(Units::Metric) => (
            Grams::new(418_000 + n * 500),
            Grams::new(18_000 + n % 7 * 500),
        ),
        Some(Units::Us) => {
            let halves = |halves| Pounds::new(halves * 5000).grams();
            (halves(1843 + n), halves(79 + n % 7))
        }
    }
}

/// A load of 400 kg and 190 kg of juice of it.
async fn pressed(site: &TestSite, member: MemberId, units: Option<Units>, n: usize) -> JuiceId {
    let mut snapshot = site.reader.snapshot().await.unwrap();
    let scale = mill_store::scales().ask(&mut snapshot).await.unwrap()[0].id;
    let date = PressDate::parse("2026-09-19").unwrap();
    let day = canewright::store::turns::press_days::of_date(date)
        .ask(&mut snapshot)
        .await
        .unwrap()
        .unwrap();
    let vessel = mill_store::vessels().ask(&mut snapshot).await.unwrap()[0].id;
    drop(snapshot);
    let (gross, tare) = readings(units, n);
    let ticket = NewTicket {
        number: None,
        whose: CaneOf::WalkIn(member),
        condition: Condition {
            stripped: Some(true),
            headed: Some(true),
            clean: Some(true),
            frosted: Some(false),
        },
        cut_at: None,
        note: String::new(),
        load: NewLoad {
            another: true,
            after_all: false,
            scale,
            gross,
            tare,
            trailer: String::new(),
            weighed_at: None,
            sure: true,
        },
    };
    let ticket = tickets::open_ticket(&act(site, -7200), day.id, ticket)
        .await
        .unwrap();
    let read = BrixRead::new([13.4, 15.8, 16.6, 17.2][n % 4]).unwrap();
    let new = NewJuice {
        vessel,
        taken: JuiceMeasure {
            amount: Amount::Weight(Grams::new(190_000)),
            sediment: None,
            temp: Celsius::new(24.0).unwrap(),
            instrument: Instrument::Digital,
            readings: vec![read, read],
            sure: true,
        },
        pressed_at: None,
        vessel_empty: true,
        after_all: false,
    };
    juice::record_juice(&act(site, -7000), ticket, new)
        .await
        .unwrap()
}

async fn boiled(site: &TestSite, juices: &[JuiceId], n: usize, each: i64) -> LotCode {
    let mut snapshot = site.reader.snapshot().await.unwrap();
    let date = PressDate::parse("2026-09-19").unwrap();
    let day = canewright::store::turns::press_days::of_date(date)
        .ask(&mut snapshot)
        .await
        .unwrap()
        .unwrap();
    drop(snapshot);
    let part = |k: usize| {
        let juice = juices[(n * 5 + k) % juices.len()];
        let more = i64::try_from((n * 7 + k * 13) % 11).unwrap() * 20;
        (juice, Some(Grams::new(each - more)))
    };
    let boil = NewBoil {
        day: day.id,
        solo: None,
        water_boil: None,
        juices: (0..5).map(part).collect(),
        lit_at: None,
        tested: false,
        note: String::new(),
        units: Units::Us,
        pan: None,
        charge_known: true,
    };
    let lot = boils::light(&act(site, -6000), boil).await.unwrap();
    let syrup = each * 5 * 16 / 100;
    let finish = NewFinish {
        syrup: Grams::new(syrup),
        brix: BrixRead::new(78.0).unwrap(),
        instrument: Instrument::Digital,
        sample: Celsius::new(20.0).unwrap(),
        finish_temp: None,
        skimmed: Grams::ZERO,
        finished_at: AT.plus(-600),
        thin: false,
        low: true,
        why: String::new(),
        units: Units::Us,
        fuel: None,
        fuel_sure: false,
        spilt: Grams::ZERO,
    };
    boils_finish::finish(&act(site, -500), &lot, finish)
        .await
        .unwrap();
    let quarts = syrup / 2 / 1247;
    let pints = (syrup - quarts * 1247) / 624;
    let left = syrup - quarts * 1247 - pints * 624;
    let fills = NewFills {
        counts: vec![(Grams::new(1247), quarts), (Grams::new(624), pints)],
        part: (left > 0).then(|| Grams::new(left)),
        filled_at: None,
        units: Units::Us,
    };
    boils_finish::fill(&act(site, -300), &lot, fills)
        .await
        .unwrap();
    let seen = {
        let mut snapshot = site.reader.snapshot().await.unwrap();
        let inputs = DivisionInputs::read(&mut snapshot, &lot).await.unwrap();
        inputs.unwrap().propose(Units::Us).unwrap().mark()
    };
    let second = site.text("select id from members where number = 2").await;
    let second = MemberId::parse(&second).unwrap();
    let signed = Signed {
        seen: &seen,
        ticked: &["sure_loose", "sure_thin"],
        by: Some(second),
    };
    let n = i64::try_from(n).unwrap();
    divisions::divide(&act(site, n), &lot, signed)
        .await
        .unwrap();
    lot
}

/// So many members, and so many boils divided.
pub async fn big_season(members: usize, boils: usize) -> BigSeason {
    filled(TestSite::with_season().await, None, members, boils).await
}

/// The same, weighed and charged in one system of units, with every kind of fee; the steward reads that system.
pub async fn big_season_in(units: Units, members: usize, boils: usize) -> BigSeason {
    let site = TestSite::with_season().await;
    let season = SeasonId::parse(&site.text("select id from seasons").await).unwrap();
    let mut rules = NewRules::defaults();
    rules.toll = BasisPoints::parse("12.5").unwrap();
    rules.rates_in = units;
    rules.cane_rate = MilliCents::parse("1.125").unwrap();
    rules.juice_rate = MilliCents::parse("3").unwrap();
    rules.boil_fee = Cents::new(2000);
    rules.jar_fee = Cents::new(25);
    rules.least = Cents::new(900);
    seasons::change_rules(&act(&site, -9000), season, 1, rules)
        .await
        .unwrap();
    let from = PressDate::parse("2026-09-19").unwrap();
    seasons::confirm(&act(&site, -8900), season, 2, from)
        .await
        .unwrap();
    if units == Units::Metric {
        site.sql("update members set units = 'metric'; update scales set graduation_g = 500")
            .await;
    }
    filled(site, Some(units), members, boils).await
}

async fn filled(site: TestSite, units: Option<Units>, members: usize, boils: usize) -> BigSeason {
    let mut out = BigSeason {
        site,
        members: Vec::new(),
        lots: Vec::new(),
    };
    let mut juices = Vec::new();
    for n in 0..members {
        let id = member(&out.site, n).await;
        out.members.push(id);
        juices.push(pressed(&out.site, id, units, n).await);
    }
    // Each juice is poured boils × 5 ÷ members times.
    let times = i64::try_from(boils * 5 / members + 1).unwrap();
    let each = (190_000 / times).min(20_000);
    for n in 0..boils {
        out.lots.push(boiled(&out.site, &juices, n, each).await);
    }
    out
}

/// A season of so many tickets, each of a turn by row, with juice; made by SQL, since only reading counts.
pub async fn tickets(site: &TestSite, count: u32) {
    let sql = "with recursive n (i) as (select 1 union all select i + 1 from n where i < {count})
         insert into turns (id, press_day_id, member_id, start_min, minutes, cane_g, told_as, told_amount, state, made_by, made_at)
         select 'b' || i, d.id, m.id, 420, 20, 60000, 'row', 20 + i % 10, 'cancelled', m.id, 1 from n, press_days d, members m;
         with recursive n (i) as (select 1 union all select i + 1 from n where i < {count})
         insert into tickets (id, season_id, ticket, press_day_id, member_id, turn_id, stripped, headed, clean, frosted, made_by, made_at)
         select printf('01920000-0000-7000-8000-00000000%04x', i), d.season_id, i, d.id, m.id, 'b' || i, 1, 1, 1, 0, m.id, 1
         from n, press_days d, members m;
         insert into loads (ticket_id, number, version, scale_id, graduation_g, gross_g, tare_g, by_id, at)
         select t.id, k.value, 1, s.id, s.graduation_g, 50000 + t.ticket, 20000, t.made_by, t.ticket * 60
         from tickets t, scales s, json_each('[1,2]') k;
         insert into juices (id, ticket_id, vessel_id, pressed_at, made_by, made_at)
         select replace(t.id, '01920000', '01930000'), t.id, v.id, 3600 + t.ticket * 60, t.made_by, 1
         from tickets t, vessels v where v.name = 'Blue barrel';
         insert into juice_measures (juice_id, version, amount_kind, amount, sediment, temp_c, instrument, brix_1, brix_2, by_id, at)
         select j.id, 1, 'mass', 27000, 0, 20.0, 'plain', 15.0, 15.2, j.made_by, 1 from juices j"
        .replace("{count}", &count.to_string());
    let mut tx = site.writer.begin().await.unwrap();
    sqlx::raw_sql(sqlx::AssertSqlSafe(sql))
        .execute(&mut *tx)
        .await
        .unwrap();
    tx.commit().await.unwrap();
}
