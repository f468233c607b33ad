//! What stands in the field.

use crate::mill::Mill;
use canewright::actions::season::plantings::{self, NewPlanting};
use canewright::store::season::plantings as fields;
use canewright::units::{Metres, PressDate};

impl Mill {
    fn some_planting(&mut self) -> NewPlanting {
        let date = format!("2026-{:02}-15", self.chance.between(3, 7));
        NewPlanting {
            variety: "Dale".to_owned(),
            planted_on: PressDate::parse(&date).unwrap(),
            row: Metres::new(self.chance.figure(5.0, 900.0)).unwrap(),
            apart: None,
            maturity_days: self.chance.between(55, 140),
            note: String::new(),
        }
    }

    pub async fn plant(&mut self) {
        let of = self.anybody();
        let who = if self.chance.of_100(80) {
            of
        } else {
            self.anybody()
        };
        let new = self.some_planting();
        self.step("plant", who, async |act| {
            plantings::add(&act, of.id, new.clone()).await
        })
        .await;
    }

    pub async fn plant_otherwise(&mut self) {
        let season = self.season.unwrap();
        let all = fields::of_season(season)
            .ask(&mut *self.read().await)
            .await
            .unwrap();
        let Some(planting) = self.chance.one(&all).cloned() else {
            return;
        };
        let who = if self.chance.of_100(60) {
            self.crew()
        } else {
            self.anybody()
        };
        if self.chance.of_100(25) {
            self.step("lose a planting", who, async |act| {
                plantings::remove(&act, planting.id).await
            })
            .await;
            return;
        }
        let new = self.some_planting();
        let seen = planting.version - i64::from(self.chance.of_100(15));
        self.step("change a planting", who, async |act| {
            plantings::change(&act, planting.id, seen, new.clone()).await
        })
        .await;
    }
}
