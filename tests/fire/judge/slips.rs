//! Figures typed wrongly: digits swapped, one digit wrong, a ten too many or too few, °F for °C.

use crate::fire::make_a::dice::Dice;

/// Whether a temperature was read off a scale in °F (its marks are at halves of a degree, °C).
#[must_use]
pub fn in_fahrenheit(celsius: f64) -> bool {
    let at_mark = |x: f64| (x * 2.0 - (x * 2.0).round()).abs() < 1e-6;
    at_mark(celsius * 1.8 + 32.0) && !at_mark(celsius)
}

/// `shown` (0 to 999.9) as typed with a slip in its digits; never `shown` itself.
fn wrong_digits(shown: f64, dice: &mut Dice) -> f64 {
    let text = format!("{shown:.1}");
    for _ in 0..20 {
        let mut digits: Vec<char> = text.chars().collect();
        let places: Vec<usize> = (0..digits.len()).filter(|&i| digits[i] != '.').collect();
        // Nobody types a tenth that the scale does not have.
        let used = if text.ends_with(".0") {
            places.len() - 1
        } else {
            places.len()
        };
        match dice.one_of(3) {
            0 if used > 1 => {
                let i = dice.one_of(used - 1);
                digits.swap(places[i], places[i + 1]);
            }
            1 => {
                let digit = u32::try_from(dice.one_of(10)).unwrap_or(0);
                digits[places[dice.one_of(used)]] = char::from_digit(digit, 10).unwrap_or('0');
            }
            _ => {
                let ten = if dice.chance(0.5) { 10.0 } else { -10.0 };
                return (shown + ten).max(0.0);
            }
        }
        let typed: f64 = digits.iter().collect::<String>().parse().unwrap_or(shown);
        if (typed - shown).abs() > 0.05 {
            return typed;
        }
    }
    shown + 10.0
}

/// A temperature as typed with a slip, °C.
pub fn temperature(celsius: f64, dice: &mut Dice) -> f64 {
    let fahrenheit = in_fahrenheit(celsius);
    if dice.chance(0.15) {
        // The figure of one scale typed where the other is asked for.
        return if fahrenheit {
            celsius * 1.8 + 32.0
        } else {
            (celsius - 32.0) / 1.8
        };
    }
    if fahrenheit {
        (wrong_digits(celsius * 1.8 + 32.0, dice) - 32.0) / 1.8
    } else {
        wrong_digits(celsius, dice)
    }
}

/// A Brix as typed with a slip, °Bx.
pub fn brix(shown: f64, dice: &mut Dice) -> f64 {
    wrong_digits(shown, dice)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_is_never_the_figure_itself() {
        let mut dice = Dice::new(4, 4);
        for i in 0..2000 {
            let celsius = if i % 2 == 0 {
                108.5
            } else {
                (226.0 - 32.0) / 1.8
            };
            let typed = temperature(celsius, &mut dice);
            assert!((typed - celsius).abs() > 0.02, "{celsius} typed as {typed}");
            assert!((brix(77.5, &mut dice) - 77.5).abs() > 0.05);
        }
    }

    #[test]
    fn the_scale_is_told_from_the_marks() {
        assert!(in_fahrenheit((226.0 - 32.0) / 1.8));
        assert!(in_fahrenheit((226.5 - 32.0) / 1.8));
        assert!(!in_fahrenheit(108.5));
    }
}
