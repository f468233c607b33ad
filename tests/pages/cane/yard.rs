//! The yard by hand: slips at the scale and the tank are asked about, and put right.

use crate::cane::juice::measure as juice;
use crate::cane::tickets::{Mill, mill};
use crate::site::{AT, Browser};
use axum::http::StatusCode;
use canewright::actions::people::accounts;
use canewright::units::{MemberId, Role, UtcSecond};

const NEW: &str = "/days/2026-09-19/tickets/new";
const DAY: &str = "/days/2026-09-19";
/// Sun 20 Sep 2026, 0:30 in Chicago: the press day of the 19th still runs.
const AFTER_MIDNIGHT: UtcSecond = UtcSecond::new(1_789_822_800 + 16 * 3600 + 1800);

/// Cora of the crew with the clock at another time, signed in then.
async fn later(mill: &Mill, at: UtcSecond) -> Browser {
    let cora = mill
        .site
        .text("select id from members where name = 'Cora Pell'")
        .await;
    let id = MemberId::parse(&cora).unwrap();
    let token = accounts::open_session(&mill.site.writer, at, id, "")
        .await
        .unwrap();
    let mut browser = mill.site.stranger_at(at);
    browser.cookie = format!("canewright={}", token.as_str());
    browser
}

#[tokio::test]
async fn a_tare_box_is_empty_and_an_empty_one_is_no_tare_of_nought() {
    let mut mill = mill().await;
    let page = mill.crew.opens(NEW).await;
    page.says("name=\"tare\" inputmode=\"decimal\" autocomplete=\"off\" value=\"\"");
    let whose = format!("walk:{}", mill.amos);
    mill.weigh(&whose, "400.5", "", &[])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please write the tare");
    let bare = mill
        .weigh(&whose, "400.5", "", &[("known_tare", "0|")])
        .await;
    mill.crew.opens(bare.taken()).await.says("400.5 lb");
}

#[tokio::test]
async fn a_tare_ten_times_off_and_one_that_was_forgotten_are_asked_about_until_confirmed() {
    let mut mill = mill().await;
    mill.ticket().await;
    let whose = format!("walk:{}", mill.amos);
    // 40.5 lb was the tare of the first load.
    mill.weigh(&whose, "800", "405", &[])
        .await
        .refused(
            StatusCode::CONFLICT,
            "A tare of 405.0 lb: it was 40.5 lb last.",
        )
        .says("name=\"sure\" value=\"800 and 405\"");
    mill.weigh(&whose, "400.5", "0", &[])
        .await
        .refused(StatusCode::CONFLICT, "Was the trailer or basket forgotten?");
    // An answer to other figures is none to these.
    mill.weigh(&whose, "400.5", "0", &[("sure", "800 and 405")])
        .await
        .refused(StatusCode::CONFLICT, "forgotten?");
    mill.weigh(&whose, "400.5", "0", &[("sure", "400.5 and 0")])
        .await
        .taken();
}

#[tokio::test]
async fn a_weight_half_as_much_again_as_the_turn_expects_is_read_back_before_it_counts() {
    let mut mill = mill().await;
    let whose = format!("turn:{}", mill.book().await);
    mill.weigh(&whose, "645", "40.5", &[])
        .await
        .refused(
            StatusCode::CONFLICT,
            "645.0 lb less 40.5 lb: 604.5 lb net is more than the 400.0 lb that the turn expects",
        )
        .says("Yes, it is so: 645 and 40.5");
    mill.weigh(&whose, "600", "40.5", &[]).await.taken();
}

#[tokio::test]
async fn the_last_tares_of_a_member_and_of_named_trailers_are_one_tap() {
    let mut mill = mill().await;
    let whose = format!("walk:{}", mill.amos);
    mill.weigh(&whose, "400.5", "40.5", &[("trailer", "Blue trailer")])
        .await
        .taken();
    let page = mill.crew.opens(NEW).await;
    page.says("value=\"40.5|Blue trailer\"")
        .says("Blue trailer, Sat 19 Sep 2026");
    let tapped = mill
        .weigh(&whose, "300", "", &[("known_tare", "40.5|Blue trailer")])
        .await;
    mill.crew
        .opens(tapped.taken())
        .await
        .says("259.5 lb")
        .says("on Platform, Blue trailer");
}

#[tokio::test]
async fn what_nobody_ticked_is_not_said_and_is_no_reproach() {
    let mut mill = mill().await;
    let whose = format!("walk:{}", mill.amos);
    let ticket = mill.weigh(&whose, "400.5", "40.5", &[]).await;
    let page = mill.crew.opens(ticket.taken()).await;
    page.says("<dd>not said</dd>");
    assert!(!page.body.contains("Leaves on"), "{}", page.body);
    let seen = [("stripped", "no"), ("frosted", "no")];
    let ticket = mill.weigh(&whose, "410.5", "40.5", &seen).await;
    mill.crew
        .opens(ticket.taken())
        .await
        .says("leaves on, no frost");
}

#[tokio::test]
async fn juice_pressed_after_midnight_is_of_the_night_and_never_before_its_cane() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    mill.crew = later(&mill, AFTER_MIDNIGHT).await;
    juice(&mut mill, &ticket, &[("pressed", "7:40")])
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "before its cane was weighed",
        );
    let pressed = juice(&mut mill, &ticket, &[("pressed", "0:15")]).await;
    mill.crew
        .opens(pressed.taken())
        .await
        .says("Sun 20 Sep 2026 00:15")
        .says("fresh, 4 h 45 min left");
}

#[tokio::test]
async fn after_midnight_cane_and_juice_need_no_time_while_the_day_runs() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    mill.crew = later(&mill, AFTER_MIDNIGHT).await;
    let pressed = juice(&mut mill, &ticket, &[]).await;
    mill.crew
        .opens(pressed.taken())
        .await
        .says("Sun 20 Sep 2026 00:30");
    let whose = format!("walk:{}", mill.amos);
    let night = mill
        .weigh(&whose, "400.5", "40.5", &[("weighed", "015")])
        .await;
    mill.crew
        .opens(night.taken())
        .await
        .says("Sun 20 Sep 2026 00:15, on Platform")
        .says("Sat 19 Sep 2026</a>");
}

#[tokio::test]
async fn a_time_that_may_be_either_morning_is_asked_about() {
    let mut mill = mill().await;
    mill.crew = later(&mill, AFTER_MIDNIGHT.plus(5 * 3600 + 1800)).await;
    let whose = format!("walk:{}", mill.amos);
    mill.weigh(&whose, "400.5", "40.5", &[("weighed", "5:30")])
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "05:30 of Sat 19 Sep 2026 or of Sun 20 Sep 2026? Please choose.",
        )
        .says("name=\"weighed_on\" value=\"2026-09-20\"");
    let night = [("weighed", "5:30"), ("weighed_on", "2026-09-20")];
    let ticket = mill.weigh(&whose, "400.5", "40.5", &night).await;
    mill.crew
        .opens(ticket.taken())
        .await
        .says("Sun 20 Sep 2026 05:30");
}

#[tokio::test]
async fn board_home_and_waiting_juice_stay_on_the_running_day_until_it_is_closed() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    juice(&mut mill, &ticket, &[]).await.taken();
    let mut night = later(&mill, AFTER_MIDNIGHT).await;
    night
        .opens("/")
        .await
        .says("Still pressing: Sat 19 Sep 2026")
        .says("Blue barrel");
    night
        .opens(DAY)
        .await
        .says("not closed yet")
        .says("Blue barrel");
    let board = night.opens("/days/2026-09-19/board").await;
    board.says("00:30");
    mill.site
        .sql("update press_days set closed_at = 1 where date = '2026-09-19'")
        .await;
    let home = night.opens("/").await;
    assert!(!home.body.contains("Still pressing"), "{}", home.body);
    night
        .opens("/days/2026-09-19/board")
        .await
        .says("not today");
}

#[tokio::test]
async fn the_time_of_pressing_is_corrected_and_the_old_one_stays_readable() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let at = juice(&mut mill, &ticket, &[]).await.taken().to_owned();
    mill.crew = later(&mill, AT.plus(3 * 3600)).await;
    let fix = format!("{at}/correct");
    let mut fields = vec![
        ("seen", "1"),
        ("kind", "mass"),
        ("amount", "170"),
        ("temp", "68"),
        ("instrument", "self"),
        ("brix_1", "15.4"),
        ("brix_2", "15.6"),
        ("why", "the clock was wrong"),
        ("pressed", "7:30"),
    ];
    mill.crew.fills(&fix, &fields).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "before its cane was weighed",
    );
    fields.pop();
    fields.push(("pressed", "9:10"));
    mill.crew.fills(&fix, &fields).await.taken();
    mill.crew
        .opens(&at)
        .await
        .says("<dt>Pressed</dt><dd>Sat 19 Sep 2026 09:10");
    let first = "select count(*) from juice_measures where version = 1 and pressed_at = 1789822800";
    assert_eq!(mill.site.count(first).await, 1);
}

#[tokio::test]
async fn a_vessel_is_free_again_once_its_juice_never_was() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let first = juice(&mut mill, &ticket, &[]).await.taken().to_owned();
    juice(&mut mill, &ticket, &[])
        .await
        .refused(StatusCode::CONFLICT, "was measured already");
    mill.crew.opens(&first).await.says("Undo");
    mill.crew.sends(&format!("{first}/undo"), &[]).await.taken();
    mill.crew
        .opens("/")
        .await
        .says("Weighed, not pressed")
        .says("Ticket 1");
    // Its member is told what the crew is: the cane is at the mill, and was not poured away.
    let mut amos = mill.site.browser(mill.amos).await;
    amos.opens("/").await.says("The mill has your cane now");
    let again = juice(&mut mill, &ticket, &[("amount", "168")]).await;
    mill.crew.opens(again.taken()).await.says("168.0 lb");
    mill.crew.opens(&first).await.says("entered by mistake");
}

#[tokio::test]
async fn juice_that_is_lost_leaves_what_was_measured_as_it_is() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let at = juice(&mut mill, &ticket, &[]).await.taken().to_owned();
    let lost = format!("{at}/lost");
    mill.crew
        .fills(&lost, &[("what", ""), ("lost", "200"), ("note", "")])
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Please choose what happened",
        );
    mill.crew
        .fills(&lost, &[("what", "spilt"), ("lost", "200"), ("note", "")])
        .await
        .refused(StatusCode::CONFLICT, "Only 170.0 lb of this juice is left");
    let spilt = [("what", "spilt"), ("lost", "20"), ("note", "hose off")];
    mill.crew.fills(&lost, &spilt).await.taken();
    // The measuring cannot be undone under it: what was spilt was there.
    let page = mill.crew.opens(&at).await;
    assert!(
        !page.body.contains("you can undo it until"),
        "{}",
        page.body
    );
    mill.crew.sends(&format!("{at}/undo"), &[]).await.refused(
        StatusCode::CONFLICT,
        "20.0 lb of this juice is noted as lost",
    );
    let mut amos = mill.site.browser(mill.amos).await;
    amos.opens("/")
        .await
        .says("20.0 lb of its juice was spilt or spoilt.");
    mill.crew
        .opens(&at)
        .await
        .says("20.0 lb spilt: hose off")
        .says("<dt>Left in the vessel</dt><dd>150.0 lb")
        .says("100 × 170.0 lb ÷ 360.0 lb of cane = 47.2");
    // What was measured twice was never pressed: 170 − 10 − … of 360.
    let twice = [("what", "twice"), ("lost", "10"), ("note", "")];
    mill.crew.fills(&lost, &twice).await.taken();
    mill.crew
        .opens(&at)
        .await
        .says("10.0 lb measured twice")
        .says("<dt>Left in the vessel</dt><dd>140.0 lb")
        .says("100 × 160.0 lb ÷ 360.0 lb of cane = 44.4");
    mill.crew.opens(DAY).await.says("140.0 lb");
    mill.crew.opens(&at).await;
    mill.crew
        .sends(&format!("{at}/lost/1/back"), &[])
        .await
        .taken();
    mill.crew.opens(&at).await.says("<dd>160.0 lb");
    let rest = [("what", "spoilt"), ("lost", ""), ("note", "sour")];
    mill.crew.fills(&lost, &rest).await.taken();
    mill.crew
        .opens(&at)
        .await
        .says("all lost")
        .says("160.0 lb spoilt: sour");
    let home = mill.crew.opens("/").await;
    home.says("No juice is standing");
    let home = amos.opens("/").await;
    home.says("its juice was spilt or spoilt");
    assert!(!home.body.contains("waits for the pan"), "{}", home.body);
    // Nor does the statement keep quiet about it, or the picture of the season.
    let statement = format!("/members/{}/statement/2026", mill.amos);
    amos.opens(&statement)
        .await
        .says("160.0 lb of it spoilt, 10.0 lb of it measured twice")
        .says("Ticket 1: 160.0 lb of its juice was spoilt before it came into a pan, which is all of it. No syrup comes of this ticket.")
        .says("spoilt = 0 g for the pan");
    amos.opens(&format!("/members/{}/season/2026", mill.amos))
        .await
        .says("160.0 lb of it was spilt or spoilt: no syrup comes of that.");
}

#[tokio::test]
async fn the_picture_of_a_season_leaves_out_what_was_lost_of_a_juice_that_is_crossed_out() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let at = juice(&mut mill, &ticket, &[]).await.taken().to_owned();
    let lost = format!("{at}/lost");
    let spilt = [("what", "spilt"), ("lost", "20"), ("note", "")];
    mill.crew.fills(&lost, &spilt).await.taken();
    let picture = format!("/members/{}/season/2026", mill.amos);
    let mut amos = mill.site.browser(mill.amos).await;
    let says = "20.0 lb of it was spilt or spoilt";
    amos.opens(&picture).await.says(says);
    // As a file from before could hold it: crossed out with the loss still noted.
    mill.site
        .sql(
            "create temp table crossed as select * from juice_measures; update crossed set version = 2, void = 1; \
             insert into juice_measures select * from crossed",
        )
        .await;
    let page = amos.opens(&picture).await;
    assert!(!page.body.contains(says), "{}", page.body);
}

#[tokio::test]
async fn juice_that_was_only_measured_twice_was_never_pressed() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let at = juice(&mut mill, &ticket, &[]).await.taken().to_owned();
    let mut amos = mill.site.browser(mill.amos).await;
    amos.opens("/").await.says("waits for the pan");
    let twice = [("what", "twice"), ("lost", ""), ("note", "")];
    mill.crew.fills(&format!("{at}/lost"), &twice).await.taken();
    amos.opens("/")
        .await
        .says("at the mill and not pressed yet");
}

#[tokio::test]
async fn a_ticket_that_went_home_unpressed_or_was_crossed_out_waits_no_more() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    mill.crew.opens("/").await.says("Ticket 1 ·");
    let end = format!("{ticket}/unpressed");
    mill.crew
        .fills(&end, &[("went", "")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Where did the cane go?");
    mill.crew
        .fills(&end, &[("went", "home for feed")])
        .await
        .taken();
    mill.crew
        .opens(&ticket)
        .await
        .says("Went home unpressed: home for feed (Cora Pell");
    let home = mill.member.opens("/").await;
    home.says("went home unpressed");
    assert!(!home.body.contains("Your cane is at the mill"));
    let home = mill.crew.opens("/").await;
    home.says("All cane that was weighed in has been pressed.");
    let mut amos = mill.site.browser(mill.amos).await;
    amos.opens("/").await.says("went home unpressed");
    mill.crew.opens(DAY).await.says("went home unpressed");
    mill.crew.opens(&ticket).await;
    mill.crew.sends(&format!("{end}/back"), &[]).await.taken();
    mill.crew.opens("/").await.says("Ticket 1 ·");
    mill.crew.opens(&ticket).await.says("Undo load 1");
    mill.crew
        .sends(&format!("{ticket}/loads/1/undo"), &[("seen", "1")])
        .await
        .taken();
    mill.crew
        .opens("/")
        .await
        .says("All cane that was weighed in");
    mill.crew.opens(DAY).await.says("crossed out");
    amos.opens("/").await.says("its weight was crossed out");
}

#[tokio::test]
async fn who_wrote_it_undoes_it_for_ten_minutes_without_a_reason_and_nobody_else() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let undo = format!("{ticket}/loads/1/undo");
    let (_, mut dora) = mill.site.person("Dora Crow", Role::Crew).await;
    assert!(!dora.opens(&ticket).await.body.contains("Undo"));
    dora.sends(&undo, &[("seen", "1")])
        .await
        .refused(StatusCode::CONFLICT, "Cora Pell wrote it");
    let mut late = later(&mill, AT.plus(601)).await;
    assert!(!late.opens(&ticket).await.body.contains("Undo"));
    late.sends(&undo, &[("seen", "1")])
        .await
        .refused(StatusCode::CONFLICT, "Ten minutes are over");
    let scale = mill.site.text("select id from scales").await;
    let fix = [
        ("seen", "1"),
        ("scale", scale.as_str()),
        ("gross", "500"),
        ("tare", "40.5"),
        ("why", "read again"),
    ];
    mill.crew
        .fills(&format!("{ticket}/loads/1/correct"), &fix)
        .await
        .taken();
    mill.crew.opens(&ticket).await.says("459.5 lb");
    mill.crew.sends(&undo, &[("seen", "2")]).await.taken();
    let page = mill.crew.opens(&ticket).await;
    page.says("undone at once by who wrote it");
    assert!(
        !page.body.contains("Undo load"),
        "what was undone is corrected, not undone"
    );
    let as_before = "select count(*) from loads a join loads b on b.gross_g = a.gross_g and b.tare_g = a.tare_g \
                     where a.version = 1 and b.version = 3";
    assert_eq!(mill.site.count(as_before).await, 1);
}

#[tokio::test]
async fn a_ticket_is_moved_to_whom_it_belongs_to_with_all_that_was_ticked() {
    let mut mill = mill().await;
    let (ida, mut hers) = mill.site.person("Ida Finch", Role::Member).await;
    let ticket = mill.ticket().await;
    let moved = format!("{ticket}/move");
    mill.crew
        .opens(&ticket)
        .await
        .says(&format!("href=\"{moved}\""));
    mill.crew
        .fills(&moved, &[("member", "")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please choose whose cane");
    let to = format!("walk:{ida}");
    mill.crew.fills(&moved, &[("whose", &to)]).await.taken();
    mill.crew
        .opens(&ticket)
        .await
        .says("Ida Finch")
        .says("It was written for Amos Trout first; Cora Pell moved it")
        .says("leaves off, heads off, clean");
    hers.opens(&ticket).await.says("360.0 lb");
    mill.member
        .opens(&ticket)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
}

#[tokio::test]
async fn who_is_late_is_marked_and_the_turn_is_a_button() {
    let mut mill = mill().await;
    let turn = mill.book().await;
    let mut late = later(&mill, AT.plus(2 * 3600)).await;
    let whose = format!("name=\"whose\" value=\"turn:{turn}\"");
    mill.crew.opens(NEW).await.says(&whose);
    late.opens(NEW)
        .await
        .says("09:00 <bdi>Amos Trout</bdi>")
        .says("late 1 h");
}

#[tokio::test]
async fn a_second_reading_is_never_filled_in_before_it_is_taken_and_vessels_say_what_they_hold() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let page = mill.crew.opens(&format!("{ticket}/juice/new")).await;
    page.says("name=\"brix_2\" inputmode=\"decimal\" autocomplete=\"off\" value=\"\"")
        .says("Blue barrel, ")
        .says(": empty");
    juice(&mut mill, &ticket, &[]).await.taken();
    mill.crew
        .opens(&format!("{ticket}/juice/new"))
        .await
        .says("name=\"brix_2\" inputmode=\"decimal\" autocomplete=\"off\" value=\"\"")
        .says("170.0 lb of Amos Trout");
}

#[tokio::test]
async fn the_forms_at_the_scale_and_the_tank_have_no_list_to_unfold_and_every_time_box_opens_keys_for_digits()
 {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let pressed = juice(&mut mill, &ticket, &[]).await.taken().to_owned();
    for path in [
        NEW.to_owned(),
        format!("{ticket}/loads/new"),
        format!("{ticket}/juice/new"),
        format!("{ticket}/move"),
        format!("{ticket}/sample"),
        format!("{pressed}/lost"),
    ] {
        let page = mill.crew.opens(&path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
        assert!(!page.body.contains("<select"), "{path}");
        for name in ["weighed", "cut_time", "pressed"] {
            let Some((_, after)) = page.body.split_once(&format!("name=\"{name}\"")) else {
                continue;
            };
            let rest = after.split('>').next().unwrap();
            assert!(
                rest.contains("inputmode=\"numeric\""),
                "{path}: {name}: {rest}"
            );
        }
    }
}

#[tokio::test]
async fn whoever_walks_in_is_one_of_a_list_of_buttons_that_works_without_scripts() {
    let mut mill = mill().await;
    let page = mill.crew.opens(NEW).await;
    page.says("<legend>Member</legend>").says(&format!(
        "type=\"radio\" id=\"f-member-1\" name=\"member\" value=\"{}\"",
        mill.amos
    ));
    let amos = mill.amos.to_string();
    mill.weigh("", "400.5", "40.5", &[("member", &amos)])
        .await
        .taken();
}

#[tokio::test]
async fn every_time_box_at_the_pan_opens_keys_for_digits() {
    let mut pan = crate::boil::boils::pan().await;
    let (boil, ..) = pan.pooled().await;
    pan.crew
        .opens(&boil)
        .await
        .says("name=\"read_at\" inputmode=\"numeric\"")
        .says("name=\"finished_at\" inputmode=\"numeric\"");
}
