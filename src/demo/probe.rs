//! The demo's probe: simulated, and sending by itself through the same action as a real one. What it
//! shows follows the plain model of the demo's pan, some tenths too high, with a little unrest; once the
//! boil is done the fire is drawn and the pan cools.

use super::boiling::{WATER_BOIL_C, model};
use super::maker::{Demo, STARTS_AT, TODAY};
use crate::actions::boil::probes as actions;
use crate::actions::{Done, Stop};
use crate::calc::boil::probes::TempAt;
use crate::calc::boil::sums::Stage;
use crate::store::Writer;
use crate::store::boil::boils;
use crate::store::turns::press_days;
use crate::units::{Celsius, Grams, PressDate, ProbeId, Units, UtcSecond};

/// How much too high the probe reads, °C.
const OFF_C: f64 = 0.4;
/// How far the boil goes on after it is done before the fire is drawn, as a share of its boiling.
const LATE: f64 = 0.03;
/// Time from one sending to the next, seconds.
pub const EVERY_S: i64 = 10;

/// A simulated probe in the pan of the boil that is lit.
#[derive(Debug, Clone)]
pub struct DemoProbe {
    id: ProbeId,
    lit: UtcSecond,
    /// Seconds from lighting until it boils, and until it is done.
    heats_s: i64,
    lasts_s: i64,
    solids: Grams,
    juice: Grams,
}

#[expect(clippy::cast_precision_loss, reason = "seconds of a day")]
fn seconds(of: i64) -> f64 {
    of as f64
}

impl DemoProbe {
    /// What it shows at an instant.
    ///
    /// # Errors
    /// The demo's figures are no boil.
    pub fn shows(&self, at: UtcSecond) -> Done<Celsius> {
        let since = at.get() - self.lit.get();
        let share = seconds(since - self.heats_s) / seconds((self.lasts_s - self.heats_s).max(1));
        let pan = if share < 0.0 {
            24.0 + (WATER_BOIL_C - 24.0) * (seconds(since) / seconds(self.heats_s)).max(0.0)
        } else {
            let (_, hot) = model(self.solids, self.juice, share.min(1.0 + LATE))?;
            let drawn_s = seconds(self.lasts_s) + LATE * seconds(self.lasts_s - self.heats_s);
            // Newton's law of cooling, with three quarters of an hour as its time.
            let cooling = (-(seconds(since) - drawn_s).max(0.0) / 2700.0).exp();
            25.0 + (hot.get() - 25.0) * cooling
        };
        let minutes = seconds(since) / 60.0;
        let unrest = 0.06 * (4.3 * minutes).sin() + 0.05 * (17.1 * minutes + 1.0).sin();
        Ok(Celsius::new(pan + OFF_C + unrest)?)
    }

    /// Sends what it shows at each of these instants, the last of which is this moment.
    ///
    /// # Errors
    /// The store failed, or its token was revoked.
    pub async fn sends(&self, writer: &Writer, times: &[UtcSecond]) -> Done<()> {
        let mut sent = Vec::with_capacity(times.len());
        for at in times {
            sent.push(TempAt {
                at: *at,
                temp: self.shows(*at)?,
            });
        }
        let Some(present) = times.last() else {
            return Ok(());
        };
        actions::take(writer, *present, self.id, &sent).await?;
        Ok(())
    }
}

impl Demo {
    /// Lets a probe into the pan of the boil that is lit: its offset was learned in the morning, and it has
    /// sent since the fire was lit.
    pub(super) async fn probe_in_pan(&self) -> Done<DemoProbe> {
        let (boil, juices) = {
            let mut db = self.reader.snapshot().await?;
            let day = press_days::of_date(PressDate::parse(TODAY)?)
                .ask(&mut db)
                .await?
                .ok_or(Stop::Missing)?;
            let mut all = boils::of_day(day.id).ask(&mut db).await?;
            all.retain(|boil| boil.stage() == Stage::Lit);
            let boil = all.pop().ok_or(Stop::Missing)?;
            let poured = boils::draws(boil.id).ask(&mut db).await?;
            (
                boil,
                poured.iter().map(|draw| draw.juice_id).collect::<Vec<_>>(),
            )
        };
        let pan = boil.pan_id.ok_or(Stop::Missing)?;
        let made = self.act(0, TODAY, "05:30")?;
        let id = actions::make_token(&made, pan, "by the spout".to_owned())
            .await?
            .id;
        let in_water = self.at(TODAY, "05:45")?;
        let boiling = TempAt {
            at: in_water,
            temp: Celsius::new(WATER_BOIL_C + OFF_C)?,
        };
        actions::take(&self.writer, in_water, id, &[boiling]).await?;
        actions::learn_offset(&self.act_at(0, in_water)?, id, Units::Us).await?;
        let (solids, juice) = self.sums(&juices).await?;
        let probe = DemoProbe {
            id,
            lit: boil.lit_at,
            heats_s: 22 * 60,
            lasts_s: 160 * 60,
            solids,
            juice,
        };
        let (lit, present) = (boil.lit_at.get(), self.at(TODAY, STARTS_AT)?.get());
        let times: Vec<UtcSecond> = (lit..=present).step_by(15).map(UtcSecond::new).collect();
        probe.sends(&self.writer, &times).await?;
        Ok(probe)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::make_with_probe;
    use crate::facts::boil::probes::{KnownProbe, ProbeOfBoil, of_boil};
    use crate::store;
    use crate::units::BoilId;

    async fn probes(reader: &store::Reader, boil: BoilId) -> Vec<ProbeOfBoil> {
        let mut db = reader.snapshot().await.unwrap();
        of_boil(boil).ask(&mut db).await.unwrap()
    }

    #[tokio::test]
    async fn the_demos_probe_has_sent_since_the_fire_was_lit_and_goes_on() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("demo.db");
        let (writer, reader) = store::open(&path).await.unwrap();
        let (present, probe) = make_with_probe(&writer, &reader).await.unwrap();
        let boil = {
            let mut db = reader.snapshot().await.unwrap();
            let known = KnownProbe::find(probe.id)
                .ask(&mut db)
                .await
                .unwrap()
                .unwrap();
            assert!((known.offsets[0].off().get() - OFF_C).abs() < 1e-9);
            known.probe.last.unwrap().boil.unwrap()
        };
        let before = probes(&reader, boil).await;
        let readings = &before[0].readings;
        // 135 minutes, one in 15 seconds, more where the pan heats fast.
        assert!((541..900).contains(&readings.len()), "{}", readings.len());
        // With its offset taken off it shows the model within its unrest: boiling begins 22 minutes on.
        let at_boil = readings
            .iter()
            .find(|read| read.at >= probe.lit.plus(22 * 60))
            .unwrap();
        assert!(
            (at_boil.temp.get() - WATER_BOIL_C).abs() < 0.8,
            "{at_boil:?}"
        );
        let last = readings.last().unwrap();
        assert_eq!(last.at, present);
        // After 113 of 138 minutes of boiling it is about 44 °Bx, which boils 1.6 °C above water at K = 1.12.
        let above = last.temp.get() - WATER_BOIL_C;
        assert!((1.2..2.1).contains(&above), "{last:?}");
        let times = [10, 20, 30].map(|s| present.plus(s));
        for at in times {
            probe.sends(&writer, &[at]).await.unwrap();
        }
        let after = probes(&reader, boil).await;
        assert_eq!(after[0].readings.last().unwrap().at, present.plus(30));
    }

    #[test]
    fn the_simulated_pan_heats_boils_and_cools() {
        let probe = DemoProbe {
            id: ProbeId::parse("01920000-0000-7000-8000-000000000000").unwrap(),
            lit: UtcSecond::new(0),
            heats_s: 1200,
            lasts_s: 9000,
            solids: Grams::new(30_000),
            juice: Grams::new(200_000),
        };
        let shows = |s| probe.shows(UtcSecond::new(s)).unwrap().get();
        assert!((shows(0) - 24.4).abs() < 0.2 && (shows(600) - 61.8).abs() < 0.3);
        assert!(shows(3000) < shows(6000) && shows(6000) < shows(9000));
        // 78.5 °Bx boils 8 to 11 °C above water at K = 1.12.
        let above = shows(9000) - WATER_BOIL_C - OFF_C;
        assert!((8.0..11.0).contains(&above), "{above}");
        assert!(shows(20_000) < 60.0);
    }
}
