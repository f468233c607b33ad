//! What no record notes and is compared with what they do note: the minutes that are held with the turns and offers that hold them,
//! and the secrets of second factors with their digests.

use super::written_words::Words;
use crate::calc::turns::starts::Span;
use crate::store::people::{coop, second_factor};
use crate::store::turns::booked::{self, Holder};
use crate::store::{Conn, Stored, Together};
use crate::units::{ClockTime, PressDate, PressDayId, Zone};
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet};

/// The tables that are read here.
const READ: [&str; 11] = [
    "coop",
    "members",
    "press_days",
    "turns",
    "waiting",
    "offers",
    "booked_minutes",
    "second_factors",
    "tickets",
    "ticket_moves",
    "records",
];

/// What differs, a sentence each. `gone`: tables that are not there.
///
/// # Errors
/// The store failed.
pub(super) async fn beside(
    conn: &mut Conn,
    gone: &BTreeSet<String>,
    words: &Words,
) -> Stored<Vec<String>> {
    if READ.iter().any(|table| gone.contains(*table)) {
        // That they are gone is told by itself.
        return Ok(Vec::new());
    }
    let mut out = match minutes(conn).await {
        Ok(sentences) => sentences,
        Err(error) => vec![format!(
            "The minutes that are held were not compared with the turns: {}.",
            error.not_read_back()?
        )],
    };
    for id in second_factor::other_secrets(conn).await? {
        let label = words.label("second_factors", &json!({ "member_id": id }).to_string());
        out.push(format!(
            "{label}: its secret is another one than when it was written."
        ));
    }
    Ok(out)
}

/// Five minutes of a press day.
type Five = (PressDayId, ClockTime);

/// The minutes of a turn or an offer.
fn wanted(holder: &Holder, zone: &Zone) -> (BTreeSet<Five>, String) {
    let clock = zone.clock(holder.date);
    let span = Span::kept(&clock, holder.start, holder.minutes);
    let fives = span.fives().map(|five| clock.time(five));
    let all = fives.map(|five| (holder.press_day_id, five)).collect();
    (all, span.show(&clock))
}

/// The minutes that are held against the turns and offers that stand.
async fn minutes(conn: &mut Conn) -> Stored<Vec<String>> {
    let Some(card) = coop::find().ask(conn).await? else {
        return Ok(Vec::new());
    };
    let (holders, held) = (booked::holders(), booked::held())
        .together()
        .ask(conn)
        .await?;
    let mut days: BTreeMap<PressDayId, PressDate> = BTreeMap::new();
    let mut by: BTreeMap<String, BTreeSet<Five>> = BTreeMap::new();
    let taken: BTreeSet<Five> = held.iter().map(|f| (f.press_day_id, f.start)).collect();
    for five in held {
        days.insert(five.press_day_id, five.date);
        let own = by.entry(five.by).or_default();
        own.insert((five.press_day_id, five.start));
    }
    let mut out = Vec::new();
    for holder in holders {
        let (wanted, shown) = wanted(&holder, &card.zone);
        let mut own = by.remove(&holder.id).unwrap_or_default();
        if holder.weighed_in {
            // Cane that is there is pressed when the line comes to it: what was planned for it may be another's since.
            own.extend(wanted.intersection(&taken));
        }
        if own != wanted {
            let what = if holder.offered {
                "offer to"
            } else {
                "turn of"
            };
            out.push(format!(
                "{what} member {} ({}) on {}, {shown}: other minutes are held for it, so that some may be given away twice.",
                holder.number,
                holder.name,
                holder.date.show()
            ));
        }
    }
    // What is left is held for nothing that stands.
    let left: BTreeSet<PressDayId> = by.into_values().flatten().map(|(day, _)| day).collect();
    for day in left.iter().filter_map(|day| days.get(day)) {
        out.push(format!(
            "{}: minutes are held for no turn and no offer that stands.",
            day.show()
        ));
    }
    Ok(out)
}
