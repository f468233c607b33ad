//! What is kept names the tables that it is read from.

use crate::facts::boil::season_boils::{SEASONS, SeasonBoils};
use crate::facts::turns::room::{SETUPS, SeasonSetup};
use crate::facts::turns::turn_habit::{TAUGHT, Taught};
use crate::store;
use crate::store::explained::opened;
use crate::store::records::COVERED;
use crate::units::SeasonId;
use std::collections::BTreeSet;

#[tokio::test]
async fn what_is_kept_names_the_tables_that_it_is_read_from() {
    let folder = tempfile::tempdir().unwrap();
    let (_writer, reader) = store::open(&folder.path().join("a.db")).await.unwrap();
    let mut moment = reader.snapshot().await.unwrap();
    let season = SeasonId::new(uuid::Uuid::nil());
    let shelves = [
        // Who typed a juice in is written with the juice, or not at all; of the readings only a finished boil's count, which
        // takes no more.
        (
            SEASONS.named(&SeasonBoils::read_anew(season)),
            vec!["boil_readings", "typed_in"],
        ),
        // The metres of row that a turn was booked by stand for good once it has a ticket, and tickets are named.
        (
            TAUGHT.named(&Taught::read_anew(season)),
            vec!["turns", "typed_in"],
        ),
        (SETUPS.named(&SeasonSetup::read_anew(season)), vec![]),
    ];
    for ((tables, statements), beside) in shelves {
        assert!(tables.iter().all(|table| COVERED.contains(table)));
        let mut named: BTreeSet<String> = tables.iter().map(|t| (*t).to_owned()).collect();
        named.extend(beside.into_iter().map(str::to_owned));
        assert_eq!(opened(&mut moment, &statements).await, named);
    }
}
