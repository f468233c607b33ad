//! What a season's turns have taught: cane for each metre of row, juice for each 100 of cane, its
//! Brix, and minutes the mill takes for 100 kg; each with from how many turns and how spread. Never
//! from a figure that cannot be true, and never about a person.

use crate::calc::cane::learned::{Learned, learn};
use crate::units::{Grams, Units, UtcSecond, fixed};

/// Turns before a learned figure is used instead of the rules' (our own choice: with eight the
/// median of figures spread by a third is good to about an eighth).
pub const TURNS_LEAST: u32 = 8;
/// Kilograms of cane of a metre of row that are believed.
const ROW_SOUND: (f64, f64) = (0.2, 20.0);
/// Juice for each 100 of cane that is believed.
const JUICE_SOUND: (f64, f64) = (10.0, 70.0);
/// Brix of juice that is believed.
const BRIX_SOUND: (f64, f64) = (4.0, 30.0);
/// Minutes for 100 kg that are believed.
const PACE_SOUND: (f64, f64) = (0.5, 240.0);

/// One ticket, with what can be learned from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pressed {
    /// Its press day: any number, the same for the same day.
    pub day: usize,
    /// The length of row, m, that the turn was booked by, if it was.
    pub row_m: Option<f64>,
    /// Net cane.
    pub cane: Grams,
    /// All juice and the dissolved solids in it, once measured.
    pub juice: Option<(Grams, Grams)>,
    /// When its first load was on the scale.
    pub weighed: UtcSecond,
    /// When the last of its juice was pressed, once it was.
    pub pressed: Option<UtcSecond>,
}

/// What the tickets of a season teach.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TurnHabit {
    /// Cane of a metre of row, kg.
    pub row_kg_per_m: Option<Learned>,
    /// Juice for each 100 of cane, by mass.
    pub juice_pct: Option<Learned>,
    /// Brix of the juice at 20 °C.
    pub brix: Option<Learned>,
    /// Minutes from one ticket's juice to the next for 100 kg of cane, change-over and all.
    pub min_per_100kg: Option<Learned>,
}

fn sound(figure: f64, (least, most): (f64, f64)) -> Option<f64> {
    (least..=most).contains(&figure).then_some(figure)
}

impl TurnHabit {
    /// Works out what these tickets teach.
    pub fn of(tickets: &[Pressed]) -> Self {
        let each = |figure: &dyn Fn(&Pressed) -> Option<f64>| {
            let seen: Vec<f64> = tickets
                .iter()
                .filter(|t| t.cane > Grams::ZERO)
                .filter_map(figure)
                .collect();
            learn(&seen)
        };
        Self {
            row_kg_per_m: each(&|t| sound(t.cane.kg() / t.row_m?, ROW_SOUND)),
            juice_pct: each(&|t| sound(100.0 * t.juice?.0.as_f64() / t.cane.as_f64(), JUICE_SOUND)),
            brix: each(&|t| {
                let (mass, solids) = t.juice?;
                sound(100.0 * solids.as_f64() / mass.as_f64(), BRIX_SOUND)
            }),
            min_per_100kg: learn(&paces(tickets)),
        }
    }

    /// Whether every figure is from enough turns, so that the last season's are not asked.
    pub fn has_enough_turns(&self) -> bool {
        let all = [
            self.row_kg_per_m,
            self.juice_pct,
            self.brix,
            self.min_per_100kg,
        ];
        all.into_iter().all(|figure| enough(figure).is_some())
    }

    /// Each figure of this season where it is from enough turns, else the last season's.
    pub fn or_of(self, last: Self) -> Self {
        let pick = |own: Option<Learned>, last: Option<Learned>| {
            if enough(own).is_some() || enough(last).is_none() {
                own
            } else {
                last
            }
        };
        Self {
            row_kg_per_m: pick(self.row_kg_per_m, last.row_kg_per_m),
            juice_pct: pick(self.juice_pct, last.juice_pct),
            brix: pick(self.brix, last.brix),
            min_per_100kg: pick(self.min_per_100kg, last.min_per_100kg),
        }
    }
}

/// A learned figure, if it is from enough turns to be used.
pub fn enough(learned: Option<Learned>) -> Option<Learned> {
    learned.filter(|l| l.boils >= TURNS_LEAST)
}

/// The figure to reckon with: learned from enough turns, else the rules'.
pub fn figure(learned: Option<Learned>, rules: f64) -> f64 {
    enough(learned).map_or(rules, |l| l.middle)
}

/// "learned from 14 turns, mostly 1.21 to 1.61": what a figure is from; `show` writes the ends of its
/// spread, within which two of three lie if they are normal. The ends are left out when they are one.
pub fn from_words(learned: Learned, show: impl Fn(f64) -> String) -> String {
    let (low, high) = (
        show((learned.middle - learned.spread).max(0.0)),
        show(learned.middle + learned.spread),
    );
    let turns = format!("learned from {} turns", learned.boils);
    if low == high {
        turns
    } else {
        format!("{turns}, mostly {low} to {high}")
    }
}

/// The pace as cane for an hour: "about 310 lb an hour, change-over included (learned from 12 turns,
/// mostly 280 to 350)"; nothing from too few turns.
pub fn pace_words(min_per_100kg: Option<Learned>, units: Units) -> Option<String> {
    let pace = enough(min_per_100kg)?;
    let hourly = |minutes: f64| {
        let cane = Grams::nearest(6_000_000.0 / minutes);
        match units {
            Units::Us => fixed(cane.lb(), 0, units),
            Units::Metric => fixed(cane.kg(), 0, units),
        }
    };
    let unit = match units {
        Units::Us => "lb",
        Units::Metric => "kg",
    };
    let (fast, slow) = (
        (pace.middle - pace.spread).max(PACE_SOUND.0),
        pace.middle + pace.spread,
    );
    let mostly = if hourly(fast) == hourly(slow) {
        String::new()
    } else {
        format!(", mostly {} to {}", hourly(slow), hourly(fast))
    };
    Some(format!(
        "about {} {unit} an hour, change-over included (learned from {} turns{mostly})",
        hourly(pace.middle),
        pace.boils
    ))
}

/// Minutes for 100 kg, from one ticket's juice to the next on the same day. Only where the next cane
/// was weighed in before the one before it was done: else the mill stood waiting, and the gap says
/// nothing of it.
fn paces(tickets: &[Pressed]) -> Vec<f64> {
    let mut done: Vec<(&Pressed, UtcSecond)> = tickets
        .iter()
        .filter_map(|t| Some((t, t.pressed?)))
        .collect();
    done.sort_by_key(|(t, pressed)| (t.day, *pressed));
    done.windows(2)
        .filter_map(|pair| {
            let [(before, ended), (after, pressed)] = pair else {
                return None;
            };
            if before.day != after.day || after.weighed > *ended {
                return None;
            }
            let seconds = Grams::new(pressed.get() - ended.get()).as_f64();
            sound(seconds / 60.0 * 100.0 / after.cane.kg(), PACE_SOUND)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ticket(day: usize, kg: i64, weighed_min: i64, pressed_min: i64) -> Pressed {
        Pressed {
            day,
            row_m: Some(90.0),
            cane: Grams::new(kg * 1000),
            juice: Some((Grams::new(kg * 450), Grams::new(kg * 72))),
            weighed: UtcSecond::new(weighed_min * 60),
            pressed: Some(UtcSecond::new(pressed_min * 60)),
        }
    }

    #[test]
    fn turns_teach_row_juice_brix_and_pace_with_their_spread() {
        let tickets: Vec<Pressed> = (0..9)
            .map(|n| ticket(0, 180 + 9 * (n % 3), 400 + 40 * n, 460 + 54 * n))
            .collect();
        let habit = TurnHabit::of(&tickets);
        let row = habit.row_kg_per_m.unwrap();
        // 180, 189 and 198 kg off 90 m: 2.0, 2.1 and 2.2.
        assert!((row.middle - 2.1).abs() < 1e-9 && row.boils == 9);
        assert!((row.spread - 0.148_26).abs() < 1e-6, "{row:?}");
        assert!((habit.juice_pct.unwrap().middle - 45.0).abs() < 1e-9);
        assert!((habit.brix.unwrap().middle - 16.0).abs() < 1e-9);
        // Eight gaps of 54 minutes, for 189 kg in the middle.
        let pace = habit.min_per_100kg.unwrap();
        assert!(
            pace.boils == 8 && (pace.middle - 54.0 / 1.89).abs() < 0.8,
            "{pace:?}"
        );
        assert!((figure(habit.row_kg_per_m, 4.5) - 2.1).abs() < 1e-9);
        let few = TurnHabit::of(&tickets[..7]);
        assert!((figure(few.row_kg_per_m, 4.5) - 4.5).abs() < 1e-9);
    }

    #[test]
    fn what_a_figure_is_from_is_said_with_its_spread() {
        let learned = |middle, spread| Learned {
            middle,
            boils: 14,
            spread,
        };
        let show = |f: f64| format!("{f:.2}");
        assert_eq!(
            from_words(learned(1.41, 0.2), show),
            "learned from 14 turns, mostly 1.21 to 1.61"
        );
        // The range never goes below zero, and a spread too small to be seen is not shown.
        assert_eq!(
            from_words(learned(1.0, 1.5), show),
            "learned from 14 turns, mostly 0.00 to 2.50"
        );
        assert_eq!(
            from_words(learned(1.41, 0.001), show),
            "learned from 14 turns"
        );
    }

    #[test]
    fn the_pace_is_said_as_cane_for_an_hour() {
        // 54.4 kg in 20 minutes: 163.2 kg or 359.8 lb an hour, 36.76 minutes for 100 kg.
        let pace = |boils, spread| {
            Some(Learned {
                middle: 20.0 / 0.544,
                boils,
                spread,
            })
        };
        assert_eq!(
            pace_words(pace(9, 0.0), Units::Us).unwrap(),
            "about 360 lb an hour, change-over included (learned from 9 turns)"
        );
        // 40.76 and 32.76 minutes: 147 and 183 kg an hour.
        assert_eq!(
            pace_words(pace(9, 4.0), Units::Metric).unwrap(),
            "about 163 kg an hour, change-over included (learned from 9 turns, mostly 147 to 183)"
        );
        assert_eq!(pace_words(pace(7, 0.0), Units::Us), None);
        assert_eq!(pace_words(None, Units::Us), None);
    }

    #[test]
    fn a_mill_that_stood_waiting_teaches_no_pace_nor_does_the_night_between_days() {
        let waited = [ticket(0, 180, 400, 460), ticket(0, 180, 500, 560)];
        assert_eq!(TurnHabit::of(&waited).min_per_100kg, None);
        let night = [ticket(0, 180, 400, 460), ticket(1, 180, 450, 520)];
        assert_eq!(TurnHabit::of(&night).min_per_100kg, None);
    }

    #[test]
    fn what_cannot_be_true_teaches_nothing() {
        let mut odd = ticket(0, 180, 400, 460);
        odd.row_m = Some(1.0);
        odd.juice = Some((Grams::new(170_000), Grams::new(1)));
        let habit = TurnHabit::of(&[odd]);
        assert_eq!(
            (habit.row_kg_per_m, habit.juice_pct, habit.brix),
            (None, None, None)
        );
        assert_eq!(TurnHabit::of(&[]), TurnHabit::default());
    }

    #[test]
    fn a_new_season_starts_from_the_last_until_it_has_turns_enough() {
        let many = |kg| TurnHabit::of(&vec![ticket(0, kg, 400, 460); 8]);
        let few = TurnHabit::of(&[ticket(0, 90, 400, 460)]);
        let middle = |habit: TurnHabit| habit.row_kg_per_m.unwrap().middle;
        assert!((middle(few.or_of(many(180))) - 2.0).abs() < 1e-9);
        assert!((middle(many(270).or_of(many(180))) - 3.0).abs() < 1e-9);
        assert!((middle(few.or_of(TurnHabit::default())) - 1.0).abs() < 1e-9);
        // A pace takes one turn more than the rest: a gap is between two.
        let days: Vec<Pressed> = (0..9)
            .map(|n| ticket(0, 180, 400 + 40 * n, 460 + 54 * n))
            .collect();
        assert!(
            TurnHabit::of(&days).has_enough_turns()
                && !TurnHabit::of(&days[..8]).has_enough_turns()
        );
    }
}
