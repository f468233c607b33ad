//! What a jar label must say, as data: name of the food, net contents in both systems, lot code,
//! place and press date. Draws nothing.
//!
//! General terms of United States labelling, not legal advice: local codes and the current official
//! text come first. Clauses are marked where they are known from memory only.

use super::panel::{Panel, TypeHeight};
use crate::calc::RuleRefusal;
use crate::units::{BrixAt20C, Grams, LotCode, PressDate};

/// Least dissolved solids of sorghum syrup, percent by mass: 21 CFR 168.160, from memory; its sister
/// for cane syrup, 168.130, was read and has the same figure.
pub const LEAST_SOLIDS: f64 = 74.0;

/// One avoirdupois ounce in billionths of a gram, exactly (NIST Handbook 44, Appendix C).
const OZ_NANOGRAMS: i64 = 28_349_523_125;
/// One gram in billionths.
const G_NANOGRAMS: i64 = 1_000_000_000;

/// The name of the food for syrup of such solids.
///
/// # Errors
/// Below 74 %: the name is kept for what meets the standard (21 CFR 168.160, from memory).
pub fn food_name(solids: BrixAt20C) -> Result<&'static str, RuleRefusal> {
    if solids.get() >= LEAST_SOLIDS {
        return Ok("Sorghum syrup");
    }
    Err(RuleRefusal::new(
        "too-thin-for-its-name",
        format!(
            "This boil is at {}. Under 21 CFR 168.160 sorghum syrup has at least 74 % dissolved \
             solids. Please boil it down further and measure again before labels are printed.",
            solids.show()
        ),
    ))
}

/// The net contents that a label declares. Neither figure is ever more than the jar holds, but for
/// the half gram by which a jar typed in ounces was rounded: [`NetContents::fill`] makes that good.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NetContents {
    tenths_oz: i64,
    metric: Grams,
    fill: Grams,
}

impl NetContents {
    /// What a jar of this many net grams declares: whole ounces when the grams are a whole ounce to
    /// the nearest gram, else tenths of an ounce cut off; grams cut off to three figures.
    ///
    /// Sources: 1 oz = 28.349523125 g exactly (NIST Handbook 44). No overstating and three figures
    /// at most: NIST Handbook 130, packaging and labeling regulation, from memory.
    ///
    /// # Errors
    /// Less than a tenth of an ounce.
    pub fn of(net: Grams) -> Result<Self, RuleRefusal> {
        let nanograms = net.get().saturating_mul(G_NANOGRAMS);
        let whole_oz = nanograms.saturating_add(G_NANOGRAMS / 2) / OZ_NANOGRAMS;
        let exact_g = |tenths: i64| tenths * (OZ_NANOGRAMS / 10) / G_NANOGRAMS;
        // A jar typed as 24 oz is kept as 680 g though 24 oz is 680.39 g: it is a 24 oz jar.
        let typed_as_ounces =
            (nanograms - whole_oz.saturating_mul(OZ_NANOGRAMS)).abs() <= G_NANOGRAMS / 2;
        let (tenths_oz, metric_g) = if typed_as_ounces {
            (whole_oz * 10, net.get().min(exact_g(whole_oz * 10)))
        } else {
            (nanograms / (OZ_NANOGRAMS / 10), net.get())
        };
        if tenths_oz <= 0 {
            return Err(RuleRefusal::new(
                "too-small-for-a-label",
                format!(
                    "A jar of {} g holds less than a tenth of an ounce. Please correct its weight, \
                     or print no label for it.",
                    net.get()
                ),
            ));
        }
        let least_oz = (tenths_oz * (OZ_NANOGRAMS / 10) + G_NANOGRAMS - 1) / G_NANOGRAMS;
        Ok(Self {
            tenths_oz,
            metric: Grams::new(three_figures_down(metric_g)),
            fill: Grams::new(least_oz.max(net.get())),
        })
    }

    /// Declared metric contents, cut off to three figures.
    pub const fn metric(self) -> Grams {
        self.metric
    }

    /// The least that a jar must hold for its label to be true: the average of the lot must reach
    /// the label (NIST Handbook 133).
    pub const fn fill(self) -> Grams {
        self.fill
    }

    /// In ounces, and from one pound to under four in pounds too; from four in pounds first
    /// (21 CFR 101.7(m), from memory): "Net Wt 24 oz (1 lb 8 oz)".
    pub fn customary_text(self) -> String {
        let ounces = |tenths: i64| match tenths % 10 {
            0 => format!("{} oz", tenths / 10),
            part => format!("{}.{part} oz", tenths / 10),
        };
        let pounds = |tenths: i64| match tenths % 160 {
            0 => format!("{} lb", tenths / 160),
            rest => format!("{} lb {}", tenths / 160, ounces(rest)),
        };
        match self.tenths_oz {
            0..160 => format!("Net Wt {}", ounces(self.tenths_oz)),
            160..640 => format!(
                "Net Wt {} ({})",
                ounces(self.tenths_oz),
                pounds(self.tenths_oz)
            ),
            _ => format!("Net Wt {}", pounds(self.tenths_oz)),
        }
    }

    /// "680 g", "1.24 kg": a number from 1 to under 1000 (NIST Handbook 130, from memory).
    pub fn metric_text(self) -> String {
        let grams = self.metric.get();
        if grams < 1000 {
            return format!("{grams} g");
        }
        let text = format!("{}.{:03}", grams / 1000, grams % 1000);
        format!("{} kg", text.trim_end_matches('0').trim_end_matches('.'))
    }

    /// Both systems, as printed: "Net Wt 24 oz (1 lb 8 oz) 680 g".
    pub fn text(self) -> String {
        format!("{} {}", self.customary_text(), self.metric_text())
    }
}

/// Cuts a number above zero off after its first three figures.
fn three_figures_down(grams: i64) -> i64 {
    let mut unit = 1;
    while grams / unit >= 1000 {
        unit *= 10;
    }
    grams / unit * unit
}

/// A jar's label, complete.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JarLabel {
    /// Name of the food (21 CFR 101.3, from memory).
    pub food: &'static str,
    /// Net contents (21 CFR 101.7).
    pub net: NetContents,
    /// On every container: readable without the QR code.
    pub lot: LotCode,
    /// Who packed it and where: name, city, state, postal code (21 CFR 101.5, from memory).
    pub packer: String,
    /// When the cane was pressed.
    pub pressed: PressDate,
    /// Height of the letters of the net contents.
    pub type_height: TypeHeight,
}

impl JarLabel {
    /// A label for one size of jar of a lot. `packer` is the co-op's name and place.
    ///
    /// # Errors
    /// All that is missing, together: syrup too thin for its name, a jar too small, no name and
    /// place, a panel without size.
    pub fn new(
        solids: BrixAt20C,
        net: Grams,
        lot: LotCode,
        packer: &str,
        pressed: PressDate,
        panel: Panel,
    ) -> Result<Self, Vec<RuleRefusal>> {
        let packer = packer.trim();
        let named = (!packer.is_empty()).then_some(packer).ok_or_else(|| {
            RuleRefusal::new(
                "no-packer",
                "A label names who packed the jar and where. Please write the co-op's name and \
                 place in the settings first.",
            )
        });
        match (
            food_name(solids),
            NetContents::of(net),
            named,
            panel.type_height(),
        ) {
            (Ok(food), Ok(net), Ok(packer), Ok(type_height)) => Ok(Self {
                food,
                net,
                lot,
                packer: packer.to_owned(),
                pressed,
                type_height,
            }),
            (food, net, named, height) => {
                let refusal = [food.err(), net.err(), named.err(), height.err()];
                Err(refusal.into_iter().flatten().collect())
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_metric_jar_declares_tenths_of_an_ounce_cut_off() {
        let net = NetContents::of(Grams::new(500)).unwrap();
        // 500 g = 17.637 oz.
        assert_eq!(net.text(), "Net Wt 17.6 oz (1 lb 1.6 oz) 500 g");
        assert_eq!(net.fill(), Grams::new(500));
        assert_eq!(
            NetContents::of(Grams::new(2275)).unwrap().text(),
            "Net Wt 5 lb 0.2 oz 2.27 kg"
        );
        assert_eq!(
            NetContents::of(Grams::new(2)).unwrap_err().code,
            "too-small-for-a-label"
        );
        assert_eq!(
            NetContents::of(Grams::new(-680)).unwrap_err().code,
            "too-small-for-a-label"
        );
    }

    #[test]
    fn a_jar_typed_in_ounces_must_be_filled_to_its_ounces() {
        // 24 oz = 680.39 g.
        let net = NetContents::of(Grams::new(680)).unwrap();
        assert_eq!(net.text(), "Net Wt 24 oz (1 lb 8 oz) 680 g");
        assert_eq!(net.fill(), Grams::new(681));
    }

    #[test]
    fn a_label_says_all_that_it_misses_at_once() {
        let label = |solids: f64, packer: &str| {
            JarLabel::new(
                BrixAt20C::new(solids).unwrap(),
                Grams::new(680),
                LotCode::nth(2026, 7).unwrap(),
                packer,
                PressDate::parse("2026-09-19").unwrap(),
                Panel::Round {
                    height_mm: 100.0,
                    diameter_mm: 76.0,
                },
            )
        };
        let printed = label(78.0, " Cane Creek Mill, Cookeville, TN 38501 ").unwrap();
        assert_eq!(printed.packer, "Cane Creek Mill, Cookeville, TN 38501");
        assert_eq!(printed.type_height, TypeHeight::Eighth);
        let missing = label(73.9, "  ").unwrap_err();
        let codes: Vec<&str> = missing.iter().map(|u| u.code).collect();
        assert_eq!(codes, ["too-thin-for-its-name", "no-packer"]);
        assert!(label(74.0, "Mill").is_ok());
    }

    proptest! {
        #[test]
        fn prop_a_label_never_promises_more_than_its_fill(net in 3_i64..40_000) {
            let declared = NetContents::of(Grams::new(net)).unwrap();
            let fill = declared.fill().as_f64();
            #[expect(clippy::cast_precision_loss, reason = "a few thousand tenths of an ounce")]
            let ounces_g = declared.tenths_oz as f64 * 2.834_952_312_5;
            prop_assert!(ounces_g <= fill);
            prop_assert!(declared.metric() <= Grams::new(net));
            // Nor less than it could by more than a tenth of an ounce, or one of three figures.
            prop_assert!(fill - ounces_g < 2.835 + 1.0);
            prop_assert!(declared.metric().as_f64() > fill * 0.99 - 1.0);
            prop_assert!((0..=1).contains(&(declared.fill().get() - net)));
        }
    }
}
