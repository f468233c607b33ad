//! Somebody who acts for another member's card: what is hers, what is the card's, and when it ends.

use crate::shares::divisions::divided_lot;
use crate::site::{AT, Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::people::{household, members};
use canewright::actions::turns::possible_days::{self, NewAnswers};
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::actions::turns::waiting::{self, Joins};
use canewright::actions::{Stop, rounds};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::store::turns::possible_days::DayAnswer;
use canewright::units::{
    Grams, MemberId, MinuteOfDay, PressDate, PressDayId, Role, SeasonId, TurnId, Units,
};

const BOOK: &str = "/days/2026-09-19/book";
const DAY: &str = "/days/2026-09-19";
const TOMAS: &str = "Tomás Reyes";

/// Ana, who acts for the card of Tomás.
pub struct Two {
    pub site: TestSite,
    pub tomas: MemberId,
    pub ana: MemberId,
    pub tomas_opens: Browser,
    pub ana_opens: Browser,
    pub steward: Browser,
}

pub async fn two() -> Two {
    let site = TestSite::with_season().await;
    let (tomas, tomas_opens) = site.person(TOMAS, Role::Member).await;
    let (ana, ana_opens) = site.person("Ana Reyes", Role::Member).await;
    household::let_act(&site.act(), tomas, ana).await.unwrap();
    let steward = site.browser(site.steward).await;
    Two {
        site,
        tomas,
        ana,
        tomas_opens,
        ana_opens,
        steward,
    }
}

async fn day_of(site: &TestSite) -> PressDayId {
    PressDayId::parse(&site.text("select id from press_days").await).unwrap()
}

/// A turn of an hour.
pub(super) async fn book(site: &TestSite, member: MemberId, hour: i64) -> TurnId {
    let new = NewTurn {
        member,
        start: MinuteOfDay::new(hour * 60).unwrap().into(),
        told: AmountTold::Weight(Grams::parse("415", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    let day = day_of(site).await;
    // Each books the own turn, and so is told nothing of that.
    let act = if member == site.steward {
        site.act()
    } else {
        site.act_as(member, Role::Member)
    };
    turn::book(&act, day, new).await.unwrap()
}

fn answer_of(member_id: MemberId) -> NewAnswers {
    NewAnswers {
        days: vec![DayAnswer {
            member_id,
            date: PressDate::parse("2026-09-19").unwrap(),
            brings: true,
            helps: true,
            from: None,
            to: None,
        }],
        tasks: Vec::new(),
    }
}

#[tokio::test]
async fn nobody_answers_for_a_card_that_is_not_theirs_to_look_after() {
    let two = two().await;
    let season = SeasonId::parse(&two.site.text("select id from seasons").await).unwrap();
    let (other, _) = two.site.person("Bo Lund", Role::Member).await;
    let act = || two.site.act_as(two.ana, Role::Member);
    let stopped = possible_days::answer(&act(), other, season, answer_of(other)).await;
    assert!(matches!(stopped, Err(Stop::Missing)), "{stopped:?}");
    // Nor under the own name, with somebody else's answer in it.
    let stopped = possible_days::answer(&act(), two.ana, season, answer_of(other)).await;
    assert!(matches!(stopped, Err(Stop::Missing)), "{stopped:?}");
    let count = "select count(*) from day_answers";
    assert_eq!(two.site.count(count).await, 0);
    for card in [two.ana, two.tomas] {
        possible_days::answer(&act(), card, season, answer_of(card))
            .await
            .unwrap();
    }
    assert_eq!(two.site.count(count).await, 2);
}

#[tokio::test]
async fn whoever_leaves_is_acted_for_no_more_and_acts_no_more_until_a_steward_says_so_again() {
    let mut two = two().await;
    let turn = format!("/turns/{}", book(&two.site, two.tomas, 9).await);
    let card = format!("/members/{}", two.tomas);
    for left in [two.tomas, two.ana] {
        let mut ana_opens = two.site.browser(two.ana).await;
        assert_eq!(ana_opens.opens(&turn).await.status, StatusCode::OK);
        members::let_go(&two.site.act(), left, false).await.unwrap();
        if left == two.tomas {
            for path in [&turn, &card] {
                let page = ana_opens.opens(path).await;
                page.refused(StatusCode::NOT_FOUND, "Nothing here");
            }
            let hers = two.site.act_as(two.ana, Role::Member);
            let id = TurnId::parse(turn.trim_start_matches("/turns/")).unwrap();
            let stopped = turn::confirm(&hers, id).await;
            assert!(matches!(stopped, Err(Stop::Missing)), "{stopped:?}");
        }
        members::take_back(&two.site.act(), left).await.unwrap();
        // Taken back, she does not act for it: nobody said so.
        let mut ana_opens = two.site.browser(two.ana).await;
        let page = ana_opens.opens(&turn).await;
        page.refused(StatusCode::NOT_FOUND, "Nothing here");
        let page = two.steward.opens(&format!("{card}/household")).await;
        page.says("Nobody else acts for it yet");
        household::let_act(&two.site.act(), two.tomas, two.ana)
            .await
            .unwrap();
    }
    let page = two.steward.opens(&card).await;
    page.says("(Ana Reyes) does not act any more for the card of");
}

#[tokio::test]
async fn a_right_given_before_somebody_left_is_not_read_while_they_are_gone() {
    let two = two().await;
    let turn = book(&two.site, two.tomas, 9).await;
    // As a database of before may stand: gone, and never ended.
    two.site
        .sql("update members set left_at = 1 where name = 'Tomás Reyes'")
        .await;
    let hers = two.site.act_as(two.ana, Role::Member);
    let stopped = turn::confirm(&hers, turn).await;
    assert!(matches!(stopped, Err(Stop::Missing)), "{stopped:?}");
    let mut ana_opens = two.site.browser(two.ana).await;
    let page = ana_opens.opens(&format!("/turns/{turn}")).await;
    page.refused(StatusCode::NOT_FOUND, "Nothing here");
}

#[tokio::test]
async fn answers_of_members_who_left_are_not_counted() {
    let mut two = two().await;
    let season = SeasonId::parse(&two.site.text("select id from seasons").await).unwrap();
    two.site
        .sql("insert into possible_days select id, season_id, '2026-09-26', opens_min, closes_min, mill_g_per_h, changeover_min, (select id from members limit 1), 1 from press_days")
        .await;
    for card in [two.ana, two.tomas] {
        let mut new = answer_of(card);
        new.days[0].date = PressDate::parse("2026-09-26").unwrap();
        possible_days::answer(&two.site.act(), card, season, new)
            .await
            .unwrap();
    }
    let list = "/seasons/2026/possible-days";
    let page = two.steward.opens(list).await;
    page.says("data-is=\"Can bring cane\">2<");
    members::let_go(&two.site.act(), two.tomas, false)
        .await
        .unwrap();
    let page = two.steward.opens(list).await;
    page.says("data-is=\"Can bring cane\">1<")
        .says("data-is=\"Can help\">1<");
}

#[tokio::test]
async fn who_confirmed_a_turn_is_forgotten_when_it_moves_and_is_told_by_the_card_not_by_the_name() {
    let mut two = two().await;
    let turn = book(&two.site, two.tomas, 9).await;
    let path = format!("/turns/{turn}");
    two.ana_opens.opens(&path).await;
    let confirm = format!("{path}/confirm");
    two.ana_opens.sends(&confirm, &[]).await.taken();
    two.steward
        .opens(&path)
        .await
        .says("Confirmed Sat 19 Sep 2026 08:00 by <bdi>Ana Reyes</bdi>.");
    // Two of one name are two people.
    two.site
        .sql("update members set name = 'Tomás Reyes' where name = 'Ana Reyes'")
        .await;
    two.steward
        .opens(&path)
        .await
        .says("Confirmed Sat 19 Sep 2026 08:00 by <bdi>Tomás Reyes</bdi>.");
    let fields = [("day", "2026-09-19"), ("version", "1"), ("start", "11:00")];
    let moves = format!("{path}/move");
    two.ana_opens.fills(&moves, &fields).await.taken();
    let left = "select count(*) from turns where confirmed_at is null and confirmed_by is not null";
    assert_eq!(two.site.count(left).await, 0);
    assert_eq!(two.site.count("select count(*) from turns").await, 1);
}

async fn planted(browser: &mut Browser, member: MemberId, row: &str) {
    let fields = [
        ("variety", "Dale"),
        ("planted_on", "2026-05-20"),
        ("row", row),
        ("days", "110"),
    ];
    let new = format!("/members/{member}/plantings/new");
    browser.fills(&new, &fields).await.taken();
}

#[tokio::test]
async fn whose_cane_is_booked_is_chosen_and_filled_in_for_that_card_alone() {
    let mut two = two().await;
    planted(&mut two.steward, two.ana, "300").await;
    planted(&mut two.steward, two.tomas, "120").await;
    let chosen = |member: MemberId| format!("<option value=\"{member}\" selected>");
    // Nothing is filled in before it is known whose; the own card is chosen, and seen to be.
    let page = two.ana_opens.opens(BOOK).await;
    page.says(&chosen(two.ana));
    assert!(!page.body.contains("Choose a member"));
    assert!(!page.body.contains("From the planting record"));
    for (member, row, name) in [(two.ana, "300", "Ana Reyes"), (two.tomas, "120", TOMAS)] {
        let page = two
            .ana_opens
            .opens(&format!("{BOOK}?member={member}"))
            .await;
        page.says(&chosen(member))
            .says(&format!("For the card of <bdi>{name}</bdi>"))
            .says(&format!("value=\"{row}\""));
    }
    // Another card chosen after it was filled in: what was of the first does not go on to it.
    let changed = format!(
        "{BOOK}?filled_for={}&member={}&told=row&amount=300",
        two.ana, two.tomas
    );
    let page = two.ana_opens.opens(&changed).await;
    page.says(&format!("For the card of <bdi>{TOMAS}</bdi>"))
        .says("value=\"120\"");
    assert!(!page.body.contains("value=\"300\""));
    let same = changed.replace(&two.ana.to_string(), &two.tomas.to_string());
    two.ana_opens.opens(&same).await.says("value=\"300\"");
    // Home leads from the other card to its own booking.
    two.ana_opens
        .opens("/")
        .await
        .says(&format!("href=\"{BOOK}?member={}\"", two.tomas))
        .says(&format!("href=\"{BOOK}?member={}\"", two.ana));
    // Whoever sends no choice is asked.
    two.ana_opens.opens(BOOK).await;
    let fields = [("told", "weight"), ("amount", "100"), ("start", "9:00")];
    two.ana_opens.sends(BOOK, &fields).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Please choose the member whose cane it is.",
    );
    // One's own cane needs no choice where there is one card.
    let (bo, mut bo_opens) = two.site.person("Bo Lund", Role::Member).await;
    planted(&mut two.steward, bo, "90").await;
    bo_opens.opens(BOOK).await.says("From the planting record");
    bo_opens.sends(BOOK, &fields).await.taken();
}

pub(super) async fn full(site: &TestSite) {
    for hour in 7..17 {
        book(site, site.steward, hour).await;
    }
}

async fn waits(site: &TestSite, member: MemberId) {
    let joins = Joins {
        member,
        told: AmountTold::Weight(Grams::parse("415", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    let day = day_of(site).await;
    waiting::join(&site.act(), day, joins).await.unwrap();
}

#[tokio::test]
async fn a_place_of_the_other_card_takes_nobodys_own_away_and_stands_on_home_under_its_name() {
    let mut two = two().await;
    full(&two.site).await;
    let asked = |member| format!("{BOOK}?member={member}&told=weight&amount=415");
    two.ana_opens
        .opens(&asked(two.ana))
        .await
        .says("Put me on the waiting list");
    let page = two.ana_opens.opens(&asked(two.tomas)).await;
    page.says("Put <bdi>Tomás Reyes</bdi> on the waiting list");
    assert!(!page.body.contains("Put me on the waiting list"));
    waits(&two.site, two.tomas).await;
    let page = two.ana_opens.opens(DAY).await;
    page.says("Wait for a turn")
        .says("Place of <bdi>Tomás Reyes</bdi>: 1st of 1");
    assert!(!page.body.contains("Your place"));
    waits(&two.site, two.ana).await;
    let page = two.ana_opens.opens(DAY).await;
    page.says("Your place: 2nd of 2");
    assert!(!page.body.contains("Wait for a turn"));
    let page = two.ana_opens.opens("/").await;
    let card = page
        .body
        .split("For the card of <bdi>Tomás Reyes</bdi>")
        .nth(1);
    let card = card.unwrap().split("Before you come").next().unwrap();
    assert!(card.contains("1st of 2 on the waiting list"), "{card}");
}

#[tokio::test]
async fn a_turn_and_an_offer_of_the_other_card_are_said_under_its_name() {
    let mut two = two().await;
    let turn = book(&two.site, two.tomas, 9).await;
    let page = two.ana_opens.opens("/").await;
    page.says("For <bdi>Tomás Reyes</bdi>: Please confirm the turn on Sat 19 Sep 2026 at 09:00.")
        .says("The turn is about 09:00")
        .says("The turn is booked: 1 h at the mill");
    for words in ["Your turn is about", "Your turn is booked"] {
        assert!(!page.body.contains(words), "{words}");
    }
    let page = two.ana_opens.opens("/days/2026-09-19/queue").await;
    page.says("For <bdi>Tomás Reyes</bdi>: The turn is about 09:00");
    let page = two.ana_opens.opens(&format!("/turns/{turn}")).await;
    page.says("The turn is about 09:00");
    let page = two.ana_opens.opens(DAY).await;
    page.says("Turn of <bdi>Tomás Reyes</bdi>: <a href=\"")
        .says("You have no turn on this day");
    two.site
        .browser(two.tomas)
        .await
        .opens(DAY)
        .await
        .says("<h2>Your turn</h2>");
    // What is offered names whose it is, apart from the sentence.
    turn::cancel(&two.site.act(), turn, "rain").await.unwrap();
    full(&two.site).await;
    waits(&two.site, two.tomas).await;
    let first = two
        .site
        .text("select id from turns where state = 'held' and start_min = 900")
        .await;
    turn::cancel(&two.site.act(), TurnId::parse(&first).unwrap(), "rain")
        .await
        .unwrap();
    let site = &two.site;
    rounds::due(&site.reader, &site.writer, &site.ids, AT)
        .await
        .unwrap();
    two.ana_opens
        .opens("/")
        .await
        .says("A turn is free for <bdi>Tomás Reyes</bdi>: Sat 19 Sep 2026, 15:00–16:00");
}

#[tokio::test]
async fn a_turns_history_sets_apart_who_did_it_and_for_whom() {
    let mut two = two().await;
    two.ana_opens.opens(BOOK).await;
    let for_tomas = two.tomas.to_string();
    let fields = [
        ("member", for_tomas.as_str()),
        ("told", "weight"),
        ("amount", "100"),
        ("start", "9:00"),
    ];
    let to = two.ana_opens.sends(BOOK, &fields).await.taken().to_owned();
    two.ana_opens
        .opens(&to)
        .await
        .says("<bdi>Ana Reyes</bdi>, for the card of <bdi>Tomás Reyes</bdi>");
}

#[tokio::test]
async fn a_lot_shows_each_card_that_has_juice_in_it_under_its_name() {
    let mut lot = divided_lot().await;
    let path = format!("/boils/{}", lot.code.as_str());
    let (ana, mut ana_opens) = lot.site.person("Ana Reyes", Role::Member).await;
    // Of a card acted for alone.
    household::let_act(&lot.site.act(), lot.bess, ana)
        .await
        .unwrap();
    let page = ana_opens.opens(&path).await;
    page.says("The part of <bdi>Bess Lane</bdi>");
    assert!(!page.body.contains("Your part"), "{}", page.body);
    // With own juice in it, both, the own first.
    household::let_act(&lot.site.act(), lot.bess, lot.amos)
        .await
        .unwrap();
    let page = lot.amos_opens.opens(&path).await;
    page.says("Your part of lot")
        .says("The part of <bdi>Bess Lane</bdi>")
        .says("Ticket 1</a>")
        .says("Ticket 2</a>")
        .says(&format!("href=\"/members/{}/statement/2026\"", lot.bess))
        .says(&format!("href=\"/members/{}/statement/2026\"", lot.amos));
    let own = page.body.find("Your part").unwrap();
    assert!(own < page.body.find("The part of <bdi>").unwrap());
    // The shares of the lot lead along the own cane first.
    let shares = lot.amos_opens.opens(&lot.path()).await;
    let way = shares
        .body
        .split("aria-label=\"The way of this cane\"")
        .nth(1);
    let way = way.unwrap().split("</nav>").next().unwrap();
    assert!(way.contains("Your statement"), "{way}");
}

#[tokio::test]
async fn the_own_strand_of_a_lot_comes_before_that_of_a_card_acted_for() {
    let mut lot = divided_lot().await;
    // Bess's cane is the second in the lot; Amos's the first.
    household::let_act(&lot.site.act(), lot.amos, lot.bess)
        .await
        .unwrap();
    let mut bess_opens = lot.site.browser(lot.bess).await;
    let page = bess_opens.opens(&lot.path()).await;
    let way = page
        .body
        .split("aria-label=\"The way of this cane\"")
        .nth(1);
    let way = way.unwrap().split("</nav>").next().unwrap();
    assert!(
        way.contains("Your statement") && !way.contains("Ticket 1<"),
        "{way}"
    );
    assert_eq!(
        lot.amos_opens.opens(&lot.path()).await.status,
        StatusCode::OK
    );
}

#[tokio::test]
async fn the_household_page_says_all_that_is_given_and_ends_it_by_name() {
    let mut two = two().await;
    let page = two
        .steward
        .opens(&format!("/members/{}/household", two.tomas))
        .await;
    page.says("End it for <bdi>Ana Reyes</bdi>");
    for words in [
        "telephone",
        "address",
        "add, change, take over and remove its plantings",
        "not this year",
        "at the mill",
        "receipts",
    ] {
        page.says(words);
    }
}
