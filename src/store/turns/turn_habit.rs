//! A season's tickets as far as they teach anything about row, juice and pace; what they teach is
//! `calc::turn_habit`.

use crate::calc::turns::turn_habit::{Habit, Pressed};
use crate::store::cane::{juice, tickets};
use crate::store::season::seasons;
use crate::store::{Conn, Stored};
use crate::units::{Grams, PressDayId, SeasonId, TicketId, UtcSecond};
use std::collections::BTreeMap;

struct Weighed {
    id: TicketId,
    press_day_id: PressDayId,
    row_m: Option<f64>,
    at: UtcSecond,
}

/// The tickets of a season that are weighed, with the row that their turns were booked by.
async fn weighed(conn: &mut Conn, season: SeasonId) -> Stored<Vec<Weighed>> {
    Ok(sqlx::query_as!(
        Weighed,
        r#"select d.id as "id!: TicketId", d.press_day_id as "press_day_id!: PressDayId",
        (select b.told_amount from turns b where b.id = d.turn_id and b.told_as = 'row') as "row_m?: f64",
        min(coalesce(l.weighed_at, l.at)) as "at!: UtcSecond"
        from tickets d join loads l on l.ticket_id = d.id where d.season_id = ?1
        group by d.id order by d.ticket"#,
        season
    )
    .fetch_all(conn)
    .await?)
}

/// What a season's turns teach, on its own.
async fn alone(conn: &mut Conn, season: SeasonId) -> Stored<Habit> {
    let mut cane: BTreeMap<TicketId, Grams> = BTreeMap::new();
    for row in tickets::nets(conn, season).await? {
        cane.insert(row.ticket_id, row.net);
    }
    let mut juice: BTreeMap<TicketId, (Grams, Grams, UtcSecond)> = BTreeMap::new();
    for row in juice::of_season(conn, season).await? {
        let reckoned = row.reckon()?;
        let sum = juice
            .entry(row.ticket_id)
            .or_insert((Grams::ZERO, Grams::ZERO, row.pressed_at));
        sum.0 += reckoned.mass;
        sum.1 += reckoned.solids;
        sum.2 = sum.2.max(row.pressed_at);
    }
    let mut days: Vec<PressDayId> = Vec::new();
    let mut tickets = Vec::new();
    for row in weighed(conn, season).await? {
        let day = days.iter().position(|d| *d == row.press_day_id);
        let day = day.unwrap_or_else(|| {
            days.push(row.press_day_id);
            days.len() - 1
        });
        let juice = juice.get(&row.id);
        tickets.push(Pressed {
            day,
            row_m: row.row_m,
            cane: cane.get(&row.id).copied().unwrap_or_default(),
            juice: juice.map(|(mass, solids, _)| (*mass, *solids)),
            weighed: row.at,
            pressed: juice.map(|(_, _, pressed)| *pressed),
        });
    }
    Ok(Habit::of(&tickets))
}

/// What a season's turns teach; a figure from too few of them is the last season's.
pub async fn read(conn: &mut Conn, season: SeasonId) -> Stored<Habit> {
    let own = alone(conn, season).await?;
    if own.whole() {
        return Ok(own);
    }
    let year = seasons::find(conn, season).await?.map_or(0, |s| s.year);
    let all = seasons::list(conn).await?;
    // The latest first.
    match all.iter().find(|s| s.year < year) {
        Some(last) => Ok(own.or_of(alone(conn, last.id).await?)),
        None => Ok(own),
    }
}
