//! Every address, as the pattern the router takes and as a function that fills it in. Other files
//! take them from here. Nouns in the order the cane travels.

pub use super::paths_books::*;
pub use super::paths_lists::*;
pub use super::paths_notices::*;
pub use super::paths_probes::*;
pub use super::paths_put_right::*;
pub use super::paths_recalls::*;
pub use super::paths_roster::*;
pub use super::paths_signing_in::*;
pub use super::paths_stations::*;
pub use super::paths_turns::*;
pub use super::paths_waiting::*;
pub use super::paths_yard::*;
use crate::units::{
    Grams, JuiceId, LotCode, MemberId, PanId, PlantingId, PressDate, ScaleId, TicketId, TurnId,
    VesselId,
};
use std::fmt::Write as _;

macro_rules! fixed {
    ($($(#[$doc:meta])* $name:ident = $path:literal;)*) => {$(
        $(#[$doc])*
        pub const $name: &str = $path;
    )*};
}

macro_rules! filled {
    ($($(#[$doc:meta])* $name:ident($hole:ident: $kind:ty) = $path:literal;)*) => {$(
        $(#[$doc])*
        pub fn $name($hole: $kind) -> String {
            format!($path)
        }
    )*};
}

fixed! {
    /// Home, by role.
    HOME = "/";
    /// Answers whether the server is up.
    HEALTH = "/health";
    /// Style sheets and pictures, by hashed name.
    STATIC = "/static/{name}";
    /// Tells crawlers to stay out.
    ROBOTS = "/robots.txt";
    // accounts
    /// Sets the site up at its first start.
    SET_UP = "/set-up";
    /// Sign in.
    SIGN_IN = "/sign-in";
    /// Sign out.
    SIGN_OUT = "/sign-out";
    /// Choose a light or a dark look.
    LOOK = "/look";
    /// Change of passphrase.
    PASSPHRASE = "/passphrase";
    /// The page that an invitation opens.
    JOIN = "/join/{token}";
    // members
    /// All members.
    MEMBERS = "/members";
    /// A new member.
    NEW_MEMBER = "/members/new";
    /// One member.
    MEMBER = "/members/{id}";
    /// Change a member's card.
    EDIT_MEMBER = "/members/{id}/edit";
    /// Invite a member.
    INVITE_MEMBER = "/members/{id}/invite";
    /// Let a member go.
    LET_GO = "/members/{id}/let-go";
    /// Take a member back.
    TAKE_BACK = "/members/{id}/take-back";
    // seasons
    /// All seasons; opening one.
    SEASONS = "/seasons";
    /// A season: its rules and their versions.
    SEASON = "/seasons/{year}";
    /// A new version of a season's rules.
    RULES = "/seasons/{year}/rules";
    /// Confirm a draft of the rules.
    CONFIRM_RULES = "/seasons/{year}/rules/{number}/confirm";
    /// Put the day right from which a version of the rules holds.
    RULES_DAY = "/seasons/{year}/rules/{number}/day";
    /// The season's close: who owes, who is owed; the margin.
    SEASON_CLOSE = "/seasons/{year}/close";
    /// Close a season and lock it, or lift the lock.
    SEASON_LOCK = "/seasons/{year}/lock";
    /// The season's boils under another basis or toll.
    WHAT_IF = "/seasons/{year}/what-if";
    /// All members' statements, to print.
    STATEMENTS_PRINT = "/seasons/{year}/statements/print";
    /// Shares of a season, for a spreadsheet.
    SHARES_CSV = "/seasons/{year}/shares.csv";
    /// Ledger of a season, for a spreadsheet.
    LEDGER_CSV = "/seasons/{year}/ledger.csv";
    /// Loads of a season, for a spreadsheet.
    LOADS_CSV = "/seasons/{year}/loads.csv";
    /// The whole book, as tables in one zip.
    BOOKS_ZIP = "/books.zip";
    /// The plan of a season.
    SEASON_PLAN = "/seasons/{year}/plan";
    /// The season proposed: whose cane on which day; asking the members.
    SEASON_PROPOSAL = "/seasons/{year}/proposal";
    /// Sent: when the first frost is expected.
    SEASON_FROST = "/seasons/{year}/frost";
    /// Sent: the night for which frost is forecast.
    SEASON_FORECAST = "/seasons/{year}/frost-forecast";
    /// The history of all that was changed.
    HISTORY = "/history";
    // mill
    /// Scales, vessels and pans of the mill, and the co-op's card.
    MILL = "/mill";
    /// Change the co-op's card.
    COOP = "/mill/co-op";
    /// A new scale.
    NEW_SCALE = "/mill/scales/new";
    /// Take a scale out of use, or back.
    RETIRE_SCALE = "/mill/scales/{id}/retire";
    /// A new vessel.
    NEW_VESSEL = "/mill/vessels/new";
    /// Take a vessel out of use, or back.
    RETIRE_VESSEL = "/mill/vessels/{id}/retire";
    /// The pans, and what boils in them are planned with.
    PANS = "/mill/pans";
    /// A new pan.
    NEW_PAN = "/mill/pans/new";
    /// Take a pan out of use, or back.
    RETIRE_PAN = "/mill/pans/{id}/retire";
    // press days
    /// The press days of the season.
    DAYS = "/days";
    /// A new press day.
    NEW_DAY = "/days/new";
    /// A press day: its turns, tickets, juices and boils.
    DAY = "/days/{date}";
    /// Change a press day.
    EDIT_DAY = "/days/{date}/edit";
    /// Close a press day, or open it again.
    CLOSE_DAY = "/days/{date}/close";
    /// The board of a press day, for a screen at the mill.
    BOARD = "/days/{date}/board";
    /// The queue of a press day, for members.
    QUEUE = "/days/{date}/queue";
    /// The sheet of a press day, to print and write on.
    DAY_SHEET = "/days/{date}/sheet";
    /// The morning's opening checks of a press day.
    MORNING = "/days/{date}/morning";
    // plantings
    /// Plantings of a member.
    PLANTINGS = "/members/{id}/plantings";
    /// A new planting of a member.
    NEW_PLANTING = "/members/{id}/plantings/new";
    /// Take a member's plantings over from the season before.
    PLANTINGS_AGAIN = "/members/{id}/plantings/again";
    /// Change what was said of a planting.
    EDIT_PLANTING = "/plantings/{id}/edit";
    /// Take a planting off the record.
    REMOVE_PLANTING = "/plantings/{id}/remove";
    // turns
    /// Book a turn.
    BOOK = "/days/{date}/book";
    /// One turn.
    TURN = "/turns/{id}";
    /// Move a turn.
    MOVE_TURN = "/turns/{id}/move";
    /// Move a day's turns together.
    CHANGE_TURNS = "/days/{date}/turns/{how}";
    /// Turns that were moved together.
    CHANGE = "/changes/{id}";
    /// The mill runs again before its time.
    RUNS_AGAIN = "/changes/{id}/runs-again";
    /// Cancel a turn.
    CANCEL_TURN = "/turns/{id}/cancel";
    /// Undo what was just done with a turn.
    UNDO_TURN = "/turns/{id}/undo";
    /// Confirm a turn.
    CONFIRM_TURN = "/turns/{id}/confirm";
    /// Note that nobody came to a turn, or somebody after all.
    MISS_TURN = "/turns/{id}/missed";
    // calendars
    /// Addresses of calendar feeds.
    CALENDAR = "/calendar";
    /// Revoke the address of a feed.
    REVOKE_FEED = "/calendar/revoke";
    /// A feed; its token and `.ics`.
    FEED = "/calendar/{token}";
    /// One turn as a calendar file.
    TURN_ICS = "/turns/{id}/ics";
    // tickets
    /// A new ticket on a press day.
    NEW_TICKET = "/days/{date}/tickets/new";
    /// A ticket.
    TICKET = "/tickets/{id}";
    /// Weigh another load of a ticket.
    NEW_LOAD = "/tickets/{id}/loads/new";
    /// Correct a load.
    FIX_LOAD = "/tickets/{id}/loads/{number}/correct";
    /// Measure the juice of a ticket.
    NEW_JUICE = "/tickets/{id}/juice/new";
    /// A juice.
    JUICE = "/juices/{id}";
    /// Correct a juice's reading.
    FIX_JUICE = "/juices/{id}/correct";
    // boils
    /// The boils of the season.
    BOILS = "/boils";
    /// Light a boil on a press day.
    NEW_BOIL = "/days/{date}/boils/new";
    /// Proposes which juices to boil next.
    PLAN = "/days/{date}/plan";
    /// A day's sugar from cane to jars.
    BALANCE = "/days/{date}/balance";
    /// A day's juice from its cane, ticket by ticket.
    MILL_DAY = "/days/{date}/mill";
    /// A boil.
    BOIL = "/boils/{lot}";
    /// Pour juice into a boil, or take it out again.
    DRAW = "/boils/{lot}/draws";
    /// Note a reading of a boil.
    READING = "/boils/{lot}/readings";
    /// The figures of a boil's watch at this moment, without the page around them.
    LIVE = "/boils/{lot}/live";
    /// Additions to a boil beside juice.
    ADDITIONS = "/boils/{lot}/additions";
    /// Divide a boil by another version of the rules.
    OTHER_RULES = "/boils/{lot}/rules";
    /// Finish a boil.
    FINISH = "/boils/{lot}/finish";
    /// Fill jars.
    FILL = "/boils/{lot}/fills";
    /// Correct a fill.
    FIX_FILL = "/boils/{lot}/fills/{number}/correct";
    /// Divide a boil.
    DIVIDE = "/boils/{lot}/divide";
    /// Open a divided boil for a correction.
    CORRECT = "/boils/{lot}/correct";
    /// Syrup of a boil that was lost.
    LOSS = "/boils/{lot}/loss";
    /// Let the season bear a boil's loss.
    BEAR_LOSS = "/boils/{lot}/loss/bear";
    /// Take a boil's loss back.
    BOIL_NOT_LOST = "/boils/{lot}/loss/back";
    // labels
    /// Choose labels for a lot.
    LABELS = "/boils/{lot}/labels";
    /// The sheet of labels, to print.
    LABEL_SHEET = "/boils/{lot}/labels/sheet";
    /// A lot's public page; upper case, so that its QR code is small.
    LOT = "/L/{lot}";
    /// A lot's public page by the address that people type; leads on to it.
    LOT_TYPED = "/l/{lot}";
    // hand-overs
    /// Jars waiting and handed over.
    HAND_OVERS = "/hand-overs";
    /// Hand jars over to a member.
    NEW_HAND_OVER = "/members/{id}/hand-over";
    /// Hand the mill's own jars over: the word stands in the id's place.
    MILL_HAND_OVER = "/members/mill/hand-over";
    /// A receipt.
    HAND_OVER = "/hand-overs/{number}";
    /// A member's season on one page.
    STATEMENT = "/members/{id}/statement/{year}";
    /// A statement to print.
    STATEMENT_PRINT = "/members/{id}/statement/{year}/print";
    /// The ledger: who owes and who is owed.
    LEDGER = "/ledger";
}

filled! {
    /// Plantings of a member.
    plantings(id: MemberId) = "/members/{id}/plantings";
    /// A new planting of a member.
    new_planting(id: MemberId) = "/members/{id}/plantings/new";
    /// Take a member’s plantings over from the season before.
    plantings_again(id: MemberId) = "/members/{id}/plantings/again";
    /// Change what was said of a planting.
    edit_planting(id: PlantingId) = "/plantings/{id}/edit";
    /// Take a planting off the record.
    remove_planting(id: PlantingId) = "/plantings/{id}/remove";
    /// A calendar feed.
    feed(token: &str) = "/calendar/{token}.ics";
    /// One turn as a calendar file.
    turn_ics(id: TurnId) = "/turns/{id}/ics";
    /// The board of a press day, for a screen at the mill.
    board(date: PressDate) = "/days/{date}/board";
    /// The sheet of a press day, to print and write on.
    day_sheet(date: PressDate) = "/days/{date}/sheet";
    /// The plan of a season.
    season_plan(year: i64) = "/seasons/{year}/plan";
}

/// One member.
pub fn member(id: MemberId) -> String {
    format!("/members/{id}")
}
/// Change a member's card.
pub fn edit_member(id: MemberId) -> String {
    format!("/members/{id}/edit")
}
/// Invite a member.
pub fn invite_member(id: MemberId) -> String {
    format!("/members/{id}/invite")
}
/// The page that an invitation opens.
pub fn join(token: &str) -> String {
    format!("/join/{token}")
}
/// Sign in, then go to `next`.
pub fn sign_in_then(next: &str) -> String {
    format!("{SIGN_IN}?next={}", encode(next))
}

/// A season.
pub fn season(year: i64) -> String {
    format!("/seasons/{year}")
}
/// A new version of a season's rules.
pub fn rules(year: i64) -> String {
    format!("/seasons/{year}/rules")
}
/// Take a scale out of use, or back.
pub fn retire_scale(id: ScaleId) -> String {
    format!("/mill/scales/{id}/retire")
}
/// Take a vessel out of use, or back.
pub fn retire_vessel(id: VesselId) -> String {
    format!("/mill/vessels/{id}/retire")
}
/// The press days of a season.
pub fn days_of(year: i64) -> String {
    format!("{DAYS}?season={year}")
}
/// A press day.
pub fn day(date: PressDate) -> String {
    format!("/days/{date}")
}
/// Change a press day.
pub fn edit_day(date: PressDate) -> String {
    format!("/days/{date}/edit")
}
/// Close a press day, or open it again.
pub fn close_day(date: PressDate) -> String {
    format!("/days/{date}/close")
}
/// The morning's opening checks of a press day.
pub fn morning(date: PressDate) -> String {
    format!("/days/{date}/morning")
}
/// Take a pan out of use, or back.
pub fn retire_pan(id: PanId) -> String {
    format!("/mill/pans/{id}/retire")
}
/// A new ticket on a press day.
pub fn new_ticket(date: PressDate) -> String {
    format!("/days/{date}/tickets/new")
}
/// A new ticket for a turn.
pub fn new_ticket_for(date: PressDate, turn: TurnId) -> String {
    format!("/days/{date}/tickets/new?turn={turn}")
}
/// A ticket.
pub fn ticket(id: TicketId) -> String {
    format!("/tickets/{id}")
}
/// Weigh another load of a ticket.
pub fn new_load(id: TicketId) -> String {
    format!("/tickets/{id}/loads/new")
}
/// Correct a load.
pub fn fix_load(id: TicketId, number: i64) -> String {
    format!("/tickets/{id}/loads/{number}/correct")
}
/// Measure the juice of a ticket.
pub fn new_juice(id: TicketId) -> String {
    format!("/tickets/{id}/juice/new")
}
/// A juice.
pub fn juice(id: JuiceId) -> String {
    format!("/juices/{id}")
}
/// Correct a juice's reading.
pub fn fix_juice(id: JuiceId) -> String {
    format!("/juices/{id}/correct")
}
/// Light a boil on a press day.
pub fn new_boil(date: PressDate) -> String {
    format!("/days/{date}/boils/new")
}
/// The boils of a season.
pub fn boils_of(year: i64) -> String {
    format!("{BOILS}?year={year}")
}
/// Light a boil of some juices: of each, all that is left or some of it; alone for a member, or pooled; in a pan of
/// one's choice.
pub fn light_these(
    date: PressDate,
    juices: &[(JuiceId, Option<Grams>)],
    alone: Option<MemberId>,
    pan: Option<PanId>,
) -> String {
    let mut query: Vec<String> = Vec::new();
    for (juice, part) in juices {
        query.push(format!("juice={juice}"));
        query.extend(part.map(|part| format!("part={juice}_{}", part.get())));
    }
    query.extend(alone.map(|member| format!("alone={member}")));
    query.extend(pan.map(|pan| format!("pan={pan}")));
    format!("{}?{}", new_boil(date), query.join("&"))
}
/// Proposes which juices to boil next.
pub fn plan(date: PressDate) -> String {
    format!("/days/{date}/plan")
}
/// Proposes which juices to boil next in this pan.
pub fn plan_in(date: PressDate, pan: PanId) -> String {
    format!("/days/{date}/plan?pan={pan}")
}
/// A day's sugar from cane to jars.
pub fn balance(date: PressDate) -> String {
    format!("/days/{date}/balance")
}
/// A day's juice from its cane, ticket by ticket.
pub fn mill_day(date: PressDate) -> String {
    format!("/days/{date}/mill")
}
/// A boil.
pub fn boil(lot: &LotCode) -> String {
    format!("/boils/{}", lot.as_str())
}
/// A page under a boil: `part` is one of `draws`, `readings`, `live`, `finish`, `fills`, `divide`, `labels`.
pub fn boil_part(lot: &LotCode, part: &str) -> String {
    format!("/boils/{}/{part}", lot.as_str())
}

/// Percent-encodes all but letters, digits and `-._~/` (RFC 3986, section 2.3).
pub(super) fn encode(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}
