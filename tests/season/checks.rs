//! What holds of cane, juice, boils and jars, always.

use crate::books::Books;
use sqlx::{AssertSqlSafe, SqliteConnection};

/// What runs from 1 without gaps: table, within what, by which column.
const NUMBERED: [(&str, &str, &str); 17] = [
    ("planting_versions", "planting_id", "version"),
    ("members", "1", "number"),
    ("season_rules", "season_id", "number"),
    ("tickets", "season_id", "ticket"),
    ("loads", "ticket_id", "number"),
    ("loads", "ticket_id || number", "version"),
    ("juice_measures", "juice_id", "version"),
    ("draws", "boil_id || juice_id", "version"),
    ("boil_readings", "boil_id", "number"),
    ("additions", "boil_id", "number"),
    ("finishes", "boil_id", "version"),
    ("fills", "boil_id", "number"),
    ("fills", "boil_id || number", "version"),
    ("turn_events", "turn_id", "version"),
    ("opening_checks", "press_day_id || item", "version"),
    ("hand_overs", "1", "number"),
    ("ledger", "1", "number"),
];

/// Looks over every running number.
pub async fn numbering(look: &mut SqliteConnection, here: &str) {
    let gaps: Vec<String> = NUMBERED
        .iter()
        .map(|(table, within, number)| {
            format!(
                "select '{table}.{number}' from {table} group by {within}
                having min({number}) <> 1 or max({number}) <> count(distinct {number})"
            )
        })
        .collect();
    let gaps: Vec<String> = sqlx::query_scalar(AssertSqlSafe(gaps.join(" union all ")))
        .fetch_all(look)
        .await
        .unwrap();
    assert!(gaps.is_empty(), "{here}: gaps in {gaps:?}");
}

/// Looks over everything up to the jars.
pub fn all(books: &Books, here: &str) {
    for ticket in books.tickets.values() {
        let pressed = books.pressed(&ticket.id);
        assert!(
            pressed <= ticket.net_g,
            "{here}: {pressed} g of juice from {} g of cane",
            ticket.net_g
        );
    }
    for juice in books.juices.values() {
        poured(books, &juice.id, here);
    }
    for boil in &books.boils {
        boiled(books, boil, here);
    }
}

/// No more is drawn than there is; drawn to the last gram, the parts are the juice.
fn poured(books: &Books, id: &str, here: &str) {
    let juice = &books.juices[id];
    let draws: Vec<_> = books.draws.iter().filter(|d| d.juice_id == id).collect();
    let weighed: i64 = draws.iter().filter(|d| !d.whole).map(|d| d.amount_g).sum();
    assert!(
        weighed <= juice.mass,
        "{here}: {weighed} g drawn of {} g",
        juice.mass
    );
    let whole = draws.iter().filter(|d| d.whole).count();
    assert!(whole <= 1, "{here}: all that was left, drawn {whole} times");
    let parts: Vec<_> = books.parts.iter().filter(|p| p.juice_id == id).collect();
    let mass: i64 = parts.iter().map(|p| p.mass).sum();
    let solids: i64 = parts.iter().map(|p| p.solids).sum();
    let volume: i64 = parts.iter().map(|p| p.volume).sum();
    assert!(
        mass <= juice.mass && solids <= juice.solids && volume <= juice.volume,
        "{here}: over-poured"
    );
    if whole == 1 || weighed == juice.mass {
        assert_eq!(
            (mass, solids, volume),
            (juice.mass, juice.solids, juice.volume),
            "{here}: parts of a juice wholly drawn"
        );
    }
    for part in parts {
        // Within a gram of the exact part.
        let exact = i128::from(juice.solids) * i128::from(part.mass);
        let off = (i128::from(part.solids) * i128::from(juice.mass) - exact).abs();
        assert!(off <= i128::from(juice.mass), "{here}: solids of a part");
        assert!(
            part.mass >= 0 && part.solids >= 0,
            "{here}: a part below nothing"
        );
    }
}

/// Jars hold no more than was drawn off, and every jar has cane behind it.
fn boiled(books: &Books, boil: &crate::books::Boil, here: &str) {
    let lot = &boil.lot_code;
    let jarred: i64 = books.fills_of(&boil.id).map(|f| f.net_g * f.count).sum();
    assert!(
        jarred <= boil.syrup_g.unwrap_or(0),
        "{here}: {lot}: jars over syrup"
    );
    if let Some(alone) = &boil.solo_member_id {
        let others = books.parts_of(&boil.id).any(|p| p.member_id != *alone);
        assert!(!others, "{here}: {lot}: another's juice in a boil alone");
    }
    if jarred == 0 {
        return;
    }
    // Back: jar, boil, draws, juice, ticket, cane.
    let mut behind = 0;
    for draw in books.draws.iter().filter(|d| d.boil_id == boil.id) {
        let ticket = &books.tickets[&books.juices[&draw.juice_id].ticket_id];
        assert!(ticket.net_g > 0, "{here}: {lot}: juice without cane");
        behind += 1;
    }
    assert!(behind > 0, "{here}: {lot}: jars without juice");
}
