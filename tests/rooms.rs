//! Press days filled turn by turn as members book them, written for a simulation of the same mills by
//! another program: no vessel may overflow, and no juice be held longer than was said.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use canewright::calc::boil::pan::Settings;
use canewright::calc::physics::energy::Fuel;
use canewright::calc::turns::day_room::{AfterMill, DayWithTurns, Setup, TurnHeld, TurnWanted};
use canewright::calc::turns::starts::{Asker, Day};
use canewright::units::{
    Grams, Millilitres, MinuteOfDay, Minutes, PressDate, SquareMetres, Units, UtcSecond, Zone,
};
use serde_json::{Value, json};

/// Days written.
const DAYS: u64 = 240;
/// Members who ask for a turn on each.
const ASK: usize = 18;

/// Numbers that are the same in every run (`SplitMix64`; G. Steele, D. Lea and C. Flood, 2014).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) >> 33
    }

    /// From one to another, both among them.
    fn between(&mut self, least: i64, most: i64) -> i64 {
        least + i64::try_from(self.next()).unwrap() % (most - least + 1)
    }

    fn one_of<T: Copy>(&mut self, many: &[T]) -> T {
        many[usize::try_from(self.next()).unwrap() % many.len()]
    }
}

/// Settings of a mill, in whole litres, kilograms and minutes.
struct Mill {
    pans: Vec<(i64, i64, i64)>,
    vessels: Vec<i64>,
    hold: i64,
    presses_kg_h: i64,
    changeover: i64,
    juice_pct: i64,
}

impl Mill {
    /// One pan mostly, of 1.5 to 3.5 m²; three to ten vessels.
    fn any(numbers: &mut Numbers) -> Self {
        let pans = (0..numbers.one_of(&[1, 1, 1, 2]))
            .map(|_| {
                let most = numbers.between(150, 450);
                // Litres of water an hour.
                (most * 2 / 5, most, numbers.between(80, 280))
            })
            .collect();
        let vessels = (0..numbers.between(3, 10))
            .map(|_| numbers.one_of(&[60, 100, 120, 208, 300, 400]))
            .collect();
        Self {
            pans,
            vessels,
            hold: numbers.one_of(&[240, 300, 360]),
            presses_kg_h: numbers.between(250, 900),
            changeover: numbers.one_of(&[5, 10, 15]),
            juice_pct: numbers.between(40, 50),
        }
    }

    fn boiling(&self) -> AfterMill {
        let pans: Vec<Settings> = self.pans.iter().map(pan).collect();
        let litres = |litres: &i64| Millilitres::new(litres * 1000);
        AfterMill::new(&Setup {
            juice_pct: self.juice_pct.to_string().parse().unwrap(),
            juice_turns: 0,
            floor_bx: 12.0,
            target_bx: 78.0,
            hold: Minutes::new(self.hold),
            pans: &pans,
            vessels: &self.vessels.iter().map(litres).collect::<Vec<_>>(),
        })
        .unwrap()
    }

    /// For the other program.
    fn written(&self) -> Value {
        let pan = |(least, most, water): &(i64, i64, i64)| json!({"least_l": least, "most_l": most, "water_l_h": water});
        json!({
            "pans": self.pans.iter().map(pan).collect::<Vec<_>>(),
            "vessels_l": self.vessels,
            "hold_min": self.hold,
            "settles_min": 120.min(self.hold / 2),
            "round_min": 60,
            "mill_kg_h": self.presses_kg_h,
            "juice_pct": self.juice_pct,
            "floor_bx": 12,
            "target_bx": 78,
        })
    }

    fn day(&self) -> Day {
        let zone = Zone::parse("America/Chicago").unwrap();
        Day {
            clock: zone.clock(PressDate::parse("2026-09-19").unwrap()),
            opens: MinuteOfDay::new(420).unwrap(),
            closes: MinuteOfDay::new(1020).unwrap(),
            closed: false,
            mill_per_h: Grams::new(self.presses_kg_h * 1000),
            changeover: Minutes::new(self.changeover),
        }
    }
}

fn pan((least, most, water_l_h): &(i64, i64, i64)) -> Settings {
    Settings {
        area: SquareMetres::new(2.0).unwrap(),
        least: Millilitres::new(least * 1000),
        most: Millilitres::new(most * 1000),
        rate_l_m2_h: Millilitres::new(water_l_h * 1000).litres() / 2.0,
        fuel: Fuel::Wood,
        efficiency_pct: 40.0,
    }
}

fn turn(held: &TurnHeld) -> Value {
    json!({
        "start_min": held.span.start.get(),
        "minutes": held.span.minutes.get(),
        "cane_kg": held.cane.kg(),
        "pools": held.pools,
    })
}

/// Members ask one after the other, most for any start, some for the first free one; who finds none
/// goes without. The last of them at a start that the mill has, and the juice not, is written too.
fn filled(numbers: &mut Numbers) -> Value {
    let mill = Mill::any(numbers);
    let (day, boiling) = (mill.day(), mill.boiling());
    let anybody = Asker {
        at: UtcSecond::new(0),
        crew: false,
    };
    let mut held: Vec<TurnHeld> = Vec::new();
    let mut refused = Value::Null;
    for _ in 0..ASK {
        let cane = Grams::new(numbers.between(60, 600) * 1000);
        let wanted = TurnWanted {
            minutes: day.minutes_for(cane, Units::Metric).unwrap(),
            cane,
            pools: numbers.between(1, 8) > 1,
        };
        let first = numbers.between(1, 3) == 1;
        let rooms = DayWithTurns {
            day,
            boiling: &boiling,
            held: &held,
            line: &[],
            stands: &[],
        };
        let spans: Vec<_> = held.iter().map(|turn| turn.span).collect();
        let at_mill = day.free_starts(&spans, wanted.minutes, anybody);
        if at_mill.is_empty() {
            continue;
        }
        let asks = numbers.one_of(&at_mill);
        let placed = match rooms.place(wanted, asks, anybody) {
            Err(refusal) => {
                refused = json!({
                    "start_min": asks.get(), "minutes": wanted.minutes.get(), "cane_kg": cane.kg(),
                    "pools": wanted.pools, "code": refusal.code, "said": refusal.sentence,
                    "beside": held.iter().map(turn).collect::<Vec<_>>(),
                });
                None
            }
            Ok(span) if !first => Some(span),
            Ok(_) => None,
        };
        let start = placed.map(|span| span.start);
        let start = start.or_else(|| rooms.free(wanted, anybody).starts.first().copied());
        if let Some(start) = start {
            let span = rooms.place(wanted, start, anybody).unwrap();
            held.push(TurnHeld {
                span,
                cane,
                pools: wanted.pools,
            });
        }
    }
    held.sort_by_key(|turn| turn.span.start);
    let mut written = mill.written();
    written["turns"] = held.iter().map(turn).collect();
    written["refused"] = refused;
    written
}

#[test]
fn days_as_they_are_booked_are_written_for_another_program() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("rooms");
    std::fs::create_dir_all(&folder).unwrap();
    let mut numbers = Numbers(2026);
    let days: Vec<Value> = (0..DAYS).map(|_| filled(&mut numbers)).collect();
    let turns: usize = days
        .iter()
        .map(|d| d["turns"].as_array().unwrap().len())
        .sum();
    let refused = days.iter().filter(|day| !day["refused"].is_null()).count();
    // Days of a turn or none, or days on which everything finds room, would say nothing.
    assert!(turns > 1200, "{turns}");
    assert!(refused > 100, "{refused}");
    let text = serde_json::to_string_pretty(&days).unwrap();
    std::fs::write(folder.join("days.json"), text).unwrap();
}
