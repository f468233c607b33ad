use crate::site::{Answer, Browser, TestSite};
use axum::http::StatusCode;
use canewright::units::{MemberId, Role};

const NEW: &str = "/days/2026-09-19/tickets/new";

pub struct Mill {
    pub site: TestSite,
    pub amos: MemberId,
    pub member: Browser,
    pub crew: Browser,
    scale: String,
}

/// A mill on its press day, with Amos who is a member and Cora of the crew.
pub async fn mill() -> Mill {
    let site = TestSite::with_season().await;
    let (amos, member) = site.person("Amos Trout", Role::Member).await;
    let (_, crew) = site.person("Cora Pell", Role::Crew).await;
    let scale = site.text("select id from scales").await;
    Mill {
        site,
        amos,
        member,
        crew,
        scale,
    }
}

impl Mill {
    /// Books Amos a turn at 9:00 of 400 lb, as the turn pages do.
    pub async fn book(&self) -> String {
        self.site
            .sql(
                "insert into turns (id, press_day_id, member_id, start_min, minutes, cane_g, told_as, \
                 told_amount, state, made_by, made_at) select '01920000-0000-7000-8000-0000000000b0', p.id, \
                 m.id, 540, 60, 181437, 'weight', 181437, 'held', m.id, 0 from press_days p, members m \
                 where m.name = 'Amos Trout'",
            )
            .await;
        "01920000-0000-7000-8000-0000000000b0".to_owned()
    }

    /// Weighs in: whose, gross, tare, and more boxes.
    pub async fn weigh(
        &mut self,
        whose: &str,
        gross: &str,
        tare: &str,
        more: &[(&str, &str)],
    ) -> Answer {
        let scale = self.scale.clone();
        let mut fields = vec![
            ("whose", whose),
            ("scale", &scale),
            ("gross", gross),
            ("tare", tare),
            ("note", ""),
        ];
        fields.extend_from_slice(more);
        self.crew.fills(NEW, &fields).await
    }

    /// A ticket of Amos, walked in with 360 lb net.
    pub async fn ticket(&mut self) -> String {
        let whose = format!("walk:{}", self.amos);
        let cane = [
            ("stripped", "yes"),
            ("headed", "yes"),
            ("clean", "yes"),
            ("cut_on", "2026-09-18"),
        ];
        let answer = self.weigh(&whose, "400.5", "40.5", &cane).await;
        answer.taken().to_owned()
    }
}

#[tokio::test]
async fn a_walk_in_gets_a_ticket_that_shows_gross_tare_and_net() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let page = mill.crew.opens(&ticket).await;
    page.says("Amos Trout")
        .says("400.5 lb")
        .says("40.5 lb")
        .says("360.0 lb")
        .says("Cora Pell, Sat 19 Sep 2026 08:00, on Platform")
        .says("leaves off, heads off, clean")
        .says("one feeder at a time")
        .says("extension office");
    assert!(!page.body.contains("over the limit"));
    mill.member.opens(&ticket).await.says("360.0 lb");
}

#[tokio::test]
async fn a_member_sees_only_own_tickets_and_does_not_weigh() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let (_, mut other) = mill.site.person("Bea Lund", Role::Member).await;
    other
        .opens(&ticket)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    mill.member
        .opens(NEW)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    let load = format!("{ticket}/loads/new");
    mill.member
        .opens(&load)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
}

#[tokio::test]
async fn tare_above_gross_is_refused_beside_its_box_and_what_was_typed_is_kept() {
    let mut mill = mill().await;
    let whose = format!("walk:{}", mill.amos);
    let refused = mill
        .weigh(&whose, "40.5", "400.5", &[("sure", "40.5 and 400.5")])
        .await;
    refused
        .refused(StatusCode::CONFLICT, "The tare must be less than the gross")
        .says("value=\"400.5\"")
        .says("id=\"p-tare\"");
    assert!(!refused.body.contains("Yes, it is so"));
    assert_eq!(mill.site.count("select count(*) from tickets").await, 0);
    let wrong = mill.weigh("", "many", "-2", &[("cut_time", "7:30")]).await;
    wrong
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Please choose whose cane this is.",
        )
        .says("“many” is not a")
        .says("Please write a weight from 0")
        .says("Please write the day as well");
}

#[tokio::test]
async fn a_weight_between_two_steps_is_asked_about_and_taken_when_confirmed() {
    let mut mill = mill().await;
    let whose = format!("walk:{}", mill.amos);
    mill.weigh(&whose, "400.3", "40.5", &[])
        .await
        .refused(StatusCode::CONFLICT, "This scale reads in steps of 0.5 lb")
        .says("Yes, it is so: 400.3 and 40.5");
    let odd = mill
        .weigh(&whose, "400.3", "40.5", &[("sure", "400.3 and 40.5")])
        .await;
    mill.crew.opens(odd.taken()).await.says("400.300 lb");
    let too_much = mill
        .weigh(&whose, "2100", "0", &[("sure", "2100 and 0")])
        .await;
    too_much.refused(
        StatusCode::CONFLICT,
        "This scale carries 2,000.0 lb at most",
    );
    assert!(!too_much.body.contains("Yes, it is so"));
}

#[tokio::test]
async fn a_turn_is_weighed_in_once_and_the_second_time_names_the_ticket() {
    let mut mill = mill().await;
    let turn = mill.book().await;
    let prefilled = mill.crew.opens(&format!("{NEW}?turn={turn}")).await;
    prefilled
        .says("09:00 <bdi>Amos Trout</bdi>")
        .says("400.0 lb expected")
        .says("checked");
    let walked_in = format!("walk:{}", mill.amos);
    mill.weigh(&walked_in, "400.5", "40.5", &[])
        .await
        .refused(StatusCode::CONFLICT, "Amos Trout has a turn today at 09:00");
    let whose = format!("turn:{turn}");
    mill.weigh(&whose, "1400.5", "40.5", &[])
        .await
        .refused(StatusCode::CONFLICT, "more than the 400.0 lb");
    let first = mill.weigh(&whose, "400.5", "40.5", &[]).await;
    mill.weigh(&whose, "400.5", "40.5", &[]).await.refused(
        StatusCode::CONFLICT,
        "was weighed in already, on ticket 1. Add another load there",
    );
    // The way there, and to another load of it.
    let page = mill.weigh(&whose, "400.5", "40.5", &[]).await;
    for way in [
        first.taken().to_owned(),
        format!("{}/loads/new", first.taken()),
    ] {
        page.says(&format!("href=\"{way}\" data-twin="));
    }
    let again = mill.crew.opens(&format!("{NEW}?turn={turn}")).await;
    assert_eq!(again.taken(), first.taken());
    assert_eq!(mill.site.count("select count(*) from tickets").await, 1);
}

#[tokio::test]
async fn the_same_form_sent_twice_opens_one_ticket() {
    let mut mill = mill().await;
    let whose = format!("walk:{}", mill.amos);
    let scale = mill.scale.clone();
    let fields = [
        ("whose", whose.as_str()),
        ("scale", &scale),
        ("gross", "400.5"),
        ("tare", "0"),
        ("note", ""),
    ];
    let first = mill.crew.fills(NEW, &fields).await;
    let again = mill.crew.sends(NEW, &fields).await;
    assert_eq!(first.taken(), again.taken());
    assert_eq!(mill.site.count("select count(*) from loads").await, 1);
    // A new form is another load when it says so.
    let mut fields = fields.to_vec();
    fields.push(("another", "yes"));
    mill.crew.fills(NEW, &fields).await.taken();
    assert_eq!(mill.site.count("select max(ticket) from tickets").await, 2);
}

#[tokio::test]
async fn loads_add_up_and_a_corrected_one_stays_readable() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let scale = mill.scale.clone();
    let load = [
        ("scale", scale.as_str()),
        ("gross", "140.5"),
        ("tare", "40.5"),
    ];
    let new_load = format!("{ticket}/loads/new");
    mill.crew.fills(&new_load, &load).await.taken();
    mill.crew.sends(&new_load, &load).await.taken();
    mill.crew.opens(&ticket).await.says("460.0 lb");
    let fix = format!("{ticket}/loads/2/correct");
    mill.crew.opens(&fix).await.says("value=\"140.5\"");
    let fields = |gross, why, void| {
        [
            ("scale", scale.as_str()),
            ("gross", gross),
            ("tare", "40.5"),
            ("seen", "1"),
            ("why", why),
            ("void", void),
        ]
    };
    mill.crew
        .fills(&fix, &fields("150.5", "", ""))
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please fill in this box.")
        .says("value=\"150.5\"");
    mill.crew
        .fills(&fix, &fields("140.5", "no reason", ""))
        .await
        .refused(StatusCode::CONFLICT, "Nothing is different");
    mill.crew
        .fills(&fix, &fields("150.5", "misread <4>", ""))
        .await
        .taken();
    mill.crew
        .opens(&ticket)
        .await
        .says("<s>140.5 lb</s>")
        .says("misread &#60;4&#62;")
        .says("corrected by Cora Pell")
        .says("470.0 lb");
    mill.crew
        .fills(&fix, &fields("150.5", "weighed twice", "yes"))
        .await
        .refused(StatusCode::CONFLICT, "while you had it open");
    let mut void = fields("150.5", "weighed twice", "yes").to_vec();
    void.retain(|(name, _)| *name != "seen");
    void.push(("seen", "2"));
    mill.crew.fills(&fix, &void).await.taken();
    mill.crew
        .opens(&ticket)
        .await
        .says("crossed out")
        .says("data-is=\"Net\">360.0 lb");
    mill.member
        .opens(&fix)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
}

#[tokio::test]
async fn frosted_cane_with_its_leaves_on_carries_cautions() {
    let mut mill = mill().await;
    let whose = format!("walk:{}", mill.amos);
    let seen = [
        ("frosted", "yes"),
        ("stripped", "no"),
        ("clean", "no"),
        ("cut_on", "2026-09-16"),
    ];
    let answer = mill.weigh(&whose, "400.5", "40.5", &seen).await;
    mill.crew
        .opens(answer.taken())
        .await
        .says("within 48 hours of a killing frost")
        .says("Cut 3 days ago, over the limit of 2 days")
        .says("Leaves on")
        .says("Not clean");
    let later = [("cut_on", "2026-09-20")];
    mill.weigh(&whose, "400.5", "40.5", &later).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Sun 20 Sep 2026 is still to come: today is Sat 19 Sep 2026.",
    );
}

#[tokio::test]
async fn a_closed_day_takes_no_more_cane() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let scale = mill.scale.clone();
    let load = [
        ("scale", scale.as_str()),
        ("gross", "140.5"),
        ("tare", "40.5"),
    ];
    let new_load = format!("{ticket}/loads/new");
    mill.crew.opens(&new_load).await;
    mill.site
        .sql("update press_days set closed_at = 1789822800")
        .await;
    mill.crew
        .sends(&new_load, &load)
        .await
        .refused(StatusCode::CONFLICT, "is closed and takes no more cane");
    mill.crew
        .opens(NEW)
        .await
        .refused(StatusCode::CONFLICT, "is closed and takes no more cane");
}

/// What a phone that kept an entry says of it: who tapped, when by its own clock, and how far that is ahead.
fn kept(by: MemberId, tapped: i64, ahead: i64) -> [(axum::http::HeaderName, String); 3] {
    use axum::http::HeaderName;
    [
        (HeaderName::from_static("kept-by"), by.to_string()),
        (HeaderName::from_static("kept-tapped"), tapped.to_string()),
        (HeaderName::from_static("kept-ahead"), ahead.to_string()),
    ]
}

const KEY: &str = "0199653c-8f00-7abc-8def-0123456789ab";

/// A walk-in of Amos as a phone's script sends it: 20 minutes after the tap, by a clock three hours fast.
async fn sent_later(mill: &mut Mill, crew: MemberId, more: &[(&str, &str)]) -> Answer {
    let (whose, scale) = (format!("walk:{}", mill.amos), mill.scale.clone());
    let mut fields = vec![
        ("form_key", KEY),
        ("whose", whose.as_str()),
        ("scale", &scale),
        ("gross", "400.5"),
        ("tare", "40.5"),
        ("note", ""),
    ];
    fields.extend_from_slice(more);
    let headers = kept(crew, crate::site::AT.get() + 3 * 3600 - 1200, 3 * 3600);
    mill.crew.sends_with(NEW, &fields, &headers).await
}

#[tokio::test]
async fn an_entry_that_a_phone_kept_counts_at_its_tap_however_wrong_the_phones_clock_is() {
    let mut mill = mill().await;
    let crew = MemberId::parse(
        &mill
            .site
            .text("select id from members where name = 'Cora Pell'")
            .await,
    )
    .unwrap();
    let first = sent_later(&mut mill, crew, &[]).await;
    assert_eq!(first.status, StatusCode::CREATED);
    // The phone knew the address before the mill knew the ticket.
    assert_eq!(first.to, format!("/tickets/{KEY}"));
    let again = sent_later(&mut mill, crew, &[]).await;
    assert_eq!(
        (again.status, again.to),
        (StatusCode::CREATED, first.to.clone())
    );
    assert_eq!(mill.site.count("select count(*) from loads").await, 1);
    let said = mill.site.count("select weighed_at from loads").await;
    assert_eq!(crate::site::AT.get() - said, 1200);
    let tapped = mill
        .site
        .count("select tapped_at - arrived_at from sent_from_phone")
        .await;
    assert_eq!(tapped, 3 * 3600 - 1200);
    mill.crew
        .opens(&first.to)
        .await
        .says("07:40, on Platform (tapped then on a phone without network; it arrived 08:00; its clock was 3 h fast, which is taken off)");
}

#[tokio::test]
async fn an_entry_that_somebody_else_tapped_waits_for_them_and_a_form_without_its_headers_needs_its_token()
 {
    let mut mill = mill().await;
    let amos = mill.amos;
    let other = sent_later(&mut mill, amos, &[]).await;
    other.refused(StatusCode::UNAUTHORIZED, "You are signed out");
    mill.crew
        .sends_with(NEW, &[("form_key", KEY), ("gross", "400")], &[])
        .await
        .refused(StatusCode::FORBIDDEN, "That form was not taken");
    assert_eq!(mill.site.count("select count(*) from tickets").await, 0);
}

#[tokio::test]
async fn the_same_load_weighed_on_two_phones_is_asked_about_before_a_second_ticket_is_opened() {
    let mut mill = mill().await;
    mill.ticket().await;
    let whose = format!("walk:{}", mill.amos);
    let twin = mill.weigh(&whose, "402", "40.5", &[]).await;
    twin.refused(
        StatusCode::CONFLICT,
        "The same load? Amos Trout has 360.0 lb on ticket 1",
    )
    .says("this would be 361.5 lb")
    .says("It is another load");
    assert_eq!(mill.site.count("select count(*) from tickets").await, 1);
    // Another weight is another load; and so is what the person at the scale says is another.
    mill.weigh(&whose, "500.5", "40.5", &[]).await.taken();
    mill.weigh(&whose, "402", "40.5", &[("another", "yes")])
        .await
        .taken();
    assert_eq!(mill.site.count("select count(*) from tickets").await, 3);
    // What a phone kept meanwhile is asked about too, though it was tapped first.
    let crew = MemberId::parse(
        &mill
            .site
            .text("select id from members where name = 'Cora Pell'")
            .await,
    )
    .unwrap();
    let late = {
        let headers = kept(crew, crate::site::AT.get() - 600, 0);
        let scale = mill.scale.clone();
        let fields = [
            ("form_key", KEY),
            ("whose", whose.as_str()),
            ("scale", &scale),
            ("gross", "400.5"),
            ("tare", "40.5"),
            ("note", ""),
        ];
        mill.crew.sends_with(NEW, &fields, &headers).await
    };
    late.refused(StatusCode::CONFLICT, "Cora Pell 10 minutes later");
}
