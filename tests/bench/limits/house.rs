//! The co-op that is asked: 200 members (or as many as are wanted) with a load each, three boils divided for five of them, 24 press
//! days, 16 of them with 40 turns; a boil on the fire with 200 readings in a pan that is set up, and a dozen others for forms to note
//! readings of.

use super::big_season::{BigSeason, big_season};
use super::seasons::copied;
use super::site::{AT, TestSite};
use anyhow::Context;
use canewright::actions::Act;
use canewright::actions::boil::boils::{self, NewBoil};
use canewright::actions::boil::pans;
use canewright::actions::cane::mill;
use canewright::calc::boil::pan::Settings;
use canewright::calc::physics::energy::Fuel;
use canewright::store::turns::press_days;
use canewright::units::{
    Grams, JuiceId, LotCode, MemberId, Millilitres, PressDate, SquareMetres, Units,
};
use sqlx::AssertSqlSafe;

/// Boils on the fire that forms note readings of.
pub const OPEN: usize = 12;
/// Vessels besides the two that the mill has.
const VESSELS: usize = 60;
/// Press days with 40 turns, counted from the first.
pub const FULL: usize = 16;

/// What was made.
pub struct House {
    pub season: BigSeason,
    /// Boils that are divided, of a season.
    pub boils: usize,
    /// The boil with 200 readings.
    pub watched: LotCode,
    /// The others on the fire.
    pub open: Vec<LotCode>,
}

/// Makes it with so many members, and so many seasons behind it, this one among them.
pub async fn house(members: usize, seasons: i32) -> anyhow::Result<House> {
    let boils = members * 3 / 5;
    let season = big_season(members, boils).await;
    let site = &season.site;
    site.sql(DAYS).await;
    let turns = TURNS.replace("MEMBERS", &members.to_string());
    let mut tx = site.writer.begin().await?;
    sqlx::raw_sql(AssertSqlSafe(turns))
        .execute(&mut *tx)
        .await?;
    tx.commit().await?;
    if seasons > 1 {
        copied(site, seasons).await?;
    }
    let mut open = Vec::new();
    for n in 0..OPEN {
        // Of the day after: no mill has thirteen pans on the fire on one day, whose page looks at each.
        open.push(lit(site, "2026-09-20", n, 5).await?);
    }
    // A turn is booked only where a vessel is free for its juice.
    for n in 0..VESSELS {
        mill::add_vessel(
            &site.act(),
            format!("Barrel {n}"),
            Millilitres::new(200_000),
        )
        .await?;
    }
    let pan = Settings {
        area: SquareMetres::parse("90", Units::Us)?,
        least: Millilitres::parse("5", Units::Us)?,
        most: Millilitres::parse("125", Units::Us)?,
        rate_l_m2_h: 40.7,
        fuel: Fuel::Wood,
        efficiency_pct: 40.0,
    };
    pans::add(&site.act(), "Long pan".to_owned(), pan, Units::Us).await?;
    let watched = lit(site, "2026-09-19", OPEN, 60).await?;
    // The last that was lit.
    site.sql(READINGS).await;
    Ok(House {
        season,
        boils,
        watched,
        open,
    })
}

/// Puts a part of one juice on the fire, kg.
async fn lit(site: &TestSite, date: &str, n: usize, kg: i64) -> anyhow::Result<LotCode> {
    let mut now = site.reader.snapshot().await?;
    let day = press_days::of_date(PressDate::parse(date)?)
        .ask(&mut now)
        .await?;
    let juice: String = sqlx::query_scalar("select id from juices order by id limit 1 offset ?1")
        .bind(i64::try_from(n)?)
        .fetch_one(&mut *now)
        .await?;
    drop(now);
    let new = NewBoil {
        day: day.context("the day")?.id,
        solo: None,
        pan: None,
        charge_known: true,
        water_boil: None,
        juices: vec![(
            JuiceId::parse(&juice).context("a juice")?,
            Some(Grams::new(kg * 1000)),
        )],
        lit_at: None,
        tested: true,
        note: String::new(),
        units: Units::Us,
    };
    let act = Act {
        at: AT.plus(-5000),
        ..site.act()
    };
    Ok(boils::light(&act, new).await?)
}

/// The members that forms are sent by.
pub fn growers(house: &House, count: usize) -> Vec<MemberId> {
    house.season.members.iter().copied().take(count).collect()
}

/// Press days as far as 24 in the season.
const DAYS: &str = "with recursive n (i) as (select 1 union all select i + 1 from n where i < 23)
 insert into press_days (id, season_id, date, opens_min, closes_min, mill_g_per_h, changeover_min, made_by, made_at)
 select printf('01920000-0000-7000-9000-00000000%04x', i), d.season_id, date(d.date, '+' || i || ' days'), d.opens_min,
 d.closes_min, d.mill_g_per_h, d.changeover_min, d.made_by, d.made_at from n, press_days d where d.date = '2026-09-19'";

/// Forty turns of a quarter of an hour on each of the first sixteen days, of members in turn.
const TURNS: &str = "create temp table made as
 with recursive n (i) as (select 0 union all select i + 1 from n where i < 639)
 select printf('01920000-0000-7000-a000-00000000%04x', n.i) id, d.id day, m.id member, 420 + n.i % 40 * 15 start
 from n join press_days d on d.date = date('2026-09-19', '+' || (n.i / 40) || ' days')
 join members m on m.number = 2 + n.i % MEMBERS;
 insert into turns (id, press_day_id, member_id, start_min, minutes, cane_g, told_as, told_amount, state, made_by, made_at)
 select id, day, member, start, 15, 18000, 'weight', 18000, 'held', member, 1 from made;
 insert into turn_events (turn_id, version, what, start_min, minutes, press_day_id, by_id, at)
 select id, 1, 'made', start, 15, day, member, 1 from made;
 insert into booked_minutes (press_day_id, minute, turn_id)
 select day, start + k.value, made.id from made, json_each('[0,5,10]') k;
 drop table made";

/// Two hundred readings of the boil that was lit last, one in twenty seconds.
const READINGS: &str =
    "with recursive n (i) as (select 1 union all select i + 1 from n where i < 200)
 insert into boil_readings (boil_id, number, read_at, temp_c, by_id, at)
 select b.id, n.i, b.lit_at + n.i * 20, 99.0 + n.i * 0.02, b.cook_id, b.lit_at + n.i * 20
 from n, (select * from boils order by rowid desc limit 1) b";
