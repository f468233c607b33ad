//! The demo's boils: lit, read, finished, filled, divided. Readings follow a plain model of a pan:
//! it heats for a while, then drives off water evenly; what it shows is what its Brix boils at.

use super::maker::Demo;
use super::people::lb;
use crate::actions::boil::boils::{self, NewBoil, NewReading};
use crate::actions::boil::boils_finish::{self, NewFills, NewFinish};
use crate::actions::shares::divisions;
use crate::actions::shares::divisions::Signed;
use crate::actions::shares::hand_overs::{self, JarsOut, NewHandOver};
use crate::actions::shares::ledger::{self, NewPayment, Paid};
use crate::actions::{Done, Stop};
use crate::calc::boil::fuel_burnt::FuelBurnt;
use crate::calc::physics::elevation::{Factor, rise};
use crate::calc::physics::energy::Fuel;
use crate::calc::physics::refractometer::Instrument;
use crate::calc::shares::payments::PaidBy;
use crate::calc::shares::split::Sharer;
use crate::facts::shares::division_inputs::DivisionInputs;
use crate::store::cane::juice;
use crate::store::shares::{hand_overs as hand_over_store, ledger as ledger_store};
use crate::units::{
    BrixAt20C, BrixRead, Celsius, Cents, Grams, JuiceId, LotCode, MemberName, PressDayId, SeasonId,
    Units, UtcSecond,
};

/// What the demo's thermometer shows in boiling water at 950 ft.
pub(super) const WATER_BOIL_C: f64 = 98.9;
/// The mill's factor K, which its finished boils come out with.
const FACTOR: f64 = 1.12;

/// One boil of the demo.
pub(super) struct Boil<'a> {
    pub(super) day: PressDayId,
    pub(super) date: &'a str,
    pub(super) lit: &'a str,
    pub(super) juices: &'a [JuiceId],
    /// Place of the member it is boiled alone for.
    pub(super) solo: Option<usize>,
    /// Minutes until it boils, and until it is done.
    pub(super) heats: i64,
    pub(super) lasts: i64,
}

/// How a boil of the demo ended.
pub(super) struct Ended {
    /// Solids in the jars of those that went in.
    pub(super) recovery: f64,
    pub(super) brix: f64,
    /// Share of the syrup by size: quarts; pints take what is left; the rest is a part-jar.
    pub(super) quarts: f64,
    /// Wood burnt, cords, and syrup spilt, lb.
    pub(super) cords: f64,
    pub(super) spilt: f64,
}

pub(super) fn model(solids: Grams, juice: Grams, share: f64) -> Done<(BrixAt20C, Celsius)> {
    let syrup = solids.as_f64() / 0.785;
    let mass = juice.as_f64() + (syrup - juice.as_f64()) * share;
    let brix = BrixAt20C::new((solids.as_f64() / mass * 100.0).clamp(0.0, 82.0))?;
    let water = Celsius::new(WATER_BOIL_C)?;
    let up = rise(brix, water, Factor::new(FACTOR)?);
    Ok((brix, Celsius::new(WATER_BOIL_C + up.get())?))
}

impl Demo {
    /// Solids and mass of juices together.
    pub(super) async fn sums(&self, juices: &[JuiceId]) -> Done<(Grams, Grams)> {
        let mut snapshot = self.reader.snapshot().await?;
        let (mut solids, mut mass) = (Grams::ZERO, Grams::ZERO);
        for id in juices {
            let row = juice::find(*id)
                .ask(&mut snapshot)
                .await?
                .ok_or(Stop::Missing)?;
            let juice = row.reckon()?;
            solids += juice.solids;
            mass += juice.mass;
        }
        Ok((solids, mass))
    }

    /// Lights a boil and reads it every quarter of an hour until `until`.
    pub(super) async fn boil(&self, boil: &Boil<'_>, until: UtcSecond) -> Done<LotCode> {
        let lit_at = self.at(boil.date, boil.lit)?;
        let solo = boil.solo.map(|place| self.member(place)).transpose()?;
        let new = NewBoil {
            day: boil.day,
            solo,
            // The kettle for one member's juice, the long pan for a pooled lot.
            pan: None,
            charge_known: false,
            water_boil: Some(Celsius::new(WATER_BOIL_C)?),
            juices: boil.juices.iter().map(|id| (*id, None)).collect(),
            lit_at: None,
            tested: false,
            note: String::new(),
            units: Units::Us,
        };
        let lot = boils::light(&self.act_at(2, lit_at)?, new).await?;
        let (solids, mass) = self.sums(boil.juices).await?;
        let end = until.min(lit_at.plus(boil.lasts * 60));
        for step in 0.. {
            let minutes = 5 + step * 15;
            let read_at = lit_at.plus(minutes * 60);
            if read_at > end {
                break;
            }
            #[expect(clippy::cast_precision_loss, reason = "minutes of a day")]
            let share = |part: i64, whole: i64| part as f64 / whole as f64;
            let boiling = minutes >= boil.heats;
            let (brix, temp) = if boiling {
                model(
                    solids,
                    mass,
                    share(minutes - boil.heats, boil.lasts - boil.heats),
                )?
            } else {
                let warm = 24.0 + (WATER_BOIL_C - 24.0) * share(minutes, boil.heats);
                (BrixAt20C::new(0.0)?, Celsius::new(warm)?)
            };
            let sampled = boiling && step % 3 == 2;
            let note = if step == 2 { "skimmed" } else { "" };
            let reading = NewReading {
                read_at,
                temp: Some(temp),
                brix: sampled
                    .then(|| BrixRead::new((brix.get() * 10.0).round() / 10.0))
                    .transpose()?,
                note: note.to_owned(),
                replaces: None,
                units: Units::Us,
            };
            boils::read(&self.act_at(2, read_at)?, &lot, reading).await?;
        }
        Ok(lot)
    }

    /// Draws the syrup off and fills it.
    pub(super) async fn finish(&self, lot: &LotCode, boil: &Boil<'_>, ended: &Ended) -> Done<()> {
        let at = self.at(boil.date, boil.lit)?.plus(boil.lasts * 60);
        let (solids, _) = self.sums(boil.juices).await?;
        let syrup = Grams::nearest(solids.as_f64() * ended.recovery / ended.brix * 100.0);
        let brix = BrixAt20C::new(ended.brix)?;
        let up = rise(brix, Celsius::new(WATER_BOIL_C)?, Factor::new(FACTOR)?);
        let finish = NewFinish {
            syrup,
            brix: BrixRead::new(ended.brix)?,
            instrument: Instrument::SelfCompensating,
            sample: Celsius::new(22.0)?,
            finish_temp: Some(Celsius::new(WATER_BOIL_C + up.get())?),
            skimmed: lb(2.5),
            spilt: lb(ended.spilt),
            fuel: Some(FuelBurnt {
                fuel: Fuel::Wood,
                amount: ended.cords,
            }),
            fuel_sure: false,
            finished_at: at,
            thin: false,
            low: false,
            why: String::new(),
            units: Units::Us,
        };
        boils_finish::finish(&self.act_at(2, at)?, lot, finish).await?;
        let count = |grams: f64, net: i64| -> i64 { Grams::nearest(grams).get() / net };
        let quarts = count(syrup.as_f64() * ended.quarts, 1247);
        let pints = (syrup.get() - quarts * 1247) / 624;
        let left = syrup.get() - quarts * 1247 - pints * 624;
        let fills = NewFills {
            counts: vec![(Grams::new(1247), quarts), (Grams::new(624), pints)],
            part: (left > 60).then(|| Grams::new(left - 20)),
            filled_at: None,
            units: Units::Us,
        };
        boils_finish::fill(&self.act_at(2, at.plus(15 * 60))?, lot, fills).await?;
        Ok(())
    }

    /// Divides a boil, as the crew would from its page.
    pub(super) async fn divide(&self, lot: &LotCode, date: &str, time: &str) -> Done<()> {
        let proposed = {
            let mut snapshot = self.reader.snapshot().await?;
            let inputs = DivisionInputs::read(&mut snapshot, lot)
                .await?
                .ok_or(Stop::Missing)?;
            inputs.propose(Units::Us)?
        };
        let ticked: Vec<&str> = proposed.questions.iter().map(|q| q.at).collect();
        let signed = Signed {
            seen: &proposed.mark(),
            ticked: &ticked,
            by: Some(self.member(3)?),
        };
        divisions::divide(&self.act(1, date, time)?, lot, signed).await?;
        Ok(())
    }

    /// Hands a member all the jars that wait, given to somebody by name.
    pub(super) async fn hand_over(&self, place: usize, date: &str, time: &str) -> Done<()> {
        let member = self.member(place)?;
        let aside = {
            let mut snapshot = self.reader.snapshot().await?;
            hand_over_store::jars_set_aside(Some(member))
                .ask(&mut snapshot)
                .await?
        };
        let jars: Vec<JarsOut> = aside
            .into_iter()
            .filter(|a| a.left() > 0)
            .map(|a| JarsOut {
                count: a.left(),
                boil: a.boil_id,
                size_name: a.size_name,
                net: a.net,
                part: a.part,
            })
            .collect();
        if jars.is_empty() {
            return Ok(());
        }
        let name = super::people::PEOPLE.get(place).map_or("", |p| p.name);
        let new = NewHandOver {
            jars,
            given_to: MemberName::parse(name)?,
            short: false,
            note: String::new(),
        };
        hand_overs::hand_over(&self.act(1, date, time)?, Sharer::Member(member), new).await?;
        Ok(())
    }

    /// Notes that a member paid all that was owed.
    pub(super) async fn pay(
        &self,
        place: usize,
        season: SeasonId,
        date: &str,
        how: &str,
    ) -> Done<()> {
        let member = self.member(place)?;
        let owed = {
            let mut snapshot = self.reader.snapshot().await?;
            ledger_store::balance_of(member).ask(&mut snapshot).await?.1
        };
        if owed <= Cents::ZERO {
            return Ok(());
        }
        let new = NewPayment {
            season,
            way: Paid::ToTheMill,
            cents: owed,
            text: how.to_owned(),
            by: PaidBy::parse(how).unwrap_or(PaidBy::Other),
            on: None,
            sure: false,
            sure_day: true,
        };
        ledger::note_payment(&self.act(0, date, "18:10")?, member, new).await?;
        Ok(())
    }
}
