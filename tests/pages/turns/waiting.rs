//! The waiting list of a press day, from a full day to a turn.

use crate::site::{AT, Answer, Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::rounds;
use canewright::actions::turns::press_days;
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::store::turns::waiting::{self, NewWaiting};
use canewright::units::{
    Grams, MemberId, MinuteOfDay, Minutes, PressDate, PressDayId, Role, SeasonId, TurnId, Units,
    UtcSecond, WaitingId,
};

const BOOK: &str = "/days/2026-09-19/book";
const LIST: &str = "/days/2026-09-19/waiting";
/// 415 lb are 49.8 minutes of pressing: an hour with the change-over.
const HOUR: [(&str, &str); 2] = [("told", "weight"), ("amount", "415")];

async fn day(site: &TestSite) -> PressDayId {
    let id = site
        .text("select id from press_days where date = '2026-09-19'")
        .await;
    PressDayId::parse(&id).unwrap()
}

/// The steward's turns of an hour from 07:00 to 17:00: the day is full.
async fn full(site: &TestSite) -> Vec<TurnId> {
    let day = day(site).await;
    let mut turns = Vec::new();
    for hour in 7..17 {
        let new = NewTurn {
            member: site.steward,
            start: MinuteOfDay::new(hour * 60).unwrap().into(),
            told: AmountTold::Weight(Grams::parse("415", Units::Us).unwrap()),
            corrected: None,
            sure: false,
        };
        turns.push(turn::book(&site.act(), day, new).await.unwrap());
    }
    turns
}

/// The turn that begins at that hour.
fn at(turns: &[TurnId], hour: usize) -> TurnId {
    turns[hour - 7]
}

async fn cancels(site: &TestSite, turn: TurnId) {
    turn::cancel(&site.act(), turn, "mule lame").await.unwrap();
}

/// Offers stand for an hour instead of four.
async fn an_hour(site: &TestSite) {
    site.sql("drop trigger season_rules_stand; update season_rules set offer_min = 60")
        .await;
}

/// Goes on the list through the turn page; gives the address of the place.
async fn waits(browser: &mut Browser, pounds: &str) -> String {
    let fields = [("told", "weight"), ("amount", pounds)];
    browser
        .opens(&format!("{BOOK}?told=weight&amount={pounds}"))
        .await
        .says("Put me on the waiting list");
    browser.sends(LIST, &fields).await.taken().to_owned()
}

/// The same person, with another time on the clock.
fn later(site: &TestSite, browser: &Browser, at: UtcSecond) -> Browser {
    let mut other = site.stranger_at(at);
    other.cookie.clone_from(&browser.cookie);
    other
}

/// The address behind a button of the page.
fn action(answer: &Answer, ending: &str) -> String {
    answer
        .body
        .split("action=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .find(|path| path.ends_with(ending))
        .unwrap_or_else(|| panic!("no form to {ending}: {}", answer.body))
        .to_owned()
}

/// Somebody else's offer is not there.
async fn not_to_be_answered_by(other: &mut Browser, take: &str) {
    for path in [take, &take.replace("/take", "/decline")] {
        other.opens("/").await;
        other
            .sends(path, &[])
            .await
            .refused(StatusCode::NOT_FOUND, "Nothing here");
    }
}

/// Free of overlaps by the schema's key; and no minute is held by nothing.
async fn sound(site: &TestSite) {
    let lost = "select count(*) from booked_minutes k left join turns b on b.id = k.turn_id
        left join offers o on o.id = k.offer_id
        where not coalesce(b.state = 'held', o.answer is null and o.id is not null)";
    assert_eq!(site.count(lost).await, 0);
    let held = "select (select coalesce(sum(minutes), 0) from turns where state = 'held')
        + (select coalesce(sum(minutes), 0) from offers where answer is null)
        - 5 * (select count(*) from booked_minutes)";
    assert_eq!(site.count(held).await, 0);
}

#[tokio::test]
async fn a_full_day_is_waited_for_and_what_comes_free_is_offered_and_taken_from_the_home_page() {
    let site = TestSite::with_season().await;
    let turns = full(&site).await;
    let (amos_id, mut amos) = site.person("Amos Trout", Role::Member).await;
    let (_, mut della) = site.person("Della Moss", Role::Member).await;
    amos.opens("/days")
        .await
        .says("Wait for a turn on Sat 19 Sep 2026");
    amos.opens("/days/2026-09-19")
        .await
        .says("Nobody waits for this day.")
        .says("Wait for a turn");
    let page = amos.opens(&format!("{BOOK}?told=weight&amount=415")).await;
    page.says("No start is free for a turn that long")
        .says(&format!("formaction=\"{LIST}\""));
    let sent = amos.sends(LIST, &HOUR).await;
    let place = sent.taken().to_owned();
    assert_eq!(amos.sends(LIST, &HOUR).await.taken(), place);
    assert_eq!(site.count("select count(*) from waiting").await, 1);
    amos.opens(&place).await.says("1st of 1").says("415.0 lb");
    amos.opens("/").await.says("1st of 1 on the waiting list");
    amos.opens("/days/2026-09-19")
        .await
        .says("One member waits for this day.")
        .says("Your place: 1st of 1");
    // Once per member and day.
    amos.opens(&format!("{BOOK}?told=weight&amount=83")).await;
    amos.sends(LIST, &[("told", "weight"), ("amount", "83")])
        .await
        .refused(
            StatusCode::CONFLICT,
            "Amos Trout is on the list of Sat 19 Sep 2026 already, since Sat 19 Sep 2026 08:00, as number 1.",
        )
        .says("value=\"83\"");
    // What begins at ten would be over before the four hours of an offer: whoever comes may take it.
    cancels(&site, at(&turns, 10)).await;
    assert_eq!(site.count("select count(*) from offers").await, 0);
    della.opens(&format!("{BOOK}?told=weight&amount=415")).await;
    let ten = [HOUR[0], HOUR[1], ("start", "10:00")];
    della.sends(BOOK, &ten).await.taken();
    // What begins at one is offered to Amos, and to nobody else.
    let mut ruth = site.browser(site.steward).await;
    let one = format!("/turns/{}", at(&turns, 13));
    ruth.opens(&one).await;
    ruth.sends(&format!("{one}/cancel"), &[("why", "mule lame")])
        .await
        .taken();
    sound(&site).await;
    della
        .opens(&format!("{BOOK}?told=weight&amount=415"))
        .await
        .says("No start is free for a turn that long");
    let one = [HOUR[0], HOUR[1], ("start", "13:00"), ("second", "yes")];
    della
        .sends(BOOK, &one)
        .await
        .refused(StatusCode::CONFLICT, "is taken");
    // He is told once, by a letter or a call: his card has no address.
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    crew.opens("/calls").await.says("Amos Trout").says(
        "A turn is free for you: Sat 19 Sep 2026, 13:00–14:00, 415.0 lb of cane. It is kept for you until \
         Sat 19 Sep 2026 12:00. Please answer on your home page or call the mill: 615 555 0100.",
    );
    assert_eq!(site.count("select count(*) from notices").await, 1);
    let home = amos.opens("/").await;
    assert!(
        !home.body.contains("I have read this"),
        "said once, with its buttons"
    );
    home.says("A turn is free for you: Sat 19 Sep 2026, 13:00–14:00, 415.0 lb of cane.")
        .says("Please answer by 12:00 today, in 4 h. It is kept for you until then. Answer here")
        .says("or call the mill: <a class=\"alone\" href=\"tel:6155550100\">615 555 0100</a>");
    let (take, key, token) = (
        action(&home, "/take"),
        amos.hidden("form_key"),
        amos.hidden("token"),
    );
    not_to_be_answered_by(&mut della, &take).await;
    let first = amos.sends_keyed(&take, &[], &key, &token).await;
    let again = amos.sends_keyed(&take, &[], &key, &token).await;
    assert_eq!(first.taken(), again.taken());
    amos.opens(first.taken())
        .await
        .says("13:00–14:00")
        .says("from the waiting list")
        .says("Confirmed Sat 19 Sep 2026 08:00");
    amos.opens(&place).await.says("This place became a turn.");
    let home = amos.opens("/").await;
    assert!(!home.body.contains("A turn is free for you") && !home.body.contains("You wait for"));
    // Answered again with a form of its own, it says what came of it.
    amos.opens("/").await;
    amos.sends(&take, &[])
        .await
        .refused(StatusCode::CONFLICT, "This offer was taken by Amos Trout");
    let own = "select count(*) from turns b join waiting w on w.turn_id = b.id
        where w.state = 'placed' and b.state = 'held' and b.minutes = 60";
    assert_eq!(site.count(own).await, 1);
    assert_eq!(
        site.text("select member_id from waiting").await,
        amos_id.to_string()
    );
    sound(&site).await;
}

#[tokio::test]
async fn a_declined_turn_goes_to_the_next_and_who_declined_is_asked_for_other_room_after_all_others()
 {
    let site = TestSite::with_season().await;
    let turns = full(&site).await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let (_, mut della) = site.person("Della Moss", Role::Member).await;
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    let (of_amos, of_della) = (
        waits(&mut amos, "415").await,
        waits(&mut della, "415").await,
    );
    della.opens(&of_della).await.says("2nd of 2");
    cancels(&site, at(&turns, 13)).await;
    let page = amos.opens(&of_amos).await;
    page.says("13:00–14:00")
        .says("kept until <strong>Sat 19 Sep 2026 12:00");
    let decline = action(&page, "/decline");
    assert_eq!(amos.sends(&decline, &[]).await.taken(), of_amos);
    amos.opens(&of_amos)
        .await
        .says("2nd of 2")
        .says("13:00–14:00 was offered and declined by Amos Trout");
    crew.opens(LIST)
        .await
        .says("declined an offer")
        .says("13:00–14:00 is on offer until Sat 19 Sep 2026 12:00")
        .says("tel:6155550101");
    amos.opens("/").await;
    amos.sends(&decline, &[])
        .await
        .refused(StatusCode::CONFLICT, "was declined by Amos Trout");
    // Other room: nobody waits before Amos, who is asked again and stands at the end from then on.
    cancels(&site, at(&turns, 15)).await;
    amos.opens("/").await.says("15:00–16:00, 415.0 lb");
    // Della calls; the crew declines for her. Both have declined one o'clock or have an offer: it is
    // free for all.
    let page = crew.opens(&of_della).await;
    page.says("Take it for Della Moss")
        .says("Decline it for Della Moss");
    crew.sends(&action(&page, "/decline"), &[]).await.taken();
    let (_, mut ida) = site.person("Ida Finch", Role::Member).await;
    ida.opens(&format!("{BOOK}?told=weight&amount=415")).await;
    let one = [HOUR[0], HOUR[1], ("start", "13:00")];
    ida.sends(BOOK, &one).await.taken();
    sound(&site).await;
}

#[tokio::test]
async fn a_turn_taken_from_the_list_and_undone_leaves_its_member_on_the_list() {
    let site = TestSite::with_season().await;
    let turns = full(&site).await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let (_, mut della) = site.person("Della Moss", Role::Member).await;
    let of_amos = waits(&mut amos, "415").await;
    waits(&mut della, "415").await;
    cancels(&site, at(&turns, 13)).await;
    let take = action(&amos.opens("/").await, "/take");
    let turn = amos.sends(&take, &[]).await.taken().to_owned();
    let undo = action(&amos.opens(&turn).await, "/undo");
    amos.sends(&undo, &[]).await.taken();
    let place = amos.opens(&of_amos).await;
    place
        .says("1st of 2")
        .says("taken by Amos Trout and undone");
    for untrue in ["This place became a turn", "declined"] {
        assert!(!place.body.contains(untrue), "{untrue}: {}", place.body);
    }
    // What he gave up is the next one's; he is asked for other room.
    della.opens("/").await.says("13:00–14:00, 415.0 lb");
    let home = amos.opens("/").await;
    home.says("You wait for");
    assert!(!home.body.contains("13:00–14:00"), "{}", home.body);
    cancels(&site, at(&turns, 15)).await;
    amos.opens("/").await.says("15:00–16:00, 415.0 lb");
    sound(&site).await;
}

#[tokio::test]
async fn an_offer_nobody_answers_goes_to_the_next_and_who_still_waits_stands_at_the_end() {
    let site = TestSite::with_season().await;
    an_hour(&site).await;
    let turns = full(&site).await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let (_, mut della) = site.person("Della Moss", Role::Member).await;
    let (_, ida) = site.person("Ida Finch", Role::Member).await;
    let (of_amos, of_della) = (
        waits(&mut amos, "415").await,
        waits(&mut della, "415").await,
    );
    cancels(&site, at(&turns, 13)).await;
    let take = action(&amos.opens(&of_amos).await, "/take");
    // A minute before its time nothing happens, at its time it runs out and Della is asked.
    for (after, standing) in [(3540, "Amos Trout"), (3600, "Della Moss")] {
        rounds::due(&site.reader, &site.writer, &site.ids, AT.plus(after))
            .await
            .unwrap();
        let whose = "select m.name from offers o join waiting w on w.id = o.waiting_id
            join members m on m.id = w.member_id where o.answer is null";
        assert_eq!(site.text(whose).await, standing);
    }
    let mut late = later(&site, &amos, AT.plus(3700));
    let page = late.opens(&of_amos).await;
    page.says("An offer ran out without an answer")
        .says("13:00–14:00 was offered; the time ran out Sat 19 Sep 2026 09:00");
    late.sends(&take, &[]).await.refused(
        StatusCode::CONFLICT,
        "This offer ran out at Sat 19 Sep 2026 09:00. Say that you still wait",
    );
    late.opens("/")
        .await
        .says("an offer ran out; open it to say that you still wait");
    // Another turn comes free: Amos is not asked. He says that he still waits, and is.
    cancels(&site, at(&turns, 15)).await;
    assert_eq!(
        site.count("select count(*) from offers where answer is null")
            .await,
        1
    );
    late.opens(&of_amos).await;
    let still = format!("{of_amos}/still");
    late.sends(&still, &[]).await.taken();
    late.sends(&still, &[]).await.taken();
    late.opens("/").await.says("15:00–16:00");
    let ranks = "select count(*) from waiting a join waiting d on d.rank < a.rank
        join members m on m.id = a.member_id where m.name = 'Amos Trout'";
    assert_eq!(site.count(ranks).await, 1, "behind Della");
    late.opens("/").await;
    late.sends(&still, &[]).await.refused(
        StatusCode::CONFLICT,
        "Amos Trout waits for Sat 19 Sep 2026 already",
    );
    // Nobody looked after the time: it runs out in the transaction of whoever comes. Ida waits by then
    // and is asked before a newcomer can take it.
    let mut last = later(&site, &ida, AT.plus(3700));
    waits(&mut last, "415").await;
    let (_, zeb) = site.person("Zeb Hale", Role::Member).await;
    let mut newcomer = later(&site, &zeb, AT.plus(7300));
    newcomer
        .opens(&format!("{BOOK}?told=weight&amount=415"))
        .await;
    let one = [HOUR[0], HOUR[1], ("start", "13:00")];
    newcomer
        .sends(BOOK, &one)
        .await
        .refused(StatusCode::CONFLICT, "13:00 is not free");
    canewright::actions::turns::offer_due((&site.reader, &site.writer), &site.ids, AT.plus(7300))
        .await
        .unwrap();
    let mut late = later(&site, &ida, AT.plus(7300));
    let home = late.opens("/").await;
    home.says("13:00–14:00, 415.0 lb of cane");
    late.sends(&action(&home, "/take"), &[]).await.taken();
    let mut late = later(&site, &della, AT.plus(7300));
    late.opens(&of_della)
        .await
        .says("the time ran out Sat 19 Sep 2026 10:00");
    sound(&site).await;
}

#[tokio::test]
async fn a_steward_goes_past_the_order_with_a_reason_that_stands_in_the_history() {
    let site = TestSite::with_season().await;
    let turns = full(&site).await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let (_, mut della) = site.person("Della Moss", Role::Member).await;
    let (_, mut ida) = site.person("Ida Finch", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    let of_amos = waits(&mut amos, "415").await;
    let of_della = waits(&mut della, "415").await;
    let of_ida = waits(&mut ida, "415").await;
    cancels(&site, at(&turns, 13)).await;
    let page = amos.opens(&of_amos).await;
    assert!(!page.body.contains("Going past the order"));
    let take = action(&page, "/take");
    // Della's cane is frosted. Without a reason nothing is done, and what was typed stays.
    let place = format!("{of_della}/place");
    ruth.opens(&of_della)
        .await
        .says("value=\"13:00\">13:00<")
        .says("Stands in the turn’s history");
    ruth.sends(&place, &[("why", ""), ("start", "13:00")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Nothing was stored yet");
    ruth.sends(&place, &[("why", "frosted <cane>"), ("start", "noon!")])
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Please write a time of day",
        )
        .says("value=\"frosted &#60;cane&#62;\"");
    ruth.sends(&place, &[("why", "frosted cane"), ("start", "12:30")])
        .await
        .refused(StatusCode::CONFLICT, "12:30 is not free");
    assert_eq!(
        site.count("select count(*) from offers where answer is null")
            .await,
        1
    );
    ruth.opens(&of_della).await;
    let fields = [("why", "frosted cane"), ("start", "13:00")];
    let sent = ruth.sends(&place, &fields).await;
    let turn = sent.taken().to_owned();
    assert_eq!(ruth.sends(&place, &fields).await.taken(), turn);
    ruth.opens(&turn).await.says("out of order: frosted cane");
    della.opens(&turn).await.says("out of order: frosted cane");
    amos.sends(&take, &[]).await.refused(
        StatusCode::CONFLICT,
        "This offer was withdrawn by Ruth Bell on Sat 19 Sep 2026 08:00 because: frosted cane.",
    );
    amos.opens(&of_amos).await.says("1st of 2");
    // Placed is placed.
    ruth.opens("/").await;
    ruth.sends(&place, &fields).await.refused(
        StatusCode::CONFLICT,
        "does not wait for Sat 19 Sep 2026 any more",
    );
    // An offer withdrawn goes to the next; Amos keeps his place.
    cancels(&site, at(&turns, 15)).await;
    let page = ruth.opens(&of_amos).await;
    let withdraw = action(&page, "/withdraw");
    ruth.sends(&withdraw, &[("why_offer", " ")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Nothing was stored yet");
    ruth.opens(&of_amos).await;
    let why = [("why_offer", "his road is under water")];
    ruth.sends(&withdraw, &why).await.taken();
    amos.opens(&of_amos)
        .await
        .says("1st of 2")
        .says("withdrawn by Ruth Bell, Sat 19 Sep 2026 08:00, because: his road is under water");
    ida.opens("/").await.says("15:00–16:00");
    // Off the list, with a reason; the offer goes with it.
    ruth.opens(&of_ida).await;
    ruth.sends(&format!("{of_ida}/off"), &[("why_off", "moved away")])
        .await
        .taken();
    ida.opens(&of_ida)
        .await
        .says("This place on the list is given up.")
        .says("taken off: moved away");
    ruth.opens(LIST)
        .await
        .says("No longer on the list")
        .says("taken off: moved away");
    // Only stewards.
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    for (path, fields) in [(&place, &fields[..]), (&withdraw, &why[..])] {
        crew.opens(&of_amos).await;
        assert_eq!(crew.sends(path, fields).await.status, StatusCode::FORBIDDEN);
    }
    sound(&site).await;
}

#[tokio::test]
async fn nobody_waits_where_there_is_room_or_no_day_and_what_was_typed_is_kept() {
    let site = TestSite::with_season().await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    amos.opens(&format!("{BOOK}?told=weight&amount=415")).await;
    amos.sends(LIST, &HOUR)
        .await
        .refused(
            StatusCode::CONFLICT,
            "There is room on Sat 19 Sep 2026, from 08:05 on.",
        )
        .says("name=\"start\" value=\"08:05\"");
    for (amount, status, words) in [
        ("0", StatusCode::UNPROCESSABLE_ENTITY, "more than nothing"),
        (
            "lots",
            StatusCode::UNPROCESSABLE_ENTITY,
            "is not a number. Please write a number",
        ),
        ("5000", StatusCode::CONFLICT, "would take 10 h 10 min"),
    ] {
        amos.sends(LIST, &[("told", "weight"), ("amount", amount)])
            .await
            .refused(status, words)
            .says(&format!("value=\"{amount}\""));
    }
    let turns = full(&site).await;
    // For somebody else only the crew does.
    let (della, _) = site.person("Della Moss", Role::Member).await;
    let id = della.to_string();
    let hers = [HOUR[0], HOUR[1], ("member", id.as_str())];
    amos.sends(LIST, &hers)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    crew.opens(&format!("{BOOK}?told=weight&amount=415&member={id}"))
        .await
        .says("Put on the waiting list");
    let place = crew.sends(LIST, &hers).await.taken().to_owned();
    amos.opens(&place)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    // A member who loads the list's address again is led to where turns are booked.
    assert_eq!(amos.opens(LIST).await.to, BOOK);
    crew.opens("/days/2026-09-19")
        .await
        .says("Waiting list (1)");
    // The day over: there is nothing to wait for. Closed: her offer is taken back.
    let mut late = later(&site, &amos, AT.plus(10 * 3600));
    late.opens("/").await;
    late.sends(LIST, &HOUR)
        .await
        .refused(StatusCode::CONFLICT, "Sat 19 Sep 2026 is over.");
    cancels(&site, at(&turns, 13)).await;
    // The others have not come, so that the day may be closed.
    site.sql("update turns set no_show_at = 1789822800 where state = 'held'")
        .await;
    press_days::set_closed(&site.act(), day(&site).await, true)
        .await
        .unwrap();
    crew.opens(&place)
        .await
        .says("The day is closed: nothing is offered any more.")
        .says("because: the day was closed");
    crew.opens(LIST).await.says("The day is closed");
    amos.opens("/").await;
    amos.sends(LIST, &HOUR)
        .await
        .refused(StatusCode::CONFLICT, "is closed and takes no more turns");
    // Open again, she is asked again: it was not taken back because of her.
    press_days::set_closed(&site.act(), day(&site).await, false)
        .await
        .unwrap();
    assert_eq!(
        site.count("select count(*) from offers where answer is null")
            .await,
        1
    );
    crew.opens(&place).await.says("Take it for ");
    sound(&site).await;
}

#[tokio::test]
async fn longer_hours_moved_turns_and_leaving_make_room_and_shorter_hours_take_offers_back() {
    let site = TestSite::with_season().await;
    let turns = full(&site).await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let (_, mut della) = site.person("Della Moss", Role::Member).await;
    let (of_amos, of_della) = (
        waits(&mut amos, "415").await,
        waits(&mut della, "415").await,
    );
    let mut ruth = site.browser(site.steward).await;
    let hours = async |ruth: &mut Browser, closes: &str| {
        ruth.opens("/days/2026-09-19/edit").await;
        let version = ruth.hidden("version");
        let fields = [
            ("version", version.as_str()),
            ("opens", "7:00"),
            ("closes", closes),
            ("mill_per_h", "500"),
            ("changeover", "10"),
            ("note", ""),
        ];
        ruth.sends("/days/2026-09-19/edit", &fields).await.taken();
    };
    hours(&mut ruth, "18:00").await;
    amos.opens("/").await.says("17:00–18:00");
    hours(&mut ruth, "17:00").await;
    amos.opens(&of_amos)
        .await
        .says("because: the hours of the day were changed")
        .says("1st of 2");
    hours(&mut ruth, "19:00").await;
    // It was not taken back because of him: he is the first to be asked again.
    amos.opens("/").await.says("17:00–18:00");
    della.opens("/").await.says("18:00–19:00");
    // Who leaves declines; what is left is for the next, and a turn moved away leaves room as well.
    amos.opens(&of_amos).await;
    amos.sends(&format!("{of_amos}/leave"), &[]).await.taken();
    amos.opens(&of_amos)
        .await
        .says("This place on the list is given up.");
    amos.opens("/").await;
    amos.sends(&format!("{of_amos}/leave"), &[]).await.refused(
        StatusCode::CONFLICT,
        "is not on the list of Sat 19 Sep 2026 any more",
    );
    let (_, mut ida) = site.person("Ida Finch", Role::Member).await;
    // Two hours: only an hour is free.
    let of_ida = waits(&mut ida, "915").await;
    ida.opens(&of_ida).await.says("2nd of 2");
    let move_to = format!("/turns/{}/move", at(&turns, 16));
    ruth.opens(&move_to).await;
    let fields = [
        ("day", "2026-09-19"),
        ("version", "1"),
        ("start", "17:00"),
        ("why", ""),
    ];
    ruth.sends(&move_to, &fields).await.taken();
    assert_eq!(
        site.count("select count(*) from offers where answer is null")
            .await,
        1
    );
    cancels(&site, at(&turns, 15)).await;
    ida.opens("/").await.says("15:00–17:00");
    della.opens(&of_della).await.says("18:00–19:00");
    sound(&site).await;
}

#[tokio::test]
async fn turns_that_no_longer_fit_wait_at_the_head_in_their_order() {
    let site = TestSite::with_season().await;
    full(&site).await;
    let day = day(&site).await;
    let mut people: Vec<(MemberId, Browser)> = Vec::new();
    for name in ["Amos Trout", "Della Moss", "Ida Finch"] {
        people.push(site.person(name, Role::Member).await);
    }
    let of_amos = waits(&mut people[0].1, "415").await;
    let mut tx = site.writer.begin().await.unwrap();
    let moved: Vec<NewWaiting> = people[1..]
        .iter()
        .map(|(member, _)| NewWaiting {
            id: WaitingId::new(site.ids.next(AT)),
            press_day_id: day,
            member_id: *member,
            cane: Grams::parse("415", Units::Us).unwrap(),
            told: AmountTold::Weight(Grams::parse("415", Units::Us).unwrap()),
            row_kg_per_m: None,
            from_turn_id: None,
            beside: false,
            by: site.steward,
            at: AT,
        })
        .collect();
    waiting::insert_head(&mut tx, &moved).await.unwrap();
    let list = waiting::of_day(day).ask(&mut tx).await.unwrap();
    let names: Vec<String> = list.iter().map(|e| e.member.to_string()).collect();
    assert_eq!(names, ["Della Moss", "Ida Finch", "Amos Trout"]);
    tx.commit().await.unwrap();
    people[0].1.opens(&of_amos).await.says("3rd of 3");
}

#[tokio::test]
async fn waiting_for_a_day_on_which_one_has_a_turn_is_asked_about() {
    let site = TestSite::with_season().await;
    let turns = full(&site).await;
    cancels(&site, at(&turns, 9)).await;
    let (amos_id, mut amos) = site.person("Amos Trout", Role::Member).await;
    let new = NewTurn {
        member: amos_id,
        start: MinuteOfDay::new(540).unwrap().into(),
        told: AmountTold::Weight(Grams::parse("415", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    turn::book(&site.act(), day(&site).await, new)
        .await
        .unwrap();
    let asks = format!("{BOOK}?told=weight&amount=415");
    amos.opens(&asks).await.says("Put me on the waiting list");
    let waits = "select count(*) from waiting";
    amos.sends(LIST, &HOUR)
        .await
        .refused(
            StatusCode::CONFLICT,
            "There is a turn on Sat 19 Sep 2026 at 09:00 already. If another one besides is meant, tick the box",
        )
        .says("Yes, another turn on this day");
    assert_eq!(site.count(waits).await, 0);
    let wait = "full: you can wait for a turn";
    amos.opens("/").await.says(wait);
    let meant = [HOUR[0], HOUR[1], ("second", "yes")];
    amos.sends(LIST, &meant).await.taken();
    assert_eq!(site.count(waits).await, 1);
    // Whoever waits is not asked to wait.
    let home = amos.opens("/").await;
    assert!(!home.body.contains(wait), "{}", home.body);
}

#[tokio::test]
async fn a_turn_that_finds_no_start_on_another_day_is_shown_where_to_wait_for_it() {
    let site = TestSite::with_season().await;
    full(&site).await;
    let other = press_days::NewPressDay {
        date: PressDate::parse("2026-09-26").unwrap(),
        opens: MinuteOfDay::new(420).unwrap(),
        closes: MinuteOfDay::new(720).unwrap(),
        mill_per_h: Grams::parse("500", Units::Us).unwrap(),
        changeover: Minutes::new(10),
        note: String::new(),
    };
    let season = SeasonId::parse(&site.text("select id from seasons").await).unwrap();
    press_days::plan(&site.act(), season, other).await.unwrap();
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let booked = [HOUR[0], HOUR[1], ("start", "9:00")];
    let turn = amos.fills("/days/2026-09-26/book", &booked).await;
    let moves = format!("{}/move?day=2026-09-19", turn.taken());
    let page = amos.opens(&moves).await;
    page.says("No start is free for a turn that long")
        .says("Wait for Sat 19 Sep 2026");
    let (_, rest) = page.body.split_once("Or wait for").unwrap();
    let (_, rest) = rest.split_once("href=\"").unwrap();
    let to = rest.split('"').next().unwrap();
    let to = to.replace("&amp;", "&").replace("&#38;", "&");
    amos.opens(&to).await.says("Put me on the waiting list");
}
