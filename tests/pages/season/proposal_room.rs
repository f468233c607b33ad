//! What a season's proposal holds to once its turns have their minutes: the hours of the day and of each member, the turns that are kept
//! and those that are booked; and what it says of itself.

use crate::season::proposal::{PROPOSAL, day, planted, sends};
use crate::site::{AT, Browser, TestSite};
use canewright::actions::season::plantings::{self, NewPlanting};
use canewright::facts::season::proposal::{SeasonProposal, ToPropose};
use canewright::facts::season::proposal_days::{ProposedDay, ProposedTurn};
use canewright::facts::season::proposal_wish::{Kept, Wish};
use canewright::units::{MemberId, Metres, PlantingId, PressDate, Role, Zone};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use std::collections::BTreeMap;

/// Seasons by chance; `PROPOSAL_SEASONS` drives more.
const SEASONS: u64 = 5;

pub async fn proposed(site: &TestSite, wish: Wish) -> SeasonProposal {
    let zone = Zone::parse("America/Chicago").unwrap();
    let mut snapshot = site.reader.snapshot().await.unwrap();
    let read = ToPropose::of_year(&mut snapshot, 2026, (AT, &zone), wish).await;
    read.unwrap().unwrap().propose()
}

/// A member's planting that is best on a date, with so much cane by the rules of the site: 4.5 kg a metre.
pub async fn grows(site: &TestSite, member: MemberId, planted_on: &str, kg: f64) -> PlantingId {
    let new = NewPlanting {
        variety: "Dale".to_owned(),
        planted_on: PressDate::parse(planted_on).unwrap(),
        row: Metres::new(kg / 4.5).unwrap(),
        apart: None,
        maturity_days: 110,
        note: String::new(),
    };
    plantings::add(&site.act(), member, new).await.unwrap()
}

/// Says whether a member can bring cane on a day, and in which minutes since midnight.
pub async fn says(site: &TestSite, member: MemberId, date: &str, hours: Option<(i64, i64)>) {
    let (from, to) = hours.unwrap_or((0, 1440));
    let sql = format!(
        "insert into day_answers (season_id, member_id, date, brings, helps, from_min, to_min, by_id, at) \
         select id, '{member}', '{date}', {}, 0, {from}, {to}, '{member}', 0 from seasons",
        i64::from(hours.is_some()),
    );
    let mut tx = site.writer.begin().await.unwrap();
    sqlx::raw_sql(sqlx::AssertSqlSafe(sql))
        .execute(&mut *tx)
        .await
        .unwrap();
    tx.commit().await.unwrap();
}

pub fn turns_of(of: &SeasonProposal, member: MemberId) -> Vec<(&ProposedDay, &ProposedTurn)> {
    let days = of.days.iter();
    let all = days.flat_map(|day| day.turns.iter().map(move |turn| (day, turn)));
    all.filter(|(_, turn)| turn.member == member).collect()
}

fn kg_of(of: &SeasonProposal, member: MemberId) -> f64 {
    let turns = turns_of(of, member).into_iter();
    turns.map(|(_, turn)| turn.cane.kg()).sum()
}

/// The turns of a proposal, all of them kept.
fn all_kept(of: &SeasonProposal) -> Vec<Kept> {
    let mut all = Vec::new();
    for day in &of.days {
        for turn in &day.turns {
            all.extend(turn.of.iter().map(|(field, cane)| Kept {
                planting: of.fields[*field].planting.id,
                date: day.day.date,
                turn: Some((turn.span.start, *cane)),
            }));
        }
    }
    all
}

#[tokio::test]
async fn that_no_better_plan_exists_is_said_only_where_none_does() {
    // 2,000 kg take 8 h 49 min and 10 min for cleaning: one day of ten hours holds them, in one turn, on the best day.
    let site = TestSite::with_season().await;
    for date in ["2026-09-22", "2026-09-29"] {
        day(&site, date).await;
    }
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    grows(&site, amos, "2026-06-04", 2000.0).await;
    let of = proposed(&site, Wish::default()).await;
    assert_eq!(turns_of(&of, amos).len(), 1);
    assert!(of.exact && of.kept > 0.9999, "{}", of.kept);
    // Another's 120 kg fit beside it, and nothing is said to be left.
    let (ida, mut ida_browser) = site.person("Ida Finch", Role::Member).await;
    grows(&site, ida, "2026-06-04", 120.0).await;
    let both = proposed(&site, Wish::default()).await;
    assert!(both.exact && both.left.is_empty(), "{:?}", both.left);
    assert_eq!(both.days.iter().filter(|d| !d.turns.is_empty()).count(), 1);
    let mut steward = site.browser(site.steward).await;
    let page = steward.opens(PROPOSAL).await;
    page.says("No better plan exists for this cane and the room of these days.")
        .says("Taken: mill 9 h 45 min of 10 h");
    // No day takes more than it is said to be able to take.
    let line = page.body.split(" that the day can still take.").next();
    let line = line.unwrap().rsplit("<p>").next().unwrap();
    let (put, most) = line.split_once(" of ").unwrap();
    let number = |text: &str| -> f64 {
        let digits = text.replace(',', "");
        digits.split(' ').next().unwrap().parse().unwrap()
    };
    assert!(
        number(put) > 4600.0 && number(put) <= number(most),
        "{line}"
    );
    // Three thousand find no room on one day: the second is opened, and a better plan may exist or not, but never one by more than is said.
    planted(&mut ida_browser, &ida.to_string(), "2026-06-04", "700").await;
    let three = proposed(&site, Wish::default()).await;
    assert!(three.left.is_empty() && three.more < 0.05, "{}", three.more);
}

#[tokio::test]
async fn who_can_come_in_few_hours_has_them_and_nobody_else_brings_less() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-22").await;
    let (any_time, _) = site.person("Amos Trout", Role::Member).await;
    let (early, _) = site.person("Ida Finch", Role::Member).await;
    // Both at their best that day, Amos a day riper: he would choose first.
    grows(&site, any_time, "2026-06-03", 600.0).await;
    grows(&site, early, "2026-06-04", 600.0).await;
    says(&site, early, "2026-09-22", Some((480, 540))).await;
    let of = proposed(&site, Wish::default()).await;
    // From 8 to 9, 50 min without cleaning: 189 kg at 500 lb an hour.
    let own = turns_of(&of, early);
    assert_eq!(own.len(), 1);
    let (day_of, turn) = own[0];
    assert!(day_of.room.within(turn.span, (Some(480), Some(540))));
    assert!((turn.cane.kg() - 189.0).abs() < 1.5, "{}", turn.cane.kg());
    assert!((kg_of(&of, any_time) - 600.0).abs() < 0.01);
    // With a second day on which only Amos could come, the crew still comes once.
    day(&site, "2026-09-25").await;
    says(&site, early, "2026-09-25", None).await;
    let of = proposed(&site, Wish::default()).await;
    assert_eq!(of.days.iter().filter(|d| !d.turns.is_empty()).count(), 1);
    // Four more who can come at any time: each comes once.
    for name in ["Bea Lund", "Cal Ford", "Dot Hale", "Eli Marsh"] {
        let (member, _) = site.person(name, Role::Member).await;
        grows(&site, member, "2026-06-05", 200.0).await;
    }
    let of = proposed(&site, Wish::default()).await;
    let mut many: BTreeMap<(MemberId, PressDate), usize> = BTreeMap::new();
    for day in &of.days {
        for turn in &day.turns {
            *many.entry((turn.member, day.day.date)).or_default() += 1;
        }
    }
    assert!(many.values().all(|n| *n == 1), "{many:?}");
    assert!((kg_of(&of, early) - 189.0).abs() < 1.5);
    let all: f64 = of
        .days
        .iter()
        .flat_map(|d| &d.turns)
        .map(|t| t.cane.kg())
        .sum();
    assert!((all - 189.0 - 600.0 - 800.0).abs() < 3.0, "{all}");
}

#[tokio::test]
async fn what_is_kept_keeps_its_minutes_and_its_cane_when_others_come() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    // 1,000 ft of row: 1,371.6 kg.
    planted(&mut browser, &amos.to_string(), "2026-06-04", "1000").await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await;
    let kept = steward.hidden("before");
    let keep = format!("keep-{}", kept.split(':').next().unwrap());
    // A late planting of as much, riper, and only at hours of the kept turn.
    let (ida, _) = site.person("Ida Finch", Role::Member).await;
    grows(&site, ida, "2026-06-02", 1500.0).await;
    let page = sends(&mut steward, &[(keep.as_str(), "yes")]).await;
    page.says("Ida Finch");
    let now = steward.hidden("before");
    assert!(
        now.split(',').any(|turn| turn == kept),
        "{kept} is not in {now}"
    );
    assert!(
        !page.body.contains("before: Sat 26 Sep 2026"),
        "{}",
        page.body
    );
    // Also over an address that carries what is kept alone.
    let carried = steward.hidden("kept");
    steward.opens(&format!("{PROPOSAL}?kept={carried}")).await;
    let now = steward.hidden("before");
    assert!(
        now.split(',').any(|turn| turn == kept),
        "{kept} is not in {now}"
    );
    // What is kept and stands in the hours that somebody else can come in stays too.
    says(&site, ida, "2026-09-26", Some((420, 480))).await;
    let page = sends(&mut steward, &[(keep.as_str(), "yes")]).await;
    page.says("no room in the hours in which the member can come");
    let now = steward.hidden("before");
    assert!(
        now.split(',').any(|turn| turn == kept),
        "{kept} is not in {now}"
    );
}

#[tokio::test]
async fn one_hopeless_planting_does_not_hide_who_else_loses() {
    let site = TestSite::with_season().await;
    for date in ["2026-09-22", "2026-10-13"] {
        day(&site, date).await;
    }
    // Six are best on 22 September; Eli's little on 7 November, so that the later day alone suits, with a loss. Opening it costs 100 kg.
    let names = [
        "Amos Trout",
        "Bea Lund",
        "Cal Ford",
        "Dot Hale",
        "Fay Reed",
        "Gus Penn",
    ];
    for name in names {
        let (member, _) = site.person(name, Role::Member).await;
        grows(&site, member, "2026-06-04", 300.0).await;
    }
    let (eli, _) = site.person("Eli Marsh", Role::Member).await;
    grows(&site, eli, "2026-07-20", 120.0).await;
    let alone = proposed(&site, Wish::default()).await;
    assert!(kg_of(&alone, eli) > 119.0, "{}", kg_of(&alone, eli));
    // Ripe in July: no day suits.
    let (ivy, _) = site.person("Ivy Cole", Role::Member).await;
    grows(&site, ivy, "2026-04-01", 80.0).await;
    let with = proposed(&site, Wish::default()).await;
    assert!(kg_of(&with, eli) > 119.0, "{}", kg_of(&with, eli));
    assert!(kg_of(&with, ivy) < 1e-9);
}

#[tokio::test]
async fn one_more_day_is_a_date_and_takes_no_more_than_what_is_ripe_then() {
    let site = TestSite::with_season().await;
    day(&site, "2026-11-14").await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (ida, _) = site.person("Ida Finch", Role::Member).await;
    // Best on 27 September and 31 December: no one day takes both.
    grows(&site, amos, "2026-06-09", 200.0).await;
    grows(&site, ida, "2026-09-12", 300.0).await;
    let of = proposed(&site, Wish::default()).await;
    assert_eq!(of.left.len(), 2);
    let more = of.one_more_day.unwrap();
    assert_eq!(more.date.to_string(), "2026-12-31");
    assert!((more.cane.kg() - 300.0).abs() < 0.01, "{}", more.cane.kg());
    // Nothing left: no day is told.
    let none = TestSite::with_season().await;
    day(&none, "2026-09-26").await;
    assert_eq!(proposed(&none, Wish::default()).await.one_more_day, None);
}

#[tokio::test]
async fn the_page_is_as_fair_as_its_days_allow() {
    // Fifteen members with twice as much cane as three days press, all alike: each brings about half.
    let site = TestSite::with_season().await;
    for date in ["2026-09-22", "2026-09-24", "2026-09-26"] {
        day(&site, date).await;
    }
    let mut members = Vec::new();
    for n in 0..15 {
        let (member, _) = site.person(&format!("Grower {n}"), Role::Member).await;
        grows(&site, member, "2026-06-06", 500.0 + 20.0 * f64::from(n)).await;
        members.push(member);
    }
    let of = proposed(&site, Wish::default()).await;
    let all: f64 = of.fields.iter().map(|f| f.cane.kg()).sum();
    // All together press for 1,800 min with 15 changes of 10 min at least: no plan leaves the worst-off member less than this.
    let pressed = (1800.0 - 150.0) * 226.796_185 / 60.0;
    let least = 1.0 - pressed / all;
    let worst = members
        .iter()
        .map(|member| {
            let own = of.fields.iter().filter(|f| f.planting.member_id == *member);
            1.0 - kg_of(&of, *member) / own.map(|f| f.cane.kg()).sum::<f64>()
        })
        .fold(0.0, f64::max);
    let steps = |part: f64| (part / 0.05).floor();
    assert!(
        steps(worst) <= steps(least) + 1.0,
        "{worst} against {least}"
    );
}

/// A season by chance with hours, pins and a booked turn.
async fn by_chance(seed: u64) {
    let mut chance = Pcg64Mcg::seed_from_u64(seed);
    let site = TestSite::with_season().await;
    let dates = ["2026-09-22", "2026-09-25", "2026-09-29", "2026-10-02"];
    for date in dates {
        day(&site, date).await;
    }
    let (booker, mut browser) = site.person("Hal Dunn", Role::Member).await;
    let book = [("told", "weight"), ("amount", "400"), ("start", "09:00")];
    browser.fills("/days/2026-09-25/book", &book).await.taken();
    let mut hours: BTreeMap<(MemberId, PressDate), (i64, i64)> = BTreeMap::new();
    for n in 0..chance.random_range(4..=9) {
        let (member, _) = site.person(&format!("Grower {n}"), Role::Member).await;
        for _ in 0..chance.random_range(1..=2) {
            let planted_on = format!("2026-06-{:02}", chance.random_range(1..=20));
            grows(
                &site,
                member,
                &planted_on,
                chance.random_range(60.0..1400.0),
            )
            .await;
        }
        for date in dates {
            if chance.random_bool(0.5) {
                let from = chance.random_range(80..180) * 5;
                let to = (from + chance.random_range(10..40) * 5).min(1020);
                says(&site, member, date, Some((from, to))).await;
                hours.insert((member, PressDate::parse(date).unwrap()), (from, to));
            }
        }
    }
    let first = proposed(&site, Wish::default()).await;
    holds_to(&first, &hours);
    assert!(kg_of(&first, booker) < 1e-9);
    // Every other turn is kept, and a late planting comes.
    let mut kept = all_kept(&first);
    kept.retain(|_| chance.random_bool(0.5));
    let (late, _) = site.person("Late Comer", Role::Member).await;
    grows(&site, late, "2026-06-05", 1200.0).await;
    let wish = Wish {
        kept: kept.clone(),
        ..Wish::default()
    };
    let next = proposed(&site, wish).await;
    holds_to(&next, &hours);
    let now = all_kept(&next);
    for one in kept {
        let same = now.iter().filter(|now| {
            let (was, is) = (one.turn.unwrap(), now.turn.unwrap());
            let day = now.planting == one.planting && now.date == one.date;
            day && was == is
        });
        assert_eq!(same.count(), 1, "season {seed}: {one:?} is not in {now:?}");
    }
}

/// Nothing is past the hours of its day or its member, no two turns share a minute, no planting is pressed twice, vessels and pans hold.
fn holds_to(of: &SeasonProposal, hours: &BTreeMap<(MemberId, PressDate), (i64, i64)>) {
    let mut pressed = vec![0; of.fields.len()];
    for day in &of.days {
        let mut spans: Vec<(i64, i64)> = day
            .room
            .held
            .iter()
            .map(|held| (held.span.start.get(), held.span.end()))
            .collect();
        for turn in &day.turns {
            let (start, end) = (turn.span.start.get(), turn.span.end());
            assert!(start >= 420 && end <= 1020, "{start} to {end}");
            if let Some((from, to)) = hours.get(&(turn.member, day.day.date)) {
                assert!(
                    start >= *from && end <= *to,
                    "{start} to {end}, not {from} to {to}"
                );
            }
            // 500 lb an hour and 10 min of cleaning.
            let least = turn.cane.kg() / 226.796_185 * 60.0 + 10.0;
            let minutes = u32::try_from(turn.span.minutes.get()).unwrap();
            assert!(f64::from(minutes) >= least - 0.06, "{minutes} for {least}");
            spans.push((start, end));
            for (field, cane) in &turn.of {
                pressed[*field] += cane.get();
            }
        }
        spans.sort_unstable();
        assert!(
            spans.windows(2).all(|two| two[0].1 <= two[1].0),
            "{spans:?}"
        );
    }
    for (field, grams) in of.fields.iter().zip(pressed) {
        assert!(grams <= field.cane.get() + 2, "{grams} of {:?}", field.cane);
    }
}

#[tokio::test]
async fn seasons_by_chance_hold_to_hours_and_to_what_is_kept_and_booked() {
    let more = std::env::var("PROPOSAL_SEASONS")
        .ok()
        .and_then(|n| n.parse().ok());
    for seed in 0..more.unwrap_or(SEASONS) {
        by_chance(4000 + seed).await;
    }
}

/// The form carries kept turns whole.
#[tokio::test]
async fn nobody_s_tick_is_lost_on_the_way_through_an_address() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut browser): (MemberId, Browser) = site.person("Amos Trout", Role::Member).await;
    planted(&mut browser, &amos.to_string(), "2026-06-04", "300").await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await;
    let shown = steward.hidden("before");
    let (planting, _) = shown.split_once(':').unwrap();
    // An address with the day alone keeps the day.
    let page = steward
        .opens(&format!("{PROPOSAL}?kept={planting}:2026-09-26"))
        .await;
    assert_eq!(page.body.matches(" checked").count(), 1, "{}", page.body);
    assert_eq!(steward.hidden("kept"), format!("{planting}:2026-09-26"));
}
