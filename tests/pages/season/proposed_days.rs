//! Press days as the season's proposal fills them, written for the simulation of the mill that another program makes: no vessel
//! may overflow, and no juice be held longer than was said.

use crate::site::{AT, TestSite};
use canewright::actions::boil::pans;
use canewright::actions::cane::mill;
use canewright::actions::season::plantings::{self, NewPlanting};
use canewright::actions::turns::press_days;
use canewright::calc::boil::pan::Settings;
use canewright::calc::physics::energy::Fuel;
use canewright::facts::season::proposal::ToPropose;
use canewright::facts::season::proposal_days::ProposedDay;
use canewright::facts::season::proposal_wish::Wish;
use canewright::units::{
    Grams, Metres, Millilitres, MinuteOfDay, Minutes, PressDate, Role, SquareMetres, Units, Zone,
};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use serde_json::{Value, json};

/// Seasons written; `PROPOSAL_SEASONS` writes more.
const SEASONS: u64 = 4;
const MEMBERS: [&str; 9] = [
    "Amos Trout",
    "Bea Lund",
    "Cal Ford",
    "Dot Hale",
    "Eli Marsh",
    "Fay Reed",
    "Gus Penn",
    "Hal Dunn",
    "Ivy Cole",
];

/// A mill by chance: a pan or two, three to ten vessels, in whole litres and kilograms.
struct Mill {
    pans: Vec<(i64, i64, i64)>,
    vessels: Vec<i64>,
    kg_h: i64,
}

impl Mill {
    async fn at(site: &TestSite, chance: &mut Pcg64Mcg) -> Self {
        let pans: Vec<(i64, i64, i64)> = (0..chance.random_range(1..=2))
            .map(|_| {
                let most: i64 = chance.random_range(150..450);
                (most * 2 / 5, most, chance.random_range(80..280))
            })
            .collect();
        for (n, (least, most, water_l_h)) in pans.iter().enumerate() {
            let settings = Settings {
                area: SquareMetres::new(2.0).unwrap(),
                least: Millilitres::new(least * 1000),
                most: Millilitres::new(most * 1000),
                rate_l_m2_h: Millilitres::new(water_l_h * 1000).litres() / 2.0,
                fuel: Fuel::Wood,
                efficiency_pct: 40.0,
            };
            pans::add(&site.act(), format!("Pan {n}"), settings, Units::Metric)
                .await
                .unwrap();
        }
        // The site has two of 200 litres already.
        let mut vessels = vec![200, 200];
        for n in 0..chance.random_range(1..=8) {
            let litres = [60, 100, 120, 208, 300, 400][chance.random_range(0..6)];
            let capacity = Millilitres::new(litres * 1000);
            mill::add_vessel(&site.act(), format!("Vessel {n}"), capacity)
                .await
                .unwrap();
            vessels.push(litres);
        }
        let kg_h = chance.random_range(250..900);
        Self {
            pans,
            vessels,
            kg_h,
        }
    }

    /// A day as the other program reads it.
    fn written(&self, day: &ProposedDay) -> Value {
        let pan = |(least, most, water): &(i64, i64, i64)| json!({"least_l": least, "most_l": most, "water_l_h": water});
        let hold = day.room.rules.hold_red.get();
        let turns = day.turns.iter().map(|turn| {
            json!({
                "start_min": turn.span.start.get(), "minutes": turn.span.minutes.get(),
                "cane_kg": turn.cane.kg(), "pools": true,
            })
        });
        json!({
            "pans": self.pans.iter().map(pan).collect::<Vec<_>>(), "vessels_l": self.vessels,
            "hold_min": hold, "settles_min": 120.min(hold / 2), "round_min": 60, "mill_kg_h": self.kg_h,
            "juice_pct": day.room.rules.juice_pct, "floor_bx": day.room.rules.floor_bx,
            "target_bx": day.room.rules.target_bx, "turns": turns.collect::<Vec<_>>(), "refused": null,
        })
    }
}

/// A season by chance: more cane than its days press, so that they are filled; the days with what is proposed for them.
async fn proposed(seed: u64) -> Vec<Value> {
    let mut chance = Pcg64Mcg::seed_from_u64(seed);
    let site = TestSite::with_season().await;
    let of_mill = Mill::at(&site, &mut chance).await;
    let season = site.text("select id from seasons").await;
    let season = canewright::units::SeasonId::parse(&season).unwrap();
    for date in [
        "2026-09-22",
        "2026-09-26",
        "2026-09-29",
        "2026-10-03",
        "2026-10-07",
    ] {
        let day = press_days::NewPressDay {
            date: PressDate::parse(date).unwrap(),
            opens: MinuteOfDay::new(420).unwrap(),
            closes: MinuteOfDay::new(1020).unwrap(),
            mill_per_h: Grams::new(of_mill.kg_h * 1000),
            changeover: Minutes::new(10),
            note: String::new(),
        };
        press_days::plan(&site.act(), season, day).await.unwrap();
    }
    for name in MEMBERS {
        let (member, _) = site.person(name, Role::Member).await;
        let planted = chance.random_range(1..=28);
        let new = NewPlanting {
            variety: "Dale".to_owned(),
            planted_on: PressDate::parse(&format!("2026-06-{planted:02}")).unwrap(),
            row: Metres::new(chance.random_range(60.0..400.0)).unwrap(),
            apart: None,
            maturity_days: 110,
            note: String::new(),
        };
        plantings::add(&site.act(), member, new).await.unwrap();
    }
    let zone = Zone::parse("America/Chicago").unwrap();
    let mut snapshot = site.reader.snapshot().await.unwrap();
    let read = ToPropose::of_year(&mut snapshot, 2026, (AT, &zone), Wish::default()).await;
    let found = read.unwrap().unwrap().propose();
    let filled = found.days.iter().filter(|day| !day.turns.is_empty());
    filled.map(|day| of_mill.written(day)).collect()
}

#[tokio::test]
async fn days_as_they_are_proposed_are_written_for_another_program() {
    let more = std::env::var("PROPOSAL_SEASONS")
        .ok()
        .and_then(|n| n.parse().ok());
    let mut days = Vec::new();
    for seed in 0..more.unwrap_or(SEASONS) {
        days.extend(proposed(7000 + seed).await);
    }
    let turns: usize = days
        .iter()
        .map(|d| d["turns"].as_array().unwrap().len())
        .sum();
    // Days of one turn would say nothing.
    assert!(turns > days.len(), "{turns} turns on {} days", days.len());
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("proposal");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("days.json"), Value::from(days).to_string()).unwrap();
}
