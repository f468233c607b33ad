//! Weighing in: opening a ticket with its first load, adding loads, correcting them.

pub use super::numbers::OwnNumber;
use super::numbers::number;
use super::past::Past;
pub use super::whose::CaneOf;
use super::whose::found;
use crate::actions::season::season_losses::still_pressed;
use crate::actions::season::seasons::confirmed;
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::cane::expected::Expected;
use crate::calc::cane::morning::may_open_ticket;
use crate::calc::cane::press_times::PressTimes;
use crate::calc::cane::same_load::{RecordedLoad, another_load};
use crate::calc::cane::scale::{Graduation, Net, Weighing};
use crate::calc::cane::tickets::{self as rules, Condition};
use crate::store::cane::mill::Scale;
use crate::store::cane::tickets::{self, LoadRow, NewLoadRow, NewTicketRow};
use crate::store::cane::weigh_in::{self, StandingLoad};
use crate::store::cane::{mill, morning};
use crate::store::people::coop::{self, Coop};
use crate::store::people::members;
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Question, Together};
use crate::units::{Grams, LotCode, MemberName, PressDayId, ScaleId, TicketId, Units, UtcSecond};

/// One weighing as the crew reads it off the scale.
#[derive(Debug, Clone)]
pub struct NewLoad {
    /// The scale.
    pub scale: ScaleId,
    /// Weight with the cane on the trailer.
    pub gross: Grams,
    /// The empty trailer or basket; 0 for bundles laid on bare.
    pub tare: Grams,
    /// Name of the trailer; empty: it has none.
    pub trailer: String,
    /// Whether the scale really showed this, however unlikely it looks.
    pub sure: bool,
    /// Whether it is another load than the one like it that stands in the book.
    pub another: bool,
    /// Whether its cane is pressed after all, though its ticket was closed as gone home.
    pub after_all: bool,
    /// When it was on the scale; `None`: just now.
    pub weighed_at: Option<UtcSecond>,
}

/// A ticket and its first load.
#[derive(Debug, Clone)]
pub struct NewTicket {
    /// The turn or member that it is opened for.
    pub whose: CaneOf,
    /// What was seen of the cane when it came.
    pub condition: Condition,
    /// When the cane was cut, if that is known.
    pub cut_at: Option<UtcSecond>,
    /// Remark.
    pub note: String,
    /// The first load.
    pub load: NewLoad,
    /// The number that a phone gave it or that is written on paper; `None`: the next.
    pub number: Option<OwnNumber>,
}

/// Opens a ticket with its first load, once the day's opening checks are done or waived.
pub async fn open_ticket(act: &Act, day: PressDayId, new: NewTicket) -> Done<TicketId> {
    act.crew()?;
    let new = NewTicket {
        load: timed_by_the_tap(act, new.load),
        ..new
    };
    let mut tx = begin!(act, "open_ticket");
    let of_day = (
        press_days::find(day),
        coop::find(),
        morning::done_or_waived(day),
        found(day, new.whose),
        mill::scale(new.load.scale),
        act.units_read(),
    );
    let (day, coop, checked, who, scale, units) = of_day.together().ask(&mut tx).await?;
    let (day, coop) = (day.ok_or(Stop::Missing)?, coop.ok_or(Stop::Missing)?);
    takes_tickets(act, &day, &coop)?;
    may_open_ticket(&checked)?;
    let (member_id, turn_id, expected) = who.on(day.id)?;
    let of_member = (
        confirmed(day.season_id, day.date),
        number(day.season_id, new.number),
        weigh_in::past_loads(member_id),
        weigh_in::standing_loads(day.id, member_id),
        members::find(member_id),
        still_pressed(day.season_id),
    );
    let (rules, ticket, past, standing, member, pressed) =
        of_member.together().ask(&mut tx).await?;
    rules?;
    pressed?;
    not_weighed_later(act, &coop, &day, &new.load)?;
    if let Some(cut) = new.cut_at {
        rules::cut_before(cut, new.load.weighed_at.unwrap_or(act.at))?;
    }
    let ticket = NewTicketRow {
        id: TicketId::new(act.record_id()),
        season_id: day.season_id,
        ticket: ticket?,
        press_day_id: day.id,
        member_id,
        turn_id,
        cut_at: new.cut_at,
        condition: new.condition,
        note: new.note,
    };
    let (scale, units) = (in_use(scale)?, units?);
    let past = Past::of(past);
    let weighing = weighing(&scale, &new.load, past.expected(expected, &[]))?;
    let net = rules::load_net(&weighing, &past.tares(), new.load.sure, units)?;
    let name = member.ok_or(Stop::Missing)?.name;
    no_twin(act, (net, &new.load), (&name, standing), units)?;
    let opened = Question::every([
        tickets::insert(&ticket, act.measured_by(), act.at),
        tickets::insert_load(&row(act, ticket.id, (1, 1), &scale, &new.load)),
    ]);
    act.finish_with(tx, opened, "open_ticket", ticket.id).await
}

/// A load tapped on a phone that sends it later was on the scale then.
pub(super) fn timed_by_the_tap(act: &Act, load: NewLoad) -> NewLoad {
    NewLoad {
        weighed_at: load.weighed_at.or_else(|| act.said_earlier()),
        ..load
    }
}

/// Asks whether it is another load than one like it that another phone may have just weighed.
pub(super) fn no_twin(
    act: &Act,
    (net, load): (Grams, &NewLoad),
    (name, standing): (&MemberName, Vec<StandingLoad>),
    units: Units,
) -> Done<()> {
    let stands = |s: StandingLoad| RecordedLoad {
        id: s.id,
        ticket: s.ticket,
        net: s.net,
        weighed: s.weighed,
        by: s.by_name.to_string(),
    };
    let already: Vec<RecordedLoad> = standing.into_iter().map(stands).collect();
    let weighed = load.weighed_at.unwrap_or(act.at);
    Ok(another_load(
        (net, weighed),
        name.as_str(),
        &already,
        load.another,
        units,
    )?)
}

/// Under a divided boil nothing is rewritten.
pub(in crate::actions) fn not_divided(lot: Option<LotCode>) -> Done<()> {
    match lot {
        None => Ok(()),
        Some(lot) => Err(RuleRefusal::new(
            "divided",
            format!(
                "Its juice is in lot {}, which is divided: what was shared out stands. To put \
                 something right, a steward opens that lot for a correction.",
                lot.as_str()
            ),
        )
        .into()),
    }
}

pub(super) fn takes_tickets(act: &Act, day: &PressDay, coop: &Coop) -> Done<()> {
    if day.closed_at.is_some() {
        return Err(RuleRefusal::new(
            "day-closed",
            format!(
                "{} is closed and takes no more cane. A steward can open it again.",
                day.date.show()
            ),
        )
        .into());
    }
    if day.date > coop.zone.local(act.at).0 {
        return Err(RuleRefusal::new(
            "day-to-come",
            format!(
                "This press day is {}. Cane is weighed in on the day.",
                day.date.show()
            ),
        )
        .into());
    }
    Ok(())
}

/// A time that is given lies on the press day, or in the night after it, and is past.
pub(super) fn not_weighed_later(
    act: &Act,
    coop: &Coop,
    day: &PressDay,
    load: &NewLoad,
) -> Done<()> {
    let Some(at) = load.weighed_at else {
        return Ok(());
    };
    let times = PressTimes {
        zone: &coop.zone,
        day: day.date,
        opens: day.opens,
        at: act.at,
        from: None,
    };
    if at > act.at || !times.holds(at) {
        return Err(RuleRefusal::beside(
            "weighed",
            "weighed-when",
            format!(
                "Please write a time of {} that is past, or leave it empty for just now.",
                day.date.show()
            ),
        )
        .into());
    }
    Ok(())
}

pub(super) fn no_scale() -> RuleRefusal {
    RuleRefusal::beside("scale", "no-scale", "Please choose the scale.")
}

pub(super) fn in_use(scale: Option<Scale>) -> Done<Scale> {
    let scale = scale.ok_or_else(no_scale)?;
    if scale.retired_at.is_some() {
        return Err(RuleRefusal::beside(
            "scale",
            "scale-retired",
            format!(
                "{} was taken out of use. Please choose another scale.",
                scale.name
            ),
        )
        .into());
    }
    Ok(scale)
}

pub(super) fn weighing(
    scale: &Scale,
    load: &NewLoad,
    expected: Option<Expected>,
) -> Done<Weighing> {
    let graduation = Graduation::new(scale.graduation_g).map_err(|refusal| RuleRefusal {
        at: Some("scale"),
        ..refusal
    })?;
    Ok(Weighing {
        graduation,
        capacity: scale.capacity,
        gross: load.gross,
        tare: load.tare,
        expected,
    })
}

/// Net of a load on a scale of that graduation, g.
fn net_of(graduation_g: f64, load: &NewLoad) -> Net {
    match Graduation::new(graduation_g) {
        Ok(graduation) => graduation.net(load.gross, load.tare),
        // A scale without a sound graduation was refused before this point.
        Err(_) => Net {
            grams: load.gross - load.tare,
            lb: None,
        },
    }
}

/// The net cane of a load as it was kept.
pub(super) fn as_kept(load: &LoadRow) -> Net {
    Net {
        grams: load.kept_net,
        lb: load.net_lb,
    }
}

pub(super) fn row<'a>(
    act: &Act,
    ticket: TicketId,
    (number, version): (i64, i64),
    scale: &Scale,
    load: &'a NewLoad,
) -> NewLoadRow<'a> {
    NewLoadRow {
        ticket_id: ticket,
        number,
        version,
        scale: scale.id,
        graduation_g: scale.graduation_g,
        gross: load.gross,
        tare: load.tare,
        net: net_of(scale.graduation_g, load),
        trailer: &load.trailer,
        void: false,
        why: "",
        by: act.measured_by(),
        at: act.at,
        weighed_at: load.weighed_at,
    }
}
