//! Every address of the site, in one table: who may open it, and what answers. Read this first.

use super::app::App;
use super::guard::{self, Who};
use super::{form, help, home, noting, paths, statics, yard_pages};
use crate::web::boil::{additions, boils, empty_jars, jar_checks, pans, pooling, probes};
use crate::web::cane::{day_figures, juice, mill, morning, tags, tickets};
use crate::web::people::{
    accounts, calendar, forgetting, household, members, notices, second_factor, sessions, stations,
};
use crate::web::season::{
    plantings, proposal, rules_days, season_close, season_plan, seasons, what_if,
};
use crate::web::shares::{
    divisions, exports, hand_overs, history, holds, labels, ledger, looks, looks::colours, my_lot,
    recalls, restored, season_picture, shelf, statements, trace,
};
use crate::web::turns::{day_changes, day_line, possible_days, press_days, roster, turn, waiting};
use axum::Router;
use axum::extract::{DefaultBodyLimit, RawPathParams};
use axum::http::StatusCode;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::response::Redirect;
use axum::routing::{MethodRouter, get, post};
use std::collections::HashSet;
use std::time::Duration;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::timeout::TimeoutLayer;

/// The longest that an answer may take: three hundred people who sign in at once wait for one another, and a small
/// computer looks at a passphrase in a fifth of a second. Slow senders and readers are cut off long before.
const LONGEST: Duration = Duration::from_secs(90);

/// One line of the table of addresses.
pub struct Route {
    /// The address, as the router takes it.
    pub path: &'static str,
    /// The people who may open it.
    pub who: Who,
    /// Whether it answers GET.
    pub gets: bool,
    /// Whether it answers POST.
    pub posts: bool,
    /// Where the form stands that is sent here, if this address shows no page of its own.
    pub page: Option<&'static str>,
    answer: MethodRouter<App>,
}

fn show(path: &'static str, who: Who, answer: MethodRouter<App>) -> Route {
    Route {
        path,
        who,
        gets: true,
        posts: false,
        page: None,
        answer,
    }
}

fn form(path: &'static str, who: Who, answer: MethodRouter<App>) -> Route {
    Route {
        path,
        who,
        gets: true,
        posts: true,
        page: None,
        answer,
    }
}

/// `page` is where the form stands: whoever loads this address again is led there.
fn send(path: &'static str, who: Who, page: &'static str, answer: MethodRouter<App>) -> Route {
    Route {
        path,
        who,
        gets: false,
        posts: true,
        page: Some(page),
        answer,
    }
}

/// The table: every address, theme by theme.
pub fn table() -> Vec<Route> {
    [
        house(),
        people(),
        season(),
        turns(),
        cane(),
        boil(),
        shares(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The house itself.
#[rustfmt::skip] // one line an address
fn house() -> Vec<Route> {
    use Who::{Anyone, Members};
    vec![
        show(paths::HOME, Members, get(home::show)),
        show(paths::HEALTH, Anyone, get(home::health)),
        show(paths::CLOCK, Anyone, get(home::clock)),
        show(paths::YARD_WORKER, Anyone, get(statics::worker)),
        show(paths::MANIFEST, Anyone, get(statics::manifest)),
        show(paths::ROBOTS, Anyone, get(home::robots)),
        show(paths::STATIC, Anyone, get(statics::show)),
        send(paths::LOOK, Anyone, paths::HOME, post(home::look)),
        show(paths::HELP, Members, get(help::show)),
    ]
}

/// Members, accounts, stations, notices, calendars.
#[rustfmt::skip] // one line an address
fn people() -> Vec<Route> {
    use Who::{Anyone, Crew, Members, Stewards};
    vec![
        form(paths::SET_UP, Anyone, get(accounts::set_up_form).post(accounts::set_up)),
        form(paths::SIGN_IN, Anyone, get(accounts::sign_in_form).post(accounts::sign_in)),
        send(paths::SIGN_OUT, Members, paths::HOME, post(accounts::sign_out)),
        form(paths::JOIN, Anyone, get(accounts::join_form).post(accounts::join)),
        form(paths::PASSPHRASE, Members, get(accounts::passphrase_form).post(accounts::passphrase)),
        send(paths::SIGN_IN_CODE, Anyone, paths::SIGN_IN, post(accounts::code)),
        show(paths::SESSIONS, Members, get(sessions::show)),
        send(paths::END_SESSION, Members, paths::SESSIONS, post(sessions::end)),
        send(paths::END_OTHERS, Members, paths::SESSIONS, post(sessions::end_others)),
        send(paths::SIGN_MEMBER_OUT, Stewards, paths::MEMBER, post(sessions::end_all)),
        form(paths::SECOND_FACTOR, Members, get(second_factor::show).post(second_factor::turn_on)),
        send(paths::NO_SECOND_FACTOR, Members, paths::SECOND_FACTOR, post(second_factor::turn_off)),
        show(paths::MEMBERS, Crew, get(members::list)),
        form(paths::NEW_MEMBER, Stewards, get(members::new).post(members::create)),
        form(paths::PASTE_MEMBERS, Stewards, get(members::paste).post(members::take_pasted)),
        form(paths::INVITE_ALL, Stewards, get(members::invite_all_form).post(members::invite_all)),
        show(paths::ALL_ABOUT, Members, get(members::all_about)),
        show(paths::MEMBER, Members, get(members::show)),
        form(paths::EDIT_MEMBER, Members, get(members::edit).post(members::update)),
        form(paths::HOUSEHOLD, Stewards, get(household::show).post(household::let_act)),
        send(paths::END_HOUSEHOLD, Stewards, paths::HOUSEHOLD, post(household::end)),
        send(paths::HOUSEHOLD_LETTERS, Members, paths::MEMBER, post(household::letters)),
        send(paths::NO_HOUSEHOLD_LETTERS, Members, paths::MEMBER, post(household::no_letters)),
        send(paths::INVITE_MEMBER, Stewards, paths::MEMBER, post(members::invite)),
        send(paths::LET_GO, Stewards, paths::MEMBER, post(members::let_go)),
        form(paths::FORGET, Stewards, get(forgetting::show).post(forgetting::forget)),
        send(paths::DELETE_KEPT_NAME, Stewards, paths::MEMBER, post(forgetting::delete_kept_name)),
        send(paths::TAKE_BACK, Stewards, paths::MEMBER, post(members::take_back)),
        form(paths::PIN, Members, get(stations::pin_form).post(stations::set_pin)),
        form(paths::STATIONS, Stewards, get(stations::list).post(stations::sign_in)),
        send(paths::END_STATION, Stewards, paths::STATIONS, post(stations::end)),
        form(paths::STATION, Anyone, get(stations::show).post(stations::pick)),
        send(paths::STATION_LEFT, Anyone, paths::STATION, post(stations::leave)),
        show(paths::CALLS, Crew, get(notices::calls)),
        send(paths::CALL_TOLD, Crew, paths::CALLS, post(notices::told)),
        send(paths::CALL_NOT_TOLD, Crew, paths::CALLS, post(notices::not_told)),
        send(paths::PUT_AWAY, Members, paths::HOME, post(notices::put_away)),
        form(paths::CALENDAR, Members, get(calendar::show).post(calendar::make)),
        send(paths::REVOKE_FEED, Members, paths::CALENDAR, post(calendar::revoke)),
        show(paths::FEED, Anyone, get(calendar::feed)),
        show(paths::TURN_ICS, Members, get(calendar::turn)),
    ]
}

/// Seasons, their rules, what is planted, plan and close.
#[rustfmt::skip] // one line an address
fn season() -> Vec<Route> {
    use Who::{Members, Stewards};
    vec![
        show(paths::SEASONS, Members, get(seasons::list)),
        send(paths::SEASONS, Stewards, paths::SEASONS, post(seasons::open)),
        show(paths::SEASON, Members, get(seasons::show)),
        show(paths::SEASON_PLAN, Members, get(season_plan::show)),
        form(paths::SEASON_PROPOSAL, Stewards, get(proposal::show).post(proposal::send)),
        send(paths::SEASON_FROST, Stewards, paths::SEASON_PROPOSAL, post(proposal::frost)),
        send(paths::SEASON_FORECAST, Stewards, paths::SEASON_PROPOSAL, post(proposal::forecast)),
        form(paths::RULES, Stewards, get(seasons::rules).post(seasons::change)),
        send(paths::CONFIRM_RULES, Stewards, paths::SEASON, post(seasons::confirm)),
        form(paths::RULES_DAY, Stewards, get(rules_days::form).post(rules_days::put_right)),
        form(paths::SEASON_CLOSE, Stewards, get(season_close::show).post(season_close::give_back)),
        form(paths::SEASON_LOCK, Stewards, get(season_close::lock_form).post(season_close::lock)),
        show(paths::WHAT_IF, Stewards, get(what_if::show)),
        show(paths::PLANTINGS, Members, get(plantings::list)),
        form(paths::NEW_PLANTING, Members, get(plantings::new).post(plantings::create)),
        form(paths::PLANTINGS_AGAIN, Members, get(plantings::again_form).post(plantings::again)),
        form(paths::EDIT_PLANTING, Members, get(plantings::edit).post(plantings::update)),
        send(paths::REMOVE_PLANTING, Members, paths::HOME, post(plantings::remove)),
        form(paths::LOSS, Stewards, get(season_close::loss).post(season_close::note_loss)),
        send(paths::BEAR_LOSS, Stewards, paths::LOSS, post(season_close::bear_loss)),
        send(paths::BOIL_NOT_LOST, Stewards, paths::LOSS, post(season_close::not_lost)),
        form(paths::HOURS, Stewards, get(season_close::hours).post(season_close::note_hours)),
        form(paths::SETTLE, Stewards, get(season_close::settle).post(season_close::settle_carry)),
    ]
}

/// Press days and turns.
#[rustfmt::skip] // one line an address
fn turns() -> Vec<Route> {
    use Who::{Crew, Members, Stewards};
    vec![
        show(paths::BOARD, Crew, get(day_line::board)),
        show(paths::QUEUE, Members, get(day_line::queue)),
        show(paths::DAY_SHEET, Crew, get(day_line::sheet)),
        show(paths::DAYS, Members, get(press_days::list)),
        form(paths::CAN_COME, Members, get(possible_days::can_come).post(possible_days::answer)),
        form(paths::POSSIBLE_DAYS, Stewards, get(possible_days::list).post(possible_days::add)),
        send(paths::REMOVE_POSSIBLE_DAYS, Stewards, paths::POSSIBLE_DAYS, post(possible_days::remove)),
        show(paths::ROSTER, Members, get(roster::show)),
        send(paths::SAVE_ROSTER, Stewards, paths::ROSTER, post(roster::save)),
        form(paths::ROSTER_HOURS, Stewards, get(roster::hours).post(roster::note_hours)),
        form(paths::NEW_DAY, Stewards, get(press_days::new).post(press_days::create)),
        show(paths::DAY, Members, get(press_days::show)),
        form(paths::EDIT_DAY, Stewards, get(press_days::edit).post(press_days::update)),
        send(paths::CLOSE_DAY, Stewards, paths::DAY, post(press_days::close)),
        send(paths::OPEN_DAY, Stewards, paths::DAY, post(press_days::open_again)),
        form(paths::BOOK, Members, get(turn::form).post(turn::book)),
        show(paths::TURN, Members, get(turn::show)),
        form(paths::MOVE_TURN, Members, get(turn::move_form).post(turn::move_to)),
        send(paths::CANCEL_TURN, Members, paths::TURN, post(turn::cancel)),
        send(paths::UNDO_TURN, Members, paths::TURN, post(turn::undo)),
        send(paths::CONFIRM_TURN, Members, paths::TURN, post(turn::confirm)),
        send(paths::MISS_TURN, Crew, paths::TURN, post(turn::miss)),
        show(paths::DAY_WAITING, Members, get(waiting::list)),
        send(paths::DAY_WAITING, Members, paths::BOOK, post(turn::wait)),
        show(paths::WAITING, Members, get(waiting::show)),
        send(paths::LEAVE_WAITING, Members, paths::WAITING, post(waiting::leave)),
        send(paths::STILL_WAIT, Members, paths::WAITING, post(waiting::still)),
        send(paths::PLACE_WAITING, Stewards, paths::WAITING, post(waiting::place)),
        send(paths::TAKE_OFF_WAITING, Stewards, paths::WAITING, post(waiting::take_off)),
        send(paths::TAKE_OFFER, Members, paths::HOME, post(waiting::take)),
        send(paths::DECLINE_OFFER, Members, paths::HOME, post(waiting::decline)),
        send(paths::ANOTHER_DAY, Members, paths::HOME, post(waiting::another_day)),
        send(paths::NOT_THIS_YEAR, Members, paths::HOME, post(waiting::not_this_year)),
        send(paths::WITHDRAW_OFFER, Stewards, paths::HOME, post(waiting::withdraw)),
        form(paths::CHANGE_TURNS, Stewards, get(day_changes::form).post(day_changes::send)),
        show(paths::CHANGE, Crew, get(day_changes::show)),
        send(paths::RUNS_AGAIN, Stewards, paths::CHANGE, post(day_changes::runs_again)),
        send(paths::BRING_BACK, Stewards, paths::CHANGE, post(day_changes::bring_back)),
    ]
}

/// The mill, and what goes from the scale to the vessels.
#[rustfmt::skip] // one line an address
fn cane() -> Vec<Route> {
    use Who::{Crew, Members, Stewards};
    vec![
        show(paths::MILL, Stewards, get(mill::show)),
        form(paths::COOP, Stewards, get(mill::coop).post(mill::change_coop)),
        form(paths::NEW_SCALE, Stewards, get(mill::new_scale).post(mill::add_scale)),
        send(paths::RETIRE_SCALE, Stewards, paths::MILL, post(mill::retire_scale)),
        form(paths::NEW_VESSEL, Stewards, get(mill::new_vessel).post(mill::add_vessel)),
        send(paths::RETIRE_VESSEL, Stewards, paths::MILL, post(mill::retire_vessel)),
        form(paths::MORNING, Crew, get(morning::show).post(morning::note)),
        show(paths::TAGS, Crew, get(tags::show)),
        form(paths::NEW_TICKET, Crew, get(tickets::new).post(tickets::create)),
        show(paths::TICKETS, Crew, get(tickets::list)),
        show(paths::TICKET, Members, get(tickets::show)),
        form(paths::PAPER_LOADS, Crew, get(tickets::paper_form).post(tickets::paper)),
        form(paths::NEW_LOAD, Crew, get(tickets::new_load).post(tickets::add_load)),
        show(paths::ANY_LOAD, Crew, get(tickets::any_load)),
        form(paths::FIX_LOAD, Crew, get(tickets::fix_load).post(tickets::correct_load)),
        show(paths::YARD_PAGES, Crew, get(yard_pages::pages)),
        send(paths::NUMBERS, Crew, paths::DAY, post(yard_pages::numbers)),
        send(paths::UNDO_LOAD, Crew, paths::TICKET, post(tickets::undo_load)),
        form(paths::MOVE_TICKET, Crew, get(tickets::move_form).post(tickets::move_ticket)),
        form(paths::SAMPLE, Crew, get(tickets::sample_form).post(tickets::sample)),
        form(paths::END_TICKET, Crew, get(tickets::end_form).post(tickets::end_ticket)),
        send(paths::REOPEN_TICKET, Crew, paths::TICKET, post(tickets::reopen_ticket)),
        show(paths::ANY_JUICE, Crew, get(juice::any)),
        form(paths::PAPER_JUICE, Crew, get(juice::paper_form).post(juice::paper)),
        form(paths::NEW_JUICE, Crew, get(juice::new).post(juice::create)),
        show(paths::JUICE, Members, get(juice::show)),
        form(paths::FIX_JUICE, Crew, get(juice::fix).post(juice::correct)),
        send(paths::UNDO_JUICE, Crew, paths::JUICE, post(juice::undo)),
        form(paths::LOSE_JUICE, Crew, get(juice::lose_form).post(juice::lose)),
        form(paths::READ_AGAIN, Crew, get(juice::again_form).post(juice::read_again)),
        send(paths::TAKE_LOSS_BACK, Crew, paths::JUICE, post(juice::take_loss_back)),
        show(paths::BALANCE, Crew, get(day_figures::balance)),
        show(paths::MILL_DAY, Crew, get(day_figures::mill)),
    ]
}

/// Pans, probes, boils, and the jars that are filled.
#[rustfmt::skip] // one line an address
fn boil() -> Vec<Route> {
    use Who::{Crew, Members, Probes, Stewards};
    vec![
        show(paths::PANS, Crew, get(pans::list)),
        form(paths::NEW_PAN, Stewards, get(pans::new).post(pans::create)),
        send(paths::RETIRE_PAN, Stewards, paths::PANS, post(pans::retire)),
        show(paths::PLAN, Crew, get(pooling::show)),
        show(paths::BOILS, Members, get(boils::list)),
        form(paths::PAPER_READINGS, Crew, get(boils::paper_form).post(boils::paper)),
        form(paths::PAPER_FINISHES, Crew, get(boils::finishes_form).post(boils::finishes)),
        form(paths::PAPER_JARS, Crew, get(boils::jars_form).post(boils::jars)),
        form(paths::NEW_BOIL, Crew, get(boils::new).post(boils::create)),
        send(paths::DRAW, Crew, paths::BOIL, post(boils::draw)),
        send(paths::READING, Crew, paths::BOIL, post(boils::reading)),
        show(paths::LIVE, Crew, get(boils::live)),
        send(paths::FINISH, Crew, paths::BOIL, post(boils::finish)),
        send(paths::FILL, Crew, paths::BOIL, post(boils::fill)),
        show(paths::ANY_JARS, Crew, get(boils::any_jars)),
        form(paths::FIX_FILL, Crew, get(boils::fix_fill_form).post(boils::fix_fill)),
        form(paths::ADDITIONS, Crew, get(additions::show).post(additions::add)),
        form(paths::EMPTY_JARS, Crew, get(empty_jars::show).post(empty_jars::note)),
        form(paths::JAR_WEIGHTS, Crew, get(jar_checks::show).post(jar_checks::weigh)),
        form(paths::OTHER_RULES, Stewards, get(boils::other_rules::form).post(boils::other_rules::change)),
        form(paths::NEW_PROBE, Stewards, get(probes::new).post(probes::create)),
        show(paths::PROBE, Crew, get(probes::show)),
        send(paths::REVOKE_PROBE, Stewards, paths::PROBE, post(probes::revoke)),
        send(paths::PROBE_IN_WATER, Stewards, paths::PROBE, post(probes::in_water)),
        send(paths::PROBE_READINGS, Probes, paths::PANS, post(probes::take)),
    ]
}

/// From the division on.
#[rustfmt::skip] // one line an address
fn shares() -> Vec<Route> {
    use Who::{Anyone, Crew, Members, Stewards};
    vec![
        show(paths::STATEMENTS_PRINT, Stewards, get(statements::print_all)),
        show(paths::SHARES_CSV, Stewards, get(exports::shares)),
        show(paths::LEDGER_CSV, Stewards, get(exports::ledger)),
        show(paths::LOADS_CSV, Stewards, get(exports::loads)),
        show(paths::BOOKS_ZIP, Stewards, get(exports::books)),
        show(paths::BOIL, Members, get(my_lot::show)),
        show(paths::LABELS, Crew, get(labels::choose)),
        show(paths::LABEL_SHEET, Crew, get(labels::sheet)),
        form(paths::DIVIDE, Members, get(divisions::show).post(divisions::divide)),
        send(paths::CORRECT, Stewards, paths::DIVIDE, post(divisions::correct)),
        show(paths::HAND_OVERS, Crew, get(hand_overs::list)),
        show(paths::HAND_OVER_SHEET, Crew, get(hand_overs::paper_sheet)),
        form(paths::PAPER_HAND_OVERS, Crew, get(hand_overs::paper_form).post(hand_overs::paper)),
        form(paths::NEW_HAND_OVER, Crew, get(hand_overs::new).post(hand_overs::create)),
        show(paths::HAND_OVER, Members, get(hand_overs::show)),
        form(paths::JARS_BACK, Crew, get(shelf::back_form).post(shelf::back)),
        show(paths::SHELF, Crew, get(shelf::list)),
        form(paths::OWN_SHELF, Crew, get(shelf::own_form).post(shelf::own)),
        show(paths::HISTORY, Stewards, get(history::show)),
        show(paths::RESTORE, Stewards, get(restored::show)),
        send(paths::RESTORE_SEEN, Stewards, paths::RESTORE, post(restored::put_away)),
        show(paths::STATEMENT, Members, get(statements::show)),
        show(paths::SEASON_PICTURE, Members, get(season_picture::show)),
        show(paths::STATEMENT_PRINT, Members, get(statements::print)),
        form(paths::LEDGER, Stewards, get(ledger::show).post(ledger::answer)),
        show(paths::RECEIPT_OF_MONEY, Members, get(ledger::payment_receipt)),
        form(paths::PAYMENT, Stewards, get(ledger::payment).post(ledger::note_payment)),
        form(paths::SETTLE_JARS, Stewards, get(hand_overs::settle_form).post(hand_overs::settle)),
        show(paths::FIND, Crew, get(trace::look_up)),
        show(paths::LOT_TRACE, Crew, get(trace::of_lot)),
        show(paths::LOT_RECORD, Crew, get(trace::record)),
        show(paths::TICKET_TRACE, Crew, get(trace::of_ticket)),
        show(paths::VESSEL_TRACE, Crew, get(trace::of_vessel)),
        form(paths::LOT_LOOKS, Crew, get(looks::show).post(looks::note)),
        form(paths::COLOURS, Stewards, get(colours::show).post(colours::add)),
        send(paths::RETIRE_COLOUR, Stewards, paths::COLOURS, post(colours::retire)),
        show(paths::RECALLS, Crew, get(recalls::list)),
        form(paths::NEW_RECALL, Crew, get(recalls::new).post(recalls::begin)),
        show(paths::RECALL, Crew, get(recalls::show)),
        form(paths::RECALL_CALL, Crew, get(recalls::call_form).post(recalls::note_call)),
        form(paths::END_RECALL, Crew, get(recalls::end_form).post(recalls::end)),
        form(paths::HOLD, Crew, get(holds::hold_form).post(holds::hold)),
        form(paths::COMPLAINT, Crew, get(holds::complaint_form).post(holds::complain)),
        show(paths::LOT, Anyone, get(labels::lot)),
        show(paths::LOT_TYPED, Anyone, get(labels::lot_typed)),
    ]
}

/// Leads whoever loads the address of a button or a form again to the page where it stands; home when that
/// page's address needs what this one does not say.
fn page_of(page: &str, params: &RawPathParams) -> Redirect {
    let filled = params.iter().fold(page.to_owned(), |path, (name, value)| {
        path.replace(&format!("{{{name}}}"), &paths::encode(value))
    });
    Redirect::to(if filled.contains('{') {
        paths::HOME
    } else {
        &filled
    })
}

/// The router of the whole site.
pub fn site(app: App) -> Router {
    let mut router = Router::new();
    let table = table();
    let shown: HashSet<&str> = table.iter().filter(|l| l.gets).map(|l| l.path).collect();
    for line in table {
        let answer = match line.page {
            Some(page) if !shown.contains(line.path) => line
                .answer
                .get(async move |params: RawPathParams| page_of(page, &params)),
            _ => line.answer,
        };
        let answer = answer.route_layer(from_fn_with_state(
            (app.clone(), line.who, line.path),
            guard::role,
        ));
        router = router.route(line.path, answer);
    }
    router
        .fallback(home::nothing)
        .method_not_allowed_fallback(home::not_sent_here)
        .layer(from_fn_with_state(app.clone(), guard::visit))
        .layer(from_fn(guard::finish_writes))
        .layer(DefaultBodyLimit::max(form::MOST_BYTES))
        .layer(CatchPanicLayer::custom(home::panicked))
        .layer(from_fn_with_state(app.clone(), noting::noted))
        .layer(from_fn_with_state(app.clone(), guard::headers))
        .layer(CompressionLayer::new())
        .layer(TimeoutLayer::with_status_code(
            StatusCode::SERVICE_UNAVAILABLE,
            LONGEST,
        ))
        .with_state(app)
}
