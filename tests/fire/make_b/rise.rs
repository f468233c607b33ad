//! How far above water a syrup boils, by printed tables and not by a formula of its activity; and
//! where water boils.

/// Brix of the rows below.
const ROWS: usize = 13;
/// A column of rises, °C, at these Brix.
type Column = [f64; ROWS];
const BRIX: Column = [
    0.0, 10.0, 20.0, 40.0, 60.0, 66.0, 70.0, 74.0, 76.0, 78.0, 80.0, 84.0, 88.0,
];

/// Pure sucrose after Starzak & Peacock, Zuckerindustrie 122 (1997), at 1013 hPa: only the measure K is
/// told in. The row of 84 is between the candy stages of 80 and 85 %, that of 88 below the one of 90 %.
const PURE: Column = [
    0.0, 0.17, 0.39, 1.15, 2.94, 4.0, 4.99, 6.33, 7.19, 8.22, 9.46, 12.8, 18.4,
];
/// Confectioners' table of about 1912 (50 % 102.0, 60 % 103.0, 70 % 106.5, 76 % 109.4, 78 % 110.6, 80 % 112.0 °C);
/// above 80 carried on along the candy stages (90 %: 121 to 130 °C).
const CONFECTIONERS: Column = [
    0.0, 0.4, 0.6, 1.5, 3.0, 4.8, 6.5, 8.4, 9.4, 10.6, 12.0, 15.4, 20.5,
];
/// Equation used for cane juice, 6.064e-5 (273+t)^2 B^2 / (374-t)^0.38 (5.84e-7 (B-40)^2 + 7.2e-4), constants from
/// memory, worked out at the liquor's own temperature.
const CANE: Column = [
    0.0, 0.12, 0.38, 1.16, 3.51, 5.02, 6.37, 8.06, 9.06, 10.18, 11.43, 14.33, 18.03,
];
/// Norrish with a quarter of the solids inverted (6.47 and 2.25, from memory); above 80 flattened, where the
/// form is known to run away.
const INVERTED: Column = [
    0.0, 0.21, 0.48, 1.40, 3.62, 4.96, 6.24, 7.99, 9.14, 10.54, 12.26, 16.3, 22.6,
];
/// Hugot's rule of thumb, 2 B / (100 - B), from memory.
const RULE: Column = [
    0.0, 0.22, 0.5, 1.33, 3.0, 3.88, 4.67, 5.69, 6.33, 7.09, 8.0, 10.5, 14.67,
];

/// A smooth line through the rows that never turns back (Fritsch and Carlson, SIAM J. Numer. Anal. 17, 1980).
#[derive(Debug, Clone)]
struct Line {
    y: Column,
    slope: Column,
}

impl Line {
    fn through(y: Column) -> Self {
        let steep = |i: usize| (y[i + 1] - y[i]) / (BRIX[i + 1] - BRIX[i]);
        let mut slope = [0.0; ROWS];
        slope[0] = steep(0);
        slope[ROWS - 1] = steep(ROWS - 2);
        for (i, slope) in slope.iter_mut().enumerate().take(ROWS - 1).skip(1) {
            let (before, after) = (steep(i - 1), steep(i));
            // The harmonic mean keeps the line from overshooting a row.
            *slope = 2.0 * before * after / (before + after);
        }
        Self { y, slope }
    }

    fn at(&self, brix: f64) -> f64 {
        let i = BRIX[1..ROWS - 1]
            .iter()
            .take_while(|row| **row <= brix)
            .count();
        let wide = BRIX[i + 1] - BRIX[i];
        let t = (brix - BRIX[i]) / wide;
        if t > 1.0 {
            return self.y[ROWS - 1] + self.slope[ROWS - 1] * (t - 1.0) * wide;
        }
        let (t2, t3) = (t * t, t * t * t);
        self.y[i] * (2.0 * t3 - 3.0 * t2 + 1.0)
            + self.slope[i] * wide * (t3 - 2.0 * t2 + t)
            + self.y[i + 1] * (3.0 * t2 - 2.0 * t3)
            + self.slope[i + 1] * wide * (t3 - t2)
    }
}

/// Rise of pure sucrose, °C, at this Brix (0 to 88) and pressure (800 to 1040 hPa).
pub fn pure_rise_c(brix: f64, hpa: f64) -> f64 {
    Line::through(PURE).at(brix) * thin_air(hpa)
}

/// A rise shrinks a little with the pressure: 8.22 °C at 1013 hPa, 8.08 at 900, 7.95 at 800 (78 °Bx).
fn thin_air(hpa: f64) -> f64 {
    1.0 - 1.54e-4 * (1013.25 - hpa)
}

/// The rise of one syrup: a mixture of the printed tables, stretched so that it meets K at the target.
#[derive(Debug, Clone)]
pub struct Rise {
    of_tables: [(f64, Line); 4],
}

impl Rise {
    /// `weights` of confectioners', cane, inverted and rule; `k` against pure sucrose at `target` °Bx.
    pub fn new(weights: [f64; 4], k: f64, target: f64) -> Self {
        let all: f64 = weights.iter().sum();
        let wanted = k * Line::through(PURE).at(target);
        let mut of_tables = [CONFECTIONERS, CANE, INVERTED, RULE].map(|c| (0.0, Line::through(c)));
        for ((share, line), weight) in of_tables.iter_mut().zip(weights) {
            // Each table by itself meets K at the target, so their mixture does too.
            *share = weight / all * wanted / line.at(target);
        }
        Self { of_tables }
    }

    /// °C above boiling water at this Brix and pressure (hPa).
    pub fn at(&self, brix: f64, hpa: f64) -> f64 {
        let sum: f64 = self
            .of_tables
            .iter()
            .map(|(share, line)| share * line.at(brix))
            .sum();
        sum * thin_air(hpa)
    }
}

/// Where water boils, °C, at this pressure, hPa: Antoine's equation (constants for 1 to 100 °C, mmHg, from memory).
pub fn water_boils_c(hpa: f64) -> f64 {
    let mm_hg = hpa * 0.750_062;
    1730.63 / (8.071_31 - mm_hg.log10()) - 233.426
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IAPWS-95, 85, 95, 100 and 104 kPa. Antoine's three constants miss by up to 0.04 °C there.
    #[test]
    fn water_boils_where_the_steam_tables_have_it() {
        for (hpa, wanted) in [
            (850.0, 95.1255),
            (950.0, 98.1784),
            (1000.0, 99.6059),
            (1040.0, 100.706),
        ] {
            let boils = water_boils_c(hpa);
            assert!(
                (boils - wanted).abs() < 0.05,
                "{hpa} hPa: {boils}, not {wanted}"
            );
        }
    }

    /// Maple's trade rule: 66 to 66.9 % of nearly pure sucrose boils 7.1 to 7.5 °F above water. The candy stages
    /// have 110 to 112 °C for 80 % and 112 to 116 for 85 %; Starzak & Peacock lie at the lower edge of the first.
    #[test]
    fn pure_sucrose_boils_where_sugar_makers_have_it() {
        let fahrenheit = pure_rise_c(66.0, 1013.25) * 1.8;
        assert!((6.8..7.6).contains(&fahrenheit), "66: {fahrenheit} °F");
        let fahrenheit = pure_rise_c(66.9, 1013.25) * 1.8;
        assert!((6.9..7.9).contains(&fahrenheit), "66.9: {fahrenheit} °F");
        let celsius = pure_rise_c(80.0, 1013.25) + 100.0;
        assert!((109.0..112.0).contains(&celsius), "80: {celsius}");
        let celsius = pure_rise_c(85.0, 1013.25) + 100.0;
        assert!((112.0..116.0).contains(&celsius), "85: {celsius}");
    }

    /// Cane, palmyra and date juice boiled in open pans: 105 °C at 54.6 and 121 at 81.9 %, 104 at 46 and 120 at 81,
    /// 103 at 51 and 121 at 81 (Rao, Das & Das, J. Food Eng. 90 (2009) 559, abstract): the rise grows 4 to 7-fold.
    #[test]
    fn the_rise_grows_in_a_pan_as_it_was_measured() {
        for (weights, name) in [
            ([1.0, 0.0, 0.0, 0.0], "confectioners"),
            ([0.0, 1.0, 0.0, 0.0], "cane"),
            ([0.0, 0.0, 1.0, 0.0], "inverted"),
        ] {
            let rise = Rise::new(weights, 1.3, 78.0);
            let grows = rise.at(81.5, 1013.25) / rise.at(50.5, 1013.25);
            assert!((4.0..7.1).contains(&grows), "{name}: {grows}-fold");
        }
    }

    #[test]
    fn k_is_met_at_the_target_and_the_shape_is_another() {
        for (k, target) in [(0.9, 78.0), (1.5, 78.0), (1.1, 77.0), (1.2, 80.0)] {
            for hpa in [900.0, 1013.25] {
                let rise = Rise::new([0.3, 0.2, 0.4, 0.1], k, target);
                let met = rise.at(target, hpa) / pure_rise_c(target, hpa);
                assert!((met - k).abs() < 1e-9, "K {met}, not {k}");
            }
        }
        let at_60 = |weights| Rise::new(weights, 1.0, 78.0).at(60.0, 1013.25) / 2.94;
        assert!(at_60([1.0, 0.0, 0.0, 0.0]) < 0.82);
        assert!(at_60([0.0, 0.0, 0.0, 1.0]) > 1.15);
    }

    #[test]
    fn the_rise_always_rises() {
        for weights in [
            [1.0, 0.0, 0.0, 0.0],
            [0.0, 1.0, 0.0, 0.0],
            [0.0, 0.0, 1.0, 0.0],
            [0.0, 0.0, 0.0, 1.0],
        ] {
            let rise = Rise::new(weights, 1.0, 78.0);
            let mut before = 0.0;
            for tenth in 1..950_u32 {
                let here = rise.at(f64::from(tenth) / 10.0, 1013.25);
                assert!(here > before, "{weights:?} at {tenth} tenths");
                before = here;
            }
        }
    }
}
