//! The forms of a boil: what was sent, what was meant.

use crate::actions::boil::boils::{NewBoil, NewDraw, NewReading};
use crate::actions::boil::boils_finish::{FixedFill, MOST_JARS, NewFills, NewFinish};
use crate::calc::boil::fuel_burnt::FuelBurnt;
use crate::calc::physics::energy::Fuel;
use crate::calc::physics::refractometer::Instrument;
use crate::store::boil::boils::BoilRow;
use crate::store::season::seasons::JarSize;
use crate::store::turns::press_days::PressDay;
use crate::units::{
    BrixRead, Celsius, Grams, JuiceId, MemberId, MinuteOfDay, PanId, Refused, Units, UtcSecond,
    Zone,
};
use crate::units::{plain_text, whole};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::Visit;

/// What a form is read by: units, time zone and moment.
#[derive(Clone, Copy)]
pub(super) struct FormContext<'a> {
    /// Units of whoever types.
    pub units: Units,
    /// The co-op's time zone.
    pub zone: &'a Zone,
    /// The moment of the request.
    pub at: UtcSecond,
}

impl<'a> FormContext<'a> {
    /// As whoever sends it reads units and time; `said_at`: when they said so.
    pub(super) fn of(visit: &'a Visit, said_at: UtcSecond) -> Result<Self, PageError> {
        Ok(Self {
            units: visit.units(),
            zone: visit.zone()?,
            at: said_at,
        })
    }
}

fn remark(text: &str) -> Result<String, Refused> {
    plain_text(text, 0, 200)
}

/// The name of the box that says how much of a juice goes in.
pub(super) fn part_box(juice: &str) -> String {
    format!("part_{juice}")
}

/// Lighting: every box, and the ticked juices.
pub(super) fn light(
    sheet: &mut Sheet,
    day: &PressDay,
    ticked: &[&str],
    here: FormContext<'_>,
) -> Option<NewBoil> {
    let units = here.units;
    let lit_at = sheet.read_optional("lit_at", |text| {
        here.zone.instant(day.date, MinuteOfDay::parse(text)?)
    });
    let solo = sheet.read_optional("alone", |text| {
        MemberId::parse(text).ok_or_else(|| Refused::new("Please choose from the list."))
    });
    let pan = sheet.read_optional("pan", |text| {
        PanId::parse(text).ok_or_else(|| Refused::new("Please choose a pan from the list."))
    });
    let water_boil = sheet.read_optional("water_boil", |t| Celsius::parse(t, units));
    let note = sheet.read("note", remark);
    let mut juices = Some(Vec::new());
    for id in ticked {
        let part = sheet.read_optional(&part_box(id), |text| Grams::parse(text, units));
        let juice = JuiceId::parse(id);
        if juice.is_none() {
            sheet.refuse("juice", "Please tick from the list.");
        }
        juices = juices.zip(juice.zip(part)).map(|(mut all, one)| {
            all.push(one);
            all
        });
    }
    Some(NewBoil {
        day: day.id,
        solo: solo?,
        pan: pan?,
        charge_known: sheet.ticked("charge_known"),
        water_boil: water_boil?,
        juices: juices?,
        tested: sheet.ticked("tested"),
        lit_at: lit_at?,
        note: note?,
        units,
    })
}

/// Pouring, or putting right what was poured.
pub(super) fn draw(sheet: &mut Sheet, units: Units) -> Option<NewDraw> {
    let juice = sheet.read("juice", |text| {
        JuiceId::parse(text).ok_or_else(|| Refused::new("Please choose a juice from the list."))
    });
    let amount = sheet.read_optional("amount", |text| Grams::parse(text, units));
    let why = sheet.read("why", remark);
    Some(NewDraw {
        juice: juice?,
        amount: amount?,
        why: why?,
        tested: sheet.ticked("tested"),
        units,
    })
}

/// The instant of a time of day typed of a boil: of the day it was lit or, after midnight, of the next.
pub(super) fn instant(
    text: &str,
    here: FormContext<'_>,
    lit: UtcSecond,
) -> Result<UtcSecond, Refused> {
    let minute = MinuteOfDay::parse(text)?;
    let (day, _) = here.zone.local(lit);
    let found = here.zone.instant(day, minute)?;
    let (today, _) = here.zone.local(here.at);
    // A time before the fire is a slip while that day lasts, and means the next day once it is over.
    if found.plus(60) > lit || today <= day {
        return Ok(found);
    }
    here.zone.instant(day.plus_days(1), minute)
}

/// Reads a reading of the boil; `None` when a box cannot be read.
pub(super) fn reading(
    sheet: &mut Sheet,
    here: FormContext<'_>,
    lit: UtcSecond,
) -> Option<NewReading> {
    let temp = sheet.read_optional("temp", |text| Celsius::parse(text, here.units));
    let brix = sheet.read_optional("brix", BrixRead::parse);
    let rest = without_figures(sheet, here, lit);
    Some(NewReading {
        temp: temp?,
        brix: brix?,
        ..rest?
    })
}

/// A reading by its remark alone, whatever stands in the boxes of its figures.
pub(super) fn without_figures(
    sheet: &mut Sheet,
    here: FormContext<'_>,
    lit: UtcSecond,
) -> Option<NewReading> {
    // Left empty it is this moment: a time filled in when the page was opened would be old by then.
    let read_at = sheet
        .read_optional("read_at", |text| instant(text, here, lit))
        .map(|at| at.unwrap_or(here.at));
    let note = sheet.read("note", remark);
    let replaces = sheet.read_optional("replaces", |text| whole(text, 1, i64::from(u32::MAX)));
    Some(NewReading {
        read_at: read_at?,
        temp: None,
        brix: None,
        note: note?,
        replaces: replaces?,
        units: here.units,
    })
}

/// The fuel burnt, in the unit of what burns under the pan as the page had it.
#[expect(
    clippy::option_option,
    reason = "outer: was it readable; inner: was it measured"
)]
fn burnt(sheet: &mut Sheet, units: Units) -> Option<Option<FuelBurnt>> {
    let fuel = Fuel::parse(sheet.typed("fuel_kind"));
    sheet.read_optional("fuel_burnt", |text| match fuel {
        Some(fuel) => FuelBurnt::parse(text, fuel, units),
        None => Err(Refused::new(
            "No pan is set up, so nobody knows what burns. Please set up the pan, then correct the finish.",
        )),
    })
}

/// The finish, first or put right.
pub(super) fn finish(
    sheet: &mut Sheet,
    here: FormContext<'_>,
    boil: &BoilRow,
) -> Option<NewFinish> {
    let units = here.units;
    let syrup = sheet.read("syrup", |text| Grams::parse(text, units));
    let brix = sheet.read("finish_brix", BrixRead::parse);
    let instrument = sheet.read("instrument", |text| {
        Instrument::parse(text).ok_or_else(|| Refused::new("Please choose an instrument."))
    });
    let sample = sheet.read("sample", |text| Celsius::parse(text, units));
    let finish_temp = sheet.read_optional("finish_temp", |text| Celsius::parse(text, units));
    let skimmed = sheet.read_optional("skimmed", |text| Grams::parse(text, units));
    let spilt = sheet.read_optional("spilt", |text| Grams::parse(text, units));
    let fuel = burnt(sheet, units);
    // A correction on another day keeps the time; there is no box for it then.
    let finished_at = match &boil.finish {
        Some(before) => Some(before.finished_at),
        // Left empty it means the tap: a time filled in when the page was opened would be old by then.
        None => sheet
            .read_optional("finished_at", |text| instant(text, here, boil.lit_at))
            .map(|at| at.unwrap_or(here.at)),
    };
    let why = sheet.read("finish_why", remark);
    Some(NewFinish {
        syrup: syrup?,
        brix: brix?,
        instrument: instrument?,
        sample: sample?,
        finish_temp: finish_temp?,
        skimmed: skimmed?.unwrap_or(Grams::ZERO),
        spilt: spilt?.unwrap_or(Grams::ZERO),
        fuel: fuel?,
        fuel_sure: sheet.ticked("fuel_sure"),
        finished_at: finished_at?,
        thin: sheet.ticked("thin"),
        low: sheet.ticked("low"),
        why: why?,
        units,
    })
}

/// The name of the box that counts the jars of a size, by its place in the rules.
pub(super) fn count_box(place: usize) -> String {
    format!("count_{}", place + 1)
}

/// Reads the jars that were filled; `None` when a box cannot be read.
pub(super) fn fills(sheet: &mut Sheet, sizes: &[JarSize], units: Units) -> Option<NewFills> {
    let mut counts = Some(Vec::new());
    for (place, size) in sizes.iter().enumerate() {
        let count = sheet.read_optional(&count_box(place), |text| whole(text, 0, MOST_JARS));
        match (count, &mut counts) {
            (Some(Some(count)), Some(counts)) => counts.push((size.net, count)),
            (Some(None), _) | (_, None) => {}
            (None, _) => counts = None,
        }
    }
    let part = sheet.read_optional("part", |text| Grams::parse_small(text, units));
    Some(NewFills {
        counts: counts?,
        part: part?,
        filled_at: None,
        units,
    })
}

/// Reads a fill that is put right; `None` when a box cannot be read.
pub(super) fn fixed_fill(sheet: &mut Sheet, part: bool, units: Units) -> Option<FixedFill> {
    let count = sheet.read("count", |text| whole(text, 0, MOST_JARS));
    let net = if part {
        sheet.read_optional("part", |text| Grams::parse_small(text, units))
    } else {
        Some(None)
    };
    let why = sheet.read("why", |text| plain_text(text, 0, 200));
    Some(FixedFill {
        count: count?,
        net: net?,
        why: why?,
        units,
    })
}
