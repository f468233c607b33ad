//! What lighting a boil is decided from: the juices that stand in tanks, and the pans.

use super::boil_sums::Stocked;
use super::season_boils::SeasonBoils;
use crate::facts::rules_versions;
use crate::store::boil::pans::Pan;
use crate::store::marks;
use crate::store::people::stations::{self, Hand};
use crate::store::season::seasons::Rules;
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Conn, Stored, Together};
use crate::units::{Celsius, Grams, PressDate};

/// A press day as far as a boil is lit on it.
#[derive(Debug)]
pub struct Lighting {
    /// The press day.
    pub day: PressDay,
    /// The rules in force.
    pub rules: Rules,
    /// Juices with something left; pressed last first.
    pub juices: Vec<Stocked>,
    /// Pans in use, by name.
    pub pans: Vec<Pan>,
    /// Boiling point of water that day, if anybody read it.
    pub water: Option<Celsius>,
    /// The crew, of whom one may have written it on paper.
    pub hands: Vec<Hand>,
}

impl Lighting {
    /// Reads a press day; nothing when there is none on that date.
    pub async fn read(conn: &mut Conn, date: PressDate) -> Stored<Option<Self>> {
        let Some(day) = press_days::of_date(date).ask(conn).await? else {
            return Ok(None);
        };
        let rules = rules_versions::on(day.season_id, day.date);
        let (rules, mark) = (rules, marks::mark()).together().ask(conn).await?;
        let season = SeasonBoils::of(mark.as_ref(), day.season_id);
        let season = season.ask(conn).await?;
        let water = season.water_of_day(day.id);
        let left = season.juices.iter().rev();
        let left = left.filter(|j| j.poured.left.mass > Grams::ZERO);
        let hands = stations::hands(conn).await?;
        Ok(Some(Self {
            hands,
            day,
            rules,
            juices: left.cloned().collect(),
            pans: season.pans.clone(),
            water,
        }))
    }
}
