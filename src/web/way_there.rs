//! What to bring to the mill, how to get there, and whom to call, as text ready to print.

use super::paths;
use crate::store::people::coop::Coop;

/// The usual, where the stewards wrote nothing.
const BRING: &str = "Leaves stripped, heads off, cane laid out and not piled; jars washed.";

/// What a member needs to know before coming.
#[derive(Default)]
pub(super) struct WayThere {
    /// Whether it is shown: a turn is to come.
    pub(super) shown: bool,
    /// What to bring; empty: no turn is to come.
    pub(super) bring: String,
    pub(super) place: String,
    /// What the stewards wrote of the way; empty: nothing.
    pub(super) way: String,
    /// Opens a map; empty: nobody wrote where the mill lies.
    pub(super) geo: String,
    /// Whom to call; empty: nobody is named.
    pub(super) phone: String,
    pub(super) dials: String,
}

impl WayThere {
    /// All of it for whoever has a turn to come; otherwise where the mill is and whom to call there.
    pub(super) fn of_mill(coop: &Coop, to_come: bool) -> Self {
        let all = Self::of_turn(coop, true);
        if to_come {
            return all;
        }
        Self {
            bring: String::new(),
            ..all
        }
    }

    /// What whoever has a turn to come needs to know; empty otherwise.
    pub(super) fn of_turn(coop: &Coop, to_come: bool) -> Self {
        if !to_come {
            return Self::default();
        }
        Self {
            shown: true,
            bring: if coop.bring.is_empty() {
                BRING.to_owned()
            } else {
                coop.bring.clone()
            },
            place: coop.place.clone(),
            way: coop.way.clone(),
            geo: coop.lies_at.map_or_else(String::new, geo),
            phone: coop.contact_phone.clone(),
            dials: paths::dials_written(&coop.contact_phone),
        }
    }

    #[cfg(test)]
    pub(super) fn sample() -> Self {
        Self {
            shown: true,
            bring: "Jars & <lids>".to_owned(),
            place: "Tolliver Gap, TN 37999".to_owned(),
            way: "Up the creek, past <b>the church</b>.".to_owned(),
            geo: geo((35.874_1, -83.561_2)),
            phone: "615 555 0100".to_owned(),
            dials: "tel:6155550100".to_owned(),
        }
    }
}

/// The address that opens a map at a place (RFC 5870, section 3.3): degrees north and east, WGS 84.
fn geo((north, east): (f64, f64)) -> String {
    format!("geo:{north},{east}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_written_as_the_standard_writes_it() {
        // The example of RFC 5870, section 1, is geo:13.4125,103.8667.
        assert_eq!(geo((13.412_5, 103.866_7)), "geo:13.4125,103.8667");
        assert_eq!(geo((-33.0, -70.5)), "geo:-33,-70.5");
    }
}
