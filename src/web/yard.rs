//! What the mill's own station may open: the yard, and nothing of members' or stewards' pages.

use super::paths;

/// The addresses of the yard, as the table of routes has them. A new page of the yard is added here.
const YARD: [&str; 48] = [
    paths::STATION_LEFT,
    // the day
    paths::DAYS,
    paths::DAY,
    paths::MORNING,
    paths::BOARD,
    paths::YARD_PAGES,
    paths::NUMBERS,
    paths::ANY_JUICE,
    paths::ANY_LOAD,
    paths::BALANCE,
    paths::MILL_DAY,
    paths::TAGS,
    // weigh-in
    paths::NEW_TICKET,
    paths::TICKET,
    paths::NEW_LOAD,
    paths::FIX_LOAD,
    paths::UNDO_LOAD,
    paths::MOVE_TICKET,
    paths::END_TICKET,
    paths::SAMPLE,
    paths::REOPEN_TICKET,
    paths::PAPER_LOADS,
    // juice
    paths::NEW_JUICE,
    paths::JUICE,
    paths::FIX_JUICE,
    paths::UNDO_JUICE,
    paths::LOSE_JUICE,
    paths::TAKE_LOSS_BACK,
    paths::PAPER_JUICE,
    // boils and readings
    paths::PLAN,
    paths::BOILS,
    paths::NEW_BOIL,
    paths::BOIL,
    paths::DRAW,
    paths::READING,
    paths::LIVE,
    paths::PAPER_READINGS,
    paths::PAPER_FINISHES,
    paths::FINISH,
    // fills
    paths::FILL,
    paths::ANY_JARS,
    paths::FIX_FILL,
    paths::PAPER_JARS,
    paths::ADDITIONS,
    // hand-over
    paths::HAND_OVERS,
    paths::NEW_HAND_OVER,
    paths::HAND_OVER,
    paths::PAPER_HAND_OVERS,
];

/// Whether the station may open an address, given as the table of routes has it.
pub fn in_yard(path: &str) -> bool {
    YARD.contains(&path)
}

/// Whether a page asks for this address by itself: that does not count as use by whoever stands at the station.
pub(super) fn asked_by_itself(path: &str) -> bool {
    path == paths::CLOCK
        || path == paths::YARD_WORKER
        || path == paths::MANIFEST
        || path.ends_with("/board")
        || path.ends_with("/live")
        || path.ends_with("/pages")
        || path.ends_with("/numbers")
        || path.starts_with("/static/")
}
