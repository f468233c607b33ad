//! What stands in the demo's fields: varieties as their growers call them, invented like the growers.

use super::maker::Demo;
use crate::actions::Done;
use crate::actions::season::plantings::{self, NewPlanting};
use crate::units::{Metres, PressDate, Units};

/// Plantings: the member (place among the people), variety, date, feet of row, days to maturity.
#[rustfmt::skip] // one line a planting
const FIELDS: [(usize, &str, &str, &str, i64); 16] = [
    (3, "Aunt Sal’s sweet", "2026-05-28", "420", 105),
    (4, "red tall", "2026-06-06", "400", 118),
    (5, "Aunt Sal’s sweet", "2026-05-25", "200", 105),
    (5, "late honey", "2026-06-12", "220", 120),
    (6, "honey, the short one", "2026-05-29", "430", 110),
    (7, "creek bottom red", "2026-05-27", "260", 110),
    (9, "honey", "2026-06-01", "300", 110),
    (10, "honey", "2026-05-30", "450", 110),
    (11, "red tall", "2026-06-09", "430", 118),
    (12, "late honey", "2026-06-14", "310", 118),
    (13, "late honey", "2026-06-20", "270", 118),
    (14, "Aunt Sal’s sweet", "2026-05-31", "390", 105),
    (15, "honey", "2026-06-10", "280", 115),
    (16, "creek bottom red", "2026-06-02", "240", 110),
    (18, "late honey", "2026-06-22", "380", 118),
    (22, "late honey", "2026-06-24", "300", 118),
];

impl Demo {
    /// Notes what everybody has planted, when the season is opened.
    pub(super) async fn fields(&self) -> Done<()> {
        for (whose, variety, planted, row, maturity_days) in FIELDS {
            let new = NewPlanting {
                variety: variety.to_owned(),
                planted_on: PressDate::parse(planted)?,
                row: Metres::parse(row, Units::Us)?,
                apart: Some(Metres::parse("3.3", Units::Us)?),
                maturity_days,
                note: String::new(),
            };
            let act = self.act(0, "2026-07-21", "19:00")?;
            plantings::add(&act, self.member(whose)?, new).await?;
        }
        Ok(())
    }
}
