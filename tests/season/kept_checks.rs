//! What is kept from page to page is what would be read anew.

use canewright::facts::boil::season_boils::SeasonBoils;
use canewright::facts::turns::turn_habit::Taught;
use canewright::store::marks::mark;
use canewright::store::{Conn, Together};
use canewright::units::SeasonId;
use std::collections::BTreeMap;

/// Looks over all that is kept of a season.
pub async fn all(moment: &mut Conn, season: SeasonId, here: &str) {
    let mark = mark().ask(moment).await.unwrap();
    assert!(mark.is_some(), "{here}: no moment is known");
    let kept = (
        SeasonBoils::of(mark.as_ref(), season),
        Taught::by(mark.as_ref(), season),
    );
    let (boils, taught) = kept.together().ask(moment).await.unwrap();
    let anew = (SeasonBoils::of(None, season), Taught::by(None, season));
    let (boils_anew, taught_anew) = anew.together().ask(moment).await.unwrap();
    assert_eq!(
        told(&boils),
        told(&boils_anew),
        "{here}: the season's boils"
    );
    assert_eq!(
        format!("{taught:?}"),
        format!("{taught_anew:?}"),
        "{here}: what turns taught"
    );
}

/// All that is told of a season's boils, in a fixed order.
fn told(boils: &SeasonBoils) -> String {
    let poured: BTreeMap<_, _> = boils.poured.iter().collect();
    let water = boils.boils.iter().map(|boil| boils.water_of(boil));
    let water: Vec<_> = water.collect();
    let all = (&boils.boils, &boils.juices, &boils.pans, &boils.habit);
    format!("{all:?} {poured:?} {water:?}")
}
