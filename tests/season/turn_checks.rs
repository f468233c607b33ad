//! What holds of turns, always.

use sqlx::SqliteConnection;

/// Each counts what must not be.
const NEVER: [(&str, &str); 11] = [
    (
        "two turns share a minute, and the cane of neither has come",
        "with came as (select turn_id as id from tickets where turn_id is not null union select from_turn from ticket_moves
        where from_turn is not null)
        select count(*) from turns a join turns b on b.press_day_id = a.press_day_id and b.id > a.id
        where a.state = 'held' and b.state = 'held' and a.start_min < b.start_min + b.minutes
        and b.start_min < a.start_min + a.minutes and a.id not in (select id from came) and b.id not in (select id from came)",
    ),
    (
        "a booked minute belongs to no turn held and to no offer that stands",
        "select count(*) from booked_minutes m where not exists (select 1 from turns b
        where b.id = m.turn_id and b.state = 'held' and b.press_day_id = m.press_day_id
        and m.minute >= b.start_min and m.minute < b.start_min + b.minutes)
        and not exists (select 1 from offers o join waiting w on w.id = o.waiting_id
        where o.id = m.offer_id and o.answer is null and w.press_day_id = m.press_day_id
        and m.minute >= o.start_min and m.minute < o.start_min + o.minutes)",
    ),
    (
        "a turn held or an offer lacks a minute that nobody could take since, its cane having come, or has one too many",
        "with came as (select turn_id as id from tickets where turn_id is not null union select from_turn from ticket_moves
        where from_turn is not null)
        select abs((select count(*) from booked_minutes where turn_id is null or turn_id not in (select id from came))
        - (select coalesce(sum(minutes / 5), 0) from turns where state = 'held' and id not in (select id from came))
        - (select coalesce(sum(minutes / 5), 0) from offers where answer is null))",
    ),
    (
        "an offer stands to somebody who does not wait",
        "select count(*) from offers o join waiting w on w.id = o.waiting_id
        where o.answer is null and w.state <> 'waiting'",
    ),
    (
        "a place on a list has a turn that is not its member's, or an offer was taken without one",
        "select count(*) from waiting w left join turns b on b.id = w.turn_id
        where (w.turn_id is not null and (b.member_id <> w.member_id or b.cane_g <> w.cane_g))
        or (w.turn_id is null and exists (select 1 from offers o where o.waiting_id = w.id and o.answer = 'taken'))",
    ),
    (
        "somebody is on a day's list twice",
        "select count(*) from (select 1 from waiting where state in ('waiting', 'declined', 'missed')
        and from_turn_id is null group by press_day_id, member_id having count(*) > 1)",
    ),
    (
        "a turn lies outside its day's hours",
        "select count(*) from turns b join press_days d on d.id = b.press_day_id where b.state = 'held'
        and (b.start_min < d.opens_min or b.start_min + b.minutes > d.closes_min)",
    ),
    (
        "a turn is not where its last event put it",
        "select count(*) from turns b left join turn_events e on e.turn_id = b.id and e.version = b.version
        where e.version is not b.version or e.start_min <> b.start_min or e.minutes <> b.minutes
        or e.press_day_id <> b.press_day_id or (b.state = 'cancelled') <> (e.what = 'cancelled')
        or exists (select 1 from turn_events x where x.turn_id = b.id and x.version > b.version)",
    ),
    (
        "a ticket stands for a turn that is not its own",
        "select count(*) from tickets d join turns b on b.id = d.turn_id
        where b.member_id <> d.member_id or b.press_day_id <> d.press_day_id or b.state <> 'held'",
    ),
    (
        "a turn that lost its room stands on no list, or still holds minutes",
        "select count(*) from day_change_turns t where t.waiting_id is not null and (not exists
        (select 1 from waiting w where w.id = t.waiting_id and w.from_turn_id = t.turn_id and w.press_day_id = t.to_day_id)
        or exists (select 1 from booked_minutes k where k.turn_id = t.turn_id))",
    ),
    (
        "a turn was moved with others to where it had never been, and its member was not told",
        "select count(*) from day_change_turns t join turns b on b.id = t.turn_id where not exists
        (select 1 from notices n where n.change_id = t.change_id and n.turn_id = t.turn_id and n.member_id = b.member_id)
        and (select count(*) from turn_events e where e.turn_id = t.turn_id and e.press_day_id = t.to_day_id
        and e.start_min = t.to_min and e.what <> 'cancelled') < 2",
    ),
];

/// Looks over all turns.
pub async fn all(look: &mut SqliteConnection, here: &str) {
    for (what, sql) in NEVER {
        let count: i64 = sqlx::query_scalar(sql).fetch_one(&mut *look).await.unwrap();
        assert_eq!(count, 0, "{here}: {what}");
    }
}
