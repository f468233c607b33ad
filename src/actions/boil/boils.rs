//! Lighting a boil, pouring juice into it and out of it again, and its readings. Finish and fills
//! stand in `boils_finish`.

use super::next_lot::next_lot;
use crate::actions::cane::yard::as_draw;
use crate::actions::season::season_losses::still_pressed;
use crate::actions::season::seasons::confirmed_on;
use crate::actions::{Act, Answer, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::boil::boil_lit::{may_be_lit, pressed_before_fire};
use crate::calc::boil::boil_rules as rules_of;
use crate::calc::boil::boil_rules::Offered;
use crate::calc::boil::sums::{Draw, Stage, pour as pour_out, total};
use crate::calc::cane::juice::Stock;
use crate::calc::physics::elevation::WaterBoil;
use crate::calc::turns::starts::not_closed;
use crate::facts::boil::boil_sums::{self, Stocked};
use crate::facts::boil::pans::pan_for_charge;
use crate::store::boil::boil_readings;
use crate::store::boil::boils::{self, BoilRow};
use crate::store::boil::boils_write as write;
use crate::store::boil::boils_write::{NewBoilRow, NewDrawRow, NewReadingRow};
use crate::store::boil::pans::{self, Pan};
use crate::store::people::{coop, members};
use crate::store::season::seasons::{self, Rules};
use crate::store::turns::press_days;
use crate::store::turns::press_days::PressDay;
use crate::store::{Conn, Together, WriteTx};
use crate::units::{
    BoilId, BrixRead, Celsius, Grams, JuiceId, LotCode, MemberId, Millilitres, PanId, PressDayId,
    Units, UtcSecond,
};

/// A boil about to be lit.
#[derive(Debug, Clone)]
pub struct NewBoil {
    /// Its press day.
    pub day: PressDayId,
    /// The only member whose juice is in it; `None`: a pooled boil.
    pub solo: Option<MemberId>,
    /// The pan; `None`: the smallest in use that takes the charge, if one is set up.
    pub pan: Option<PanId>,
    /// Whether whoever lights it knows that the charge does not fit the pan.
    pub charge_known: bool,
    /// The cook's thermometer in boiling water that day, if read.
    pub water_boil: Option<Celsius>,
    /// The juices, and how much of each; `None`: all that is left.
    pub juices: Vec<(JuiceId, Option<Grams>)>,
    /// Whether juice past the red limit was smelled and tested.
    pub tested: bool,
    /// When it was lit, as a paper sheet has it; `None`: just now.
    pub lit_at: Option<UtcSecond>,
    /// Remark.
    pub note: String,
    /// The system of units that sentences use.
    pub units: Units,
}

/// Juice to pour into a boil that is lit, or a draw to put right.
#[derive(Debug, Clone)]
pub struct NewDraw {
    /// The juice.
    pub juice: JuiceId,
    /// How much of it is in the boil from then on. `None`: all that is left; nought: it is taken out again.
    pub amount: Option<Grams>,
    /// Why a draw is put right; may be empty for a new one.
    pub why: String,
    /// Whether juice past the red limit was smelled and tested.
    pub tested: bool,
    /// The system of units that sentences use.
    pub units: Units,
}

/// A reading of a boil: at least one of temperature, Brix and remark.
#[derive(Debug, Clone)]
pub struct NewReading {
    /// When it was read.
    pub read_at: UtcSecond,
    /// Temperature of the pan.
    pub temp: Option<Celsius>,
    /// Brix as the refractometer showed it.
    pub brix: Option<BrixRead>,
    /// Remark: skimmed, fire drawn …
    pub note: String,
    /// The reading that this one puts right.
    pub replaces: Option<i64>,
    /// The system of units that sentences use.
    pub units: Units,
}

impl Answer for LotCode {
    fn keep(&self) -> String {
        self.as_str().to_owned()
    }
    fn read(text: &str) -> Option<Self> {
        Self::parse(text).ok()
    }
}

/// Lights a boil and answers its lot code: the season's next one, the rules in force, and its first juices.
pub async fn light(act: &Act, new: NewBoil) -> Done<LotCode> {
    act.crew()?;
    let mut tx = begin!(act, "light_boil");
    let day = open_day(&mut tx, new.day).await?;
    still_pressed(day.season_id).ask(&mut tx).await??;
    if new.juices.is_empty() {
        return Err(RuleRefusal::beside(
            "juice",
            "no-juice",
            "Please tick at least one juice: a pan on the fire is never empty.",
        )
        .into());
    }
    if let Some(read) = new.water_boil {
        WaterBoil::Measured(read).known()?;
    }
    if let Some(member) = new.solo {
        members::find(member)
            .ask(&mut tx)
            .await?
            .ok_or(Stop::Missing)?;
    }
    let lit_at = lit_then(act, &mut tx, &day, &new).await?;
    let coop = coop::find().ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let lit_on = coop.zone.local(lit_at).0;
    let rules = confirmed_on(&mut tx, day.season_id, lit_on).await?;
    let under = pan_and_charge(&mut tx, &new).await?;
    let boil = NewBoilRow {
        id: BoilId::new(act.id()),
        lot: next_lot(&mut tx, &rules).await?,
        season_id: day.season_id,
        rules_id: rules.id,
        press_day_id: day.id,
        solo_member_id: new.solo,
        target: rules.target_bx,
        water_boil: new.water_boil,
        pan_id: under.as_ref().map(|(pan, _)| pan.id),
        note: new.note,
    };
    write::insert(&mut tx, &boil, act.measured_by(), lit_at).await?;
    let lit = boils::find(&boil.lot)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    for (juice, amount) in new.juices {
        let draw = NewDraw {
            juice,
            amount,
            why: String::new(),
            tested: new.tested,
            units: new.units,
        };
        put(act, &mut tx, &lit, &rules, (draw, lit_at)).await?;
    }
    if let Some((pan, charge)) = under {
        pan.settings
            .check_charge(&pan.name, charge, new.charge_known, new.units)?;
    }
    act.finish(tx, "light_boil", boil.lot).await
}

/// When a boil is lit: just now, or when a paper sheet has it, of the press day and with its juices
/// pressed by then.
async fn lit_then(act: &Act, tx: &mut WriteTx, day: &PressDay, new: &NewBoil) -> Done<UtcSecond> {
    let Some(lit) = new.lit_at else {
        return Ok(act.said_at());
    };
    let coop = coop::find().ask(tx).await?.ok_or(Stop::Missing)?;
    may_be_lit((lit, coop.zone.local(lit).0), day.date, act.at)?;
    for (juice, _) in &new.juices {
        let all = boil_sums::stocked(*juice)
            .ask(tx)
            .await?
            .ok_or(Stop::Missing)?;
        pressed_before_fire(&offered(&all), lit)?;
    }
    Ok(lit)
}

/// The press day, which must still be open.
async fn open_day(tx: &mut WriteTx, id: PressDayId) -> Done<PressDay> {
    let day = press_days::find(id).ask(tx).await?.ok_or(Stop::Missing)?;
    not_closed(day.date, day.closed_at.is_some())?;
    Ok(day)
}

/// The pan a boil is lit in, and what goes into it; nothing when no pan is set up.
async fn pan_and_charge(tx: &mut WriteTx, new: &NewBoil) -> Done<Option<(Pan, Millilitres)>> {
    let mut charge = Millilitres::ZERO;
    for (juice, amount) in &new.juices {
        let all = boil_sums::stocked(*juice)
            .ask(tx)
            .await?
            .ok_or(Stop::Missing)?;
        let left = all.poured.left;
        let stock = Stock {
            volume: left.volume,
            mass: left.mass,
            solids: left.solids,
        };
        charge = charge + amount.map_or(left.volume, |mass| stock.volume_of_mass(mass));
    }
    let mut all = pans::list().ask(tx).await?;
    let Some(id) = new.pan else {
        all.retain(|p| p.retired_at.is_none());
        return Ok(pan_for_charge(&all, charge).map(|pan| (pan.clone(), charge)));
    };
    let pan = all.iter().find(|p| p.id == id).ok_or(Stop::Missing)?;
    if pan.retired_at.is_some() {
        return Err(RuleRefusal::beside(
            "pan",
            "pan-retired",
            format!("{} is out of use. Please choose another pan.", pan.name),
        )
        .into());
    }
    Ok(Some((pan.clone(), charge)))
}

/// The boil of a lot code, not divided yet.
pub(in crate::actions) async fn open_boil(tx: &mut WriteTx, lot: &LotCode) -> Done<BoilRow> {
    let boil = boils::find(lot).ask(tx).await?.ok_or(Stop::Missing)?;
    rules_of::still_open(lot, boil.divided_at.is_some())?;
    Ok(boil)
}

/// Pours juice into a boil, puts right how much was poured, or takes it out again.
pub async fn pour(act: &Act, lot: &LotCode, new: NewDraw) -> Done<BoilId> {
    act.crew()?;
    let mut tx = begin!(act, "pour");
    let boil = open_boil(&mut tx, lot).await?;
    let rules = seasons::rules(boil.rules_id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let (juice, units) = (new.juice, new.units);
    put(act, &mut tx, &boil, &rules, (new, act.said_at())).await?;
    // Changing one boil's draw may leave less for a later boil: each of them must still be possible.
    let mut touched = vec![boil.id];
    let draws = boils::draws_of_juice(juice).ask(&mut tx).await?;
    touched.extend(draws.iter().map(|d| d.boil_id).filter(|id| *id != boil.id));
    for id in touched {
        let touched = boils::of_id(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
        if let Some(finish) = &touched.finish {
            let brought = total(in_pan_parts(&mut tx, id).await?);
            rules_of::balance(brought, finish.syrup, finish.brix_20)
                .with_spilt(finish.spilt)
                .possible(units)
                .map_err(|refusal| in_boil(&touched.lot, &refusal))?;
        }
    }
    act.finish(tx, "pour", boil.id).await
}

/// The balance of a finished boil that a draw would make impossible.
fn in_boil(lot: &LotCode, refusal: &RuleRefusal) -> RuleRefusal {
    RuleRefusal::new(
        refusal.code,
        format!("Boil {lot} is finished. {}", refusal.sentence),
    )
}

/// The parts of juices in a boil.
async fn in_pan_parts(
    conn: &mut Conn,
    boil: BoilId,
) -> Done<Vec<crate::calc::cane::juice::Portion>> {
    let pan = boil_sums::in_pan(boil).ask(conn).await?;
    Ok(pan.into_iter().map(|juice| juice.part).collect())
}

/// Pours juice into a boil, or puts a draw right, as of this time.
async fn put(
    act: &Act,
    tx: &mut WriteTx,
    boil: &BoilRow,
    rules: &Rules,
    (new, at): (NewDraw, UtcSecond),
) -> Done<()> {
    let all = boil_sums::stocked(new.juice)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    if all.row.season_id != boil.season_id {
        return Err(Stop::Missing);
    }
    let row = decide(at, boil, rules, &all, new)?;
    let version = boils::draw_version(boil.id, row.juice_id).ask(tx).await? + 1;
    let row = NewDrawRow { version, ..row };
    write::insert_draw(tx, boil.id, &row, act.measured_by(), act.at).await?;
    Ok(())
}

fn offered(all: &Stocked) -> Offered<'_> {
    Offered {
        ticket: all.row.ticket,
        member: all.row.member_id,
        name: all.row.member_name.as_str(),
        pools: all.row.pools,
        pressed_at: all.row.pressed_at,
    }
}

/// What is poured already is changed only before a later division, and with its reason.
fn may_be_put_right(
    ticket: i64,
    divided_later: bool,
    again: bool,
    why: &str,
) -> Result<(), RuleRefusal> {
    if divided_later {
        let sentence = format!(
            "Ticket {ticket} is also in a later boil that is divided already, so what was poured of it \
             stands."
        );
        return Err(RuleRefusal::beside("juice", "divided-later", sentence));
    }
    if again && why.trim().is_empty() {
        let already = format!("Ticket {ticket} is in this boil already.");
        let sentence = already + " Please say why its amount is put right.";
        return Err(RuleRefusal::beside("why", "why-missing", sentence));
    }
    Ok(())
}

/// Works out the new version of a draw; the caller gives it its number.
fn decide(
    at: UtcSecond,
    boil: &BoilRow,
    rules: &Rules,
    all: &Stocked,
    new: NewDraw,
) -> Result<NewDrawRow, RuleRefusal> {
    let juice = offered(all);
    let is_own = |d: &&boils::DrawRow| d.boil_id == boil.id;
    let own = all.draws.iter().find(is_own);
    let is_later = |d: &boils::DrawRow| (d.lit_at, d.boil_id) > (boil.lit_at, boil.id);
    let divided_later = all.draws.iter().any(|d| is_later(d) && d.divided);
    may_be_put_right(juice.ticket, divided_later, own.is_some(), &new.why)?;
    let mut row = NewDrawRow {
        juice_id: all.row.id,
        version: 0,
        amount: Grams::ZERO,
        whole: false,
        why: new.why,
    };
    if new.amount == Some(Grams::ZERO) {
        if own.is_none() {
            return Err(RuleRefusal::beside(
                "amount",
                "not-in-it",
                format!("Nothing of ticket {} is in this boil.", juice.ticket),
            ));
        }
        return Ok(row);
    }
    rules_of::may_join(&juice, boil.solo_member.as_ref().map(|(id, _)| *id))?;
    if own.is_none() {
        let limits = rules.wait_limits();
        rules_of::fresh_enough(&juice, at, limits, new.tested)?;
    }
    // A later boil that took all that was left still takes what this correction leaves; poured
    // anew, nothing is left to take.
    let counts = |d: &&boils::DrawRow| !(is_own(d) || own.is_some() && d.whole && is_later(d));
    let lost = as_draw(all.lost.mass);
    let others: Vec<Draw> = all
        .draws
        .iter()
        .filter(counts)
        .map(boil_sums::as_draw)
        .chain([lost])
        .collect();
    let left = pour_out(all.stock(), &others).left.mass;
    row.amount = rules_of::enough(juice.ticket, new.amount, left, new.units)?;
    row.whole = new.amount.is_none() && !all.draws.iter().any(is_later);
    Ok(row)
}

/// Notes a reading of a boil on the fire, or puts one right.
pub async fn read(act: &Act, lot: &LotCode, new: NewReading) -> Done<BoilId> {
    act.crew()?;
    let mut tx = begin!(act, "read_boil");
    let boil = open_boil(&mut tx, lot).await?;
    if boil.stage() != Stage::Lit {
        return Err(RuleRefusal::new(
            "boil-finished",
            format!("Boil {lot} is finished: it takes no more readings. What was measured of its syrup can be put right with “Correct the finish”."),
        )
        .into());
    }
    if new.temp.is_none() && new.brix.is_none() && new.note.trim().is_empty() {
        return Err(RuleRefusal::beside(
            "temp",
            "reading-empty",
            "Please write a temperature, a Brix or a remark.",
        )
        .into());
    }
    if let Some(temp) = new.temp {
        rules_of::pan_temperature("temp", temp, new.units)?;
    }
    let found = (
        boil_readings::of_boil(boil.id),
        boil_readings::next_number(boil.id),
    );
    let (before, number) = found.together().ask(&mut tx).await?;
    let last = match new.replaces {
        // What a phone kept may arrive after a later entry of another phone: its own time gives it its place.
        None if act.said_earlier().is_some() || act.form.paper.is_some() => None,
        None => before.last().map(|r| r.read_at),
        Some(number) => {
            if !before.iter().any(|r| r.number == number) {
                return Err(Stop::Missing);
            }
            None
        }
    };
    rules_of::in_order("read_at", new.read_at, boil.lit_at, last, act.at)?;
    let row = NewReadingRow {
        number,
        read_at: new.read_at,
        temp: new.temp,
        brix: new.brix,
        note: new.note,
        replaces: new.replaces,
    };
    let noted = write::insert_reading(boil.id, &row, act.measured_by(), act.at);
    act.finish_with(tx, noted, "read_boil", boil.id).await
}
