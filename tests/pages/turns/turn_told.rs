//! What others do with a member's turn is told to the member, with by whom; what one does oneself is not.

use crate::people::acting::two;
use crate::people::notices::{hours_ago, turn as booked_before};
use crate::site::{AT, Answer, Browser, TestSite};
use canewright::actions::rounds;
use canewright::units::{MemberId, Role};

const BOOK: &str = "/days/2026-09-19/book";
const NOTICES: &str = "select count(*) from notices";

/// The crew books 330 lb for a member at a start.
async fn books(crew: &mut Browser, member: MemberId, start: &str) -> String {
    let member = member.to_string();
    let new = [
        ("member", member.as_str()),
        ("told", "weight"),
        ("amount", "330"),
        ("start", start),
    ];
    crew.fills(BOOK, &new).await.taken().to_owned()
}

fn says_not(page: &Answer, words: &str) {
    assert!(!page.body.contains(words), "{words}: {}", page.body);
}

/// The same person, some seconds later.
pub fn later(site: &TestSite, browser: &Browser, seconds: i64) -> Browser {
    let mut other = site.stranger_at(AT.plus(seconds));
    other.cookie.clone_from(&browser.cookie);
    other
}

#[tokio::test]
async fn a_booking_by_the_crew_is_told_on_home_and_on_the_call_list_with_by_whom() {
    let site = TestSite::with_season().await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    books(&mut crew, ida, "13:00").await;
    let told = "A turn is booked for you: Sat 19 Sep 2026, 13:00–13:50, 330.0 lb of cane. Booked by Cal Reed.";
    phone
        .opens("/")
        .await
        .says("A turn is booked for you: Sat 19 Sep 2026, 13:00")
        .says(told);
    crew.opens("/calls").await.says("Ida Finch").says(told);
    // Her own booking, and a crew member's for oneself, are no news.
    let own = [
        ("told", "weight"),
        ("amount", "330"),
        ("start", "15:00"),
        ("second", "yes"),
    ];
    phone.fills(BOOK, &own).await.taken();
    let (cora, mut cora_phone) = site.person("Cora Pell", Role::Crew).await;
    books(&mut cora_phone, cora, "10:00").await;
    assert_eq!(site.count(NOTICES).await, 1);
}

#[tokio::test]
async fn a_move_and_a_cancellation_say_by_whom() {
    let site = TestSite::with_season().await;
    let (_, mut phone) = site.person("Ida Finch", Role::Member).await;
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    let booked = [("told", "weight"), ("amount", "330"), ("start", "13:00")];
    let turn = phone.fills(BOOK, &booked).await.taken().to_owned();
    let to = [
        ("day", "2026-09-19"),
        ("start", "15:00"),
        ("version", "1"),
        ("why", "rain."),
    ];
    crew.fills(&format!("{turn}/move"), &to).await.taken();
    let home = phone.opens("/").await;
    home.says("15:00–15:50. Why: rain. Moved by Cal Reed.");
    let mut crew = later(&site, &crew, 60);
    crew.opens(&turn).await;
    let cancel = format!("{turn}/cancel");
    crew.sends(&cancel, &[("why", "frost")]).await.taken();
    let home = later(&site, &phone, 60).opens("/").await;
    home.says("its time is free for others. Why: frost. Cancelled by Cal Reed.");
}

#[tokio::test]
async fn what_is_undone_before_anybody_learnt_of_it_is_told_no_more() {
    let site = TestSite::with_season().await;
    let (ida, phone) = site.person("Ida Finch", Role::Member).await;
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    let turn = books(&mut crew, ida, "13:00").await;
    let undo = format!("{turn}/undo");
    let mut after = later(&site, &crew, 60);
    after.opens(&turn).await;
    after.sends(&undo, &[]).await.taken();
    let home = later(&site, &phone, 120).opens("/").await;
    for news in ["A turn is booked for you", "is cancelled"] {
        says_not(&home, news);
    }
    says_not(&later(&site, &crew, 120).opens("/calls").await, "Ida Finch");
    // Read first, its undoing is told.
    let turn = books(&mut crew, ida, "15:00").await;
    site.sql("update notices set seen_at = made_at").await;
    let mut after = later(&site, &crew, 60);
    after.opens(&turn).await;
    after.sends(&format!("{turn}/undo"), &[]).await.taken();
    let home = later(&site, &phone, 120).opens("/").await;
    home.says("Your turn on Sat 19 Sep 2026 at 15:00 is cancelled")
        .says("Cancelled by Cal Reed.");
}

#[tokio::test]
async fn a_move_undone_unread_is_no_news_but_moved_again_it_is() {
    let site = TestSite::with_season().await;
    let (_, mut phone) = site.person("Ida Finch", Role::Member).await;
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    let booked = [("told", "weight"), ("amount", "330"), ("start", "13:00")];
    let turn = phone.fills(BOOK, &booked).await.taken().to_owned();
    let to = [("day", "2026-09-19"), ("start", "15:00"), ("version", "1")];
    crew.fills(&format!("{turn}/move"), &to).await.taken();
    let undo = format!("{turn}/undo");
    for (after, told) in [(60, ""), (120, "is moved to Sat 19 Sep 2026, 15:00–15:50.")] {
        let mut crew = later(&site, &crew, after);
        crew.opens(&turn).await;
        crew.sends(&undo, &[]).await.taken();
        let home = later(&site, &phone, after + 30).opens("/").await;
        assert_eq!(
            home.body.contains("is moved to"),
            !told.is_empty(),
            "{}",
            home.body
        );
        home.says(told);
    }
}

#[tokio::test]
async fn of_what_nobody_has_learnt_yet_only_the_last_is_told_from_where_the_member_last_knew_it() {
    let site = TestSite::with_season().await;
    let (_, mut phone) = site.person("Ida Finch", Role::Member).await;
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    let booked = [("told", "weight"), ("amount", "330"), ("start", "13:00")];
    let turn = phone.fills(BOOK, &booked).await.taken().to_owned();
    let to = [("day", "2026-09-19"), ("start", "15:00"), ("version", "1")];
    crew.fills(&format!("{turn}/move"), &to).await.taken();
    crew.opens(&turn).await;
    let why = [("why", "mill belt broke")];
    crew.sends(&format!("{turn}/cancel"), &why).await.taken();
    for page in [phone.opens("/").await, crew.opens("/calls").await] {
        page.says("Your turn on Sat 19 Sep 2026 at 13:00 is cancelled; its time is free for others. Why: mill belt broke. Cancelled by Cal Reed.");
        says_not(&page, "is moved to");
    }
}

#[tokio::test]
async fn what_somebody_who_acts_for_the_card_does_is_told_on_home_and_nobody_is_called() {
    let mut two = two().await;
    let booked = [("told", "weight"), ("amount", "100"), ("start", "9:00")];
    let to = two
        .tomas_opens
        .fills(BOOK, &booked)
        .await
        .taken()
        .to_owned();
    two.ana_opens.opens(&to).await;
    let why = [("why", "no car")];
    two.ana_opens
        .sends(&format!("{to}/cancel"), &why)
        .await
        .taken();
    let told = "is cancelled; its time is free for others. Why: no car. Cancelled by ";
    two.tomas_opens.opens("/").await.says(told);
    says_not(&two.ana_opens.opens("/").await, told);
    says_not(&two.steward.opens("/calls").await, told);
}

#[tokio::test]
async fn what_who_acts_for_the_card_booked_is_known_when_the_crew_moves_or_cancels_it() {
    let mut two = two().await;
    let turn = books(&mut two.ana_opens, two.tomas, "9:00").await;
    let to = [
        ("day", "2026-09-19"),
        ("start", "11:00"),
        ("why", "scale check"),
        ("version", "1"),
    ];
    let moved = "Your turn on Sat 19 Sep 2026 at 09:00 is moved to Sat 19 Sep 2026, 11:00";
    two.steward
        .fills(&format!("{turn}/move"), &to)
        .await
        .taken();
    for page in [
        two.tomas_opens.opens("/").await,
        two.steward.opens("/calls").await,
    ] {
        page.says(moved).says("Why: scale check.");
        says_not(&page, "A turn is booked for you");
    }
    two.steward.opens(&turn).await;
    let why = [("why", "rain")];
    two.steward
        .sends(&format!("{turn}/cancel"), &why)
        .await
        .taken();
    let gone = "Your turn on Sat 19 Sep 2026 at 09:00 is cancelled; its time is free for others. Why: rain.";
    for page in [
        two.tomas_opens.opens("/").await,
        two.steward.opens("/calls").await,
    ] {
        page.says(gone);
        says_not(&page, moved);
    }
}

#[tokio::test]
async fn a_turn_that_is_moved_and_back_where_it_was_is_to_be_confirmed_as_before() {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let turn = format!("/turns/{}", booked_before(&site, amos, 600).await);
    let at = hours_ago(&site, 56).at;
    rounds::due(&site.reader, &site.writer, &site.ids, at)
        .await
        .unwrap();
    let mut steward = site.browser(site.steward).await;
    let asked = "Your turn at the mill is on Sat 19 Sep 2026 at 10:00, for 20 min. Please confirm";
    steward.opens("/calls").await.says(asked);
    let to = [("day", "2026-09-19"), ("start", "12:00"), ("version", "1")];
    steward.fills(&format!("{turn}/move"), &to).await.taken();
    says_not(&steward.opens("/calls").await, asked);
    let mut after = later(&site, &steward, 60);
    after.opens("/").await;
    after.sends(&format!("{turn}/undo"), &[]).await.taken();
    let calls = later(&site, &steward, 120).opens("/calls").await;
    calls.says(asked);
    says_not(&calls, "is moved to");
}
