use crate::site::{AT, TestSite};
use axum::http::StatusCode;
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{Grams, MemberId, MinuteOfDay, PressDayId, Role, Units};

const BOARD: &str = "/days/2026-09-19/board";
const SHEET: &str = "/days/2026-09-19/sheet";
const NEW: &str = "/days/2026-09-19/tickets/new";

/// Turns of 330 lb: fifty minutes with the change-over.
async fn book(site: &TestSite, member: MemberId, start: i64) -> String {
    let day = PressDayId::parse(&site.text("select id from press_days").await).unwrap();
    let new = NewTurn {
        member,
        start: MinuteOfDay::new(start).unwrap().into(),
        told: AmountTold::Weight(Grams::parse("330", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    turn::book(&site.act(), day, new).await.unwrap().to_string()
}

async fn scale(site: &TestSite) -> String {
    site.text("select id from scales").await
}

#[tokio::test]
async fn the_board_shows_turn_numbers_first_names_and_about_when_each_begins() {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (ida, _) = site.person("Ida Finch", Role::Member).await;
    let (june, _) = site.person("June Pickett", Role::Member).await;
    site.sql("update members set in_queue = 0 where name = 'June Pickett'")
        .await;
    // The clock is at 08:00. Amos came at 07:40 for fifty minutes; Ida's turn is at 08:10.
    let first = book(&site, amos, 420).await;
    book(&site, ida, 490).await;
    book(&site, june, 600).await;
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    let board = crew.opens(BOARD).await;
    board
        .says("<meta http-equiv=\"refresh\" content=\"30\">")
        .says("Hold still")
        .says("The mill is free")
        .says("Turn 1</th><td><bdi>Amos</bdi></td><td class=\"t\">07:00</td><td class=\"t\"><strong>08:00</strong>")
        .says("not here yet")
        .says("0 of 3 pressed");
    let scale = scale(&site).await;
    let whose = format!("turn:{first}");
    let weighed: &[(&str, &str)] = &[
        ("whose", &whose),
        ("scale", &scale),
        ("gross", "330"),
        ("tare", "0"),
        ("weighed", "7:40"),
        ("stripped", "yes"),
    ];
    crew.fills(NEW, weighed).await.taken();
    let board = crew.opens(BOARD).await;
    board
        .says("At the mill</span> Turn 1 Amos")
        .says("Turn 2</th><td><bdi>Ida</bdi></td><td class=\"t\">08:10</td><td class=\"t\"><strong>08:30</strong>")
        .says("Turn 3</th><td><bdi></bdi></td><td class=\"t\">10:00</td><td class=\"t\"><strong>10:00</strong>");
    for name in ["Trout", "Finch", "Pickett", "June", "615 555"] {
        assert!(!board.body.contains(name), "{name}");
    }
}

#[tokio::test]
async fn board_and_sheet_are_not_for_strangers_or_members() {
    let site = TestSite::with_season().await;
    let (_, mut member) = site.person("Amos Trout", Role::Member).await;
    for path in [BOARD, SHEET] {
        member
            .opens(path)
            .await
            .refused(StatusCode::FORBIDDEN, "Not for your role");
        let stranger = site.stranger().opens(path).await;
        assert!(stranger.taken().starts_with("/sign-in?"));
    }
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    for path in ["/days/2026-09-20/board", "/days/today/sheet"] {
        assert_eq!(crew.opens(path).await.status, StatusCode::NOT_FOUND);
    }
}

/// The labels of an entry page's boxes and rows of buttons, in order.
fn labels(page: &str) -> Vec<String> {
    let mut marked = page.replace("<label for=\"f-", "\u{1}");
    marked = marked.replace("<legend>", "\u{1}>");
    marked
        .split('\u{1}')
        .skip(1)
        .map(|rest| {
            let text = rest.split_once('>').unwrap().1;
            text.split('<').next().unwrap().to_owned()
        })
        .collect()
}

#[tokio::test]
async fn the_sheet_has_telephone_numbers_and_places_in_the_order_of_the_entry_page() {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos <b>Trout</b>", Role::Member).await;
    book(&site, amos, 600).await;
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    let sheet = crew.opens(SHEET).await;
    sheet
        .says("<td>1</td><td>10:00–10:50</td><td>Amos &#60;b&#62;Trout&#60;/b&#62; (2)</td><td>615 555 0101</td><td>330.0 lb</td>")
        .says("Walk-ins go below")
        .says("page 1 of 6")
        .says("page 6 of 6");
    let entry = labels(&crew.opens(NEW).await.body);
    let on_paper = |label: &str| {
        let (_, pad) = sheet.body.split_once("<h2>Ticket pad").unwrap();
        pad.find(&format!("\">{label}")).unwrap_or(0)
    };
    // As the page asks → as the paper says; a second load is keyed in on a page of its own.
    let pairs = [
        ("Gross, lb", "Gross, lb"),
        ("Tare, lb", "Tare, lb"),
        ("Weighed at", "Weighed at"),
        ("Leaves", "Leaves off"),
        ("Heads", "Heads off"),
        ("Mud and trash", "Clean"),
        ("Frosted before it was cut", "Frosted"),
        ("Cut on", "Cut on"),
        ("At", "At"),
        ("Remark, if any", "Remark"),
    ];
    let asked: Vec<&str> = entry
        .iter()
        .map(String::as_str)
        .filter(|label| pairs.iter().any(|(page, _)| page == label))
        .collect();
    assert_eq!(asked, pairs.map(|(page, _)| page));
    let places = pairs.map(|(_, paper)| on_paper(paper));
    assert!(places.is_sorted() && places[0] > 0, "{places:?}");
}

#[tokio::test]
async fn the_sheet_asks_for_opening_checks_until_they_are_in_the_book() {
    let site = TestSite::before_the_morning().await;
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    crew.opens(SHEET).await.says("Thermometer in boiling water");
    site.morning_done().await;
    let sheet = crew.opens(SHEET).await.body;
    assert!(!sheet.contains("Thermometer in boiling water"));
}

#[tokio::test]
async fn a_weighing_noted_on_paper_is_keyed_in_with_its_true_time() {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    let scale = scale(&site).await;
    let whose = format!("walk:{amos}");
    let weighed = |at: &'static str| {
        vec![
            ("whose", whose.as_str()),
            ("scale", scale.as_str()),
            ("gross", "330"),
            ("tare", "0"),
            ("weighed", at),
        ]
    };
    crew.fills(NEW, &weighed("8:01"))
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "08:01 of Sat 19 Sep 2026 is still to come",
        )
        .says("value=\"8:01\"");
    crew.fills(NEW, &weighed("noonish"))
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "time of day");
    assert_eq!(site.count("select count(*) from tickets").await, 0);
    let ticket = crew.fills(NEW, &weighed("7:20")).await.taken().to_owned();
    crew.opens(&ticket).await.says("Sat 19 Sep 2026 07:20");
    let at = "select weighed_at from loads";
    assert_eq!(site.count(at).await, AT.get() - 40 * 60);
    // A correction of the weight keeps the time; a correction of the time alone is one.
    let fix = format!("{ticket}/loads/1/correct");
    let mut fields = weighed("");
    fields[2] = ("gross", "340");
    fields.extend([("why", "misread"), ("seen", "1")]);
    crew.fills(&fix, &fields).await.taken();
    fields.retain(|(name, _)| *name != "weighed" && *name != "seen");
    fields.extend([("weighed", "7:15"), ("seen", "2")]);
    crew.fills(&fix, &fields).await.taken();
    let latest = "select weighed_at from loads order by version desc";
    assert_eq!(site.count(latest).await, AT.get() - 45 * 60);
    assert_eq!(site.count("select count(*) from loads").await, 3);
}
