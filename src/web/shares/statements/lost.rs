//! Juice of a statement that was spilt or spoilt, or measured twice, and syrup of its lots that was lost: on the first page and in the
//! pencil sums.

use crate::facts::shares::statements::{LotPart, Statement, TicketWithJuices};
use crate::facts::shares::syrup_lost::{SyrupLost, moved_by_loss};
use crate::store::cane::yard::LostPart;
use crate::units::{Grams, JuiceId, Units, Zone};
use crate::web::error::PageError;

/// Juice of which there never was more.
const TWICE: &str = "measured twice";

/// "all of it spilt", or "12.0 lb of it spilt, 3.0 lb measured twice"; none where nothing was lost.
pub(super) fn lost_of(
    ticket: &TicketWithJuices,
    units: Units,
) -> Result<Option<String>, PageError> {
    let ways = lost_ways(ticket);
    let Some(((_, first), rest)) = ways.split_first() else {
        return Ok(None);
    };
    if rest.is_empty() && left_of(ticket)? == Grams::ZERO {
        return Ok(Some(format!("all of it {first}")));
    }
    let says = |(grams, how): &(Grams, &str)| format!("{} of it {how}", grams.show(units));
    Ok(Some(ways.iter().map(says).collect::<Vec<_>>().join(", ")))
}

/// "Ticket 18: 133.1 lb of its juice was spilt before it came into a pan. No syrup comes of it."
pub(super) fn nothing_of(
    ticket: &TicketWithJuices,
    units: Units,
) -> Result<Option<String>, PageError> {
    let number = ticket.ticket.ticket;
    let lost = lost_ways(ticket)
        .into_iter()
        .filter(|(_, how)| *how != TWICE);
    let parts: Vec<String> = lost
        .map(|(grams, how)| format!("{} of its juice was {how}", grams.show(units)))
        .collect();
    if parts.is_empty() {
        return Ok(None);
    }
    let what = parts.join(", ");
    Ok(Some(if left_of(ticket)? == Grams::ZERO {
        format!(
            "Ticket {number}: {what} before it came into a pan, which is all of it. No syrup comes of this ticket."
        )
    } else {
        format!("Ticket {number}: {what} before it came into a pan. No syrup comes of that part.")
    }))
}

/// What was lost of the syrup of each lot, with the member's part of it; and what the member gave up for lots of others.
pub(super) fn syrup_lost(statement: &Statement, units: Units, zone: &Zone) -> Vec<String> {
    let of_lot = |id| statement.lines.iter().filter(move |l| l.boil_id == id);
    let mut told: Vec<String> = statement
        .lots
        .iter()
        .flat_map(|lot| {
            lot.lost
                .iter()
                .map(move |(lost, part)| (lot.boil.id, lost, part))
        })
        .map(|(boil, lost, part)| {
            let moved = if lost.is_written_down() {
                moved_by_loss(of_lot(Some(boil)))
            } else {
                (Grams::ZERO, Grams::ZERO)
            };
            let own = SyrupLost::own_says(*part, moved, units);
            let says = lost.says(units, zone);
            format!("{says} {own}").trim_end().to_owned()
        })
        .collect();
    let own = |id| statement.lots.iter().any(|lot| Some(lot.boil.id) == id);
    let others = statement.lines.iter().filter(|line| !own(line.boil_id));
    let (_, gave_up) = moved_by_loss(others);
    if gave_up > Grams::ZERO {
        told.push(format!(
            "You gave up {} of syrup for lots of others that were lost: the whole season bears that, by the solids each brought.",
            gave_up.said(units)
        ));
    }
    told
}

/// The steps of a lot's sum that say what was lost, and the member's part of it.
pub(super) fn lost_steps(lot: &LotPart, units: Units) -> impl Iterator<Item = String> {
    lot.lost.iter().map(move |(gone, part)| {
        format!(
            "{} of the lot’s syrup {}; divided as jars are, your part of that would have been {}",
            gone.lost.grams_text(units),
            gone.how.was(),
            part.grams_text(units)
        )
    })
}

/// What was lost of a ticket's juice, by the way it was lost.
fn lost_ways(ticket: &TicketWithJuices) -> Vec<(Grams, &'static str)> {
    ["spilt", "spoilt", TWICE]
        .into_iter()
        .map(|how| {
            let these = ticket.lost.iter().filter(|lost| way(lost) == how);
            (these.map(|lost| lost.amount).sum::<Grams>(), how)
        })
        .filter(|(grams, _)| *grams > Grams::ZERO)
        .collect()
}

/// Juice of a ticket that is left when what was lost is off.
fn left_of(ticket: &TicketWithJuices) -> Result<Grams, PageError> {
    let mut left = Grams::ZERO;
    for row in ticket.juices.iter().filter(|row| !row.void) {
        left += row.reckon()?.mass;
    }
    let lost: Grams = ticket.lost.iter().map(|lost| lost.amount).sum();
    Ok((left - lost).max(Grams::ZERO))
}

const fn way(lost: &LostPart) -> &'static str {
    match (lost.twice, lost.spoilt) {
        (true, _) => TWICE,
        (_, true) => "spoilt",
        _ => "spilt",
    }
}

/// "60,373 g − 12,000 g spilt = 48,373 g for the pan", for each part of a juice that was lost.
pub(super) fn lost_lines(
    ticket: &TicketWithJuices,
    juice: JuiceId,
    mass: Grams,
    units: Units,
) -> Vec<String> {
    let mut left = mass;
    let lost = ticket.lost.iter().filter(|lost| lost.juice_id == juice);
    lost.map(|lost| {
        let before = left;
        left -= lost.amount;
        format!(
            "{} − {} {} = {} for the pan",
            before.grams_text(units),
            lost.amount.grams_text(units),
            way(lost),
            left.grams_text(units)
        )
    })
    .collect()
}
