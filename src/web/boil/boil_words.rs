//! Words that several pages of boils share.

use crate::units::Units;

/// A figure with the words that stand before it.
pub(super) type Fact = (&'static str, String);

/// "24 quarts", "1 half-pint"; a size that is called otherwise keeps its name: "3 × 12 oz".
pub(in crate::web) fn count_words(count: i64, size: &str) -> String {
    const COUNTED: [&str; 8] = [
        "jar", "quart", "pint", "gallon", "jug", "bottle", "litre", "liter",
    ];
    let last = size.rsplit([' ', '-']).next().unwrap_or(size);
    if !COUNTED.contains(&last.to_lowercase().as_str()) {
        format!("{count} × {size}")
    } else if count == 1 {
        format!("{count} {size}")
    } else {
        format!("{count} {size}s")
    }
}

/// One word or another, by the units that a person reads in.
pub(super) fn in_words(units: Units, us: &'static str, metric: &'static str) -> &'static str {
    match units {
        Units::Us => us,
        Units::Metric => metric,
    }
}

/// The degrees that a person reads in.
pub(super) fn degrees(units: Units) -> &'static str {
    in_words(units, "°F", "°C")
}
