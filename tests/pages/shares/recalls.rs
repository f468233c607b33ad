//! Recalls and lots held back, on the lot worked by hand in `divisions`: nine quarts of 1,360 g and a part-jar of
//! 777 g: six quarts are Amos's, two and the part-jar Bess's, one the mill's.

use super::divisions::{Lot, divided_lot};
use crate::site::Browser;
use axum::http::StatusCode;
use canewright::units::Role;

/// Begins one; gives its address.
async fn begins(browser: &mut Browser, drill: &str, kind: &str, which: &str) -> String {
    browser.opens("/recalls/new").await;
    let boxes = [
        ("drill", drill),
        ("kind", kind),
        ("which", which),
        ("day", ""),
        ("why", "A jar smelled sour"),
    ];
    let answer = browser.sends("/recalls/new", &boxes).await;
    answer.taken();
    answer.to
}

/// Hands two quarts over to Amos.
async fn two_to_amos(lot: &mut Lot) {
    let path = format!("/members/{}/hand-over", lot.amos);
    lot.crew.opens(&path).await;
    let jar = format!("jar-{}-1360-quart", lot.code.as_str());
    let boxes = [(jar.as_str(), "2"), ("signed_by", "Amos"), ("note", "")];
    lot.crew.sends(&path, &boxes).await.taken();
}

#[tokio::test]
async fn a_recall_of_a_load_finds_every_jar_and_ends_with_what_came_back_in_jars_and_grams() {
    let mut lot = divided_lot().await;
    two_to_amos(&mut lot).await;
    let path = begins(&mut lot.crew, "real", "load", "1/1").await;
    let page = lot.crew.opens(&path).await;
    // 9 × 1,360 g + 777 g = 13,017 g.
    page.says("Recall 1: load 1 of ticket 1 of Amos")
        .says("13,017 g")
        .says("The shelf at the mill")
        .says("2 × quart of")
        .says("receipt 1")
        .says("4 × quart of")
        .says("Please do not eat, sell or give away syrup")
        .says(&lot.code.to_string())
        .says("2 of 2 are still to be made");
    // The shelf: Amos's four, Bess's two and the mill's one are there; the part-jar is gone.
    let call = format!("{path}/calls/1");
    let page = lot.crew.opens(&call).await;
    page.says("on the shelf for Bess Lane");
    let boxes: Vec<(String, String)> = (1..=4)
        .flat_map(|n| {
            let part = page.body.contains(&format!("f-back-{n}"));
            let line = page.body.split(&format!("f-back-{n}")).next().unwrap();
            let legend = line.rsplit("<legend>").next().unwrap();
            let jars = legend.split('×').next().unwrap().trim().to_owned();
            let is_part = legend.contains("part-jar");
            if part {
                let (back, gone) = if is_part {
                    ("0".to_owned(), "1".to_owned())
                } else {
                    (jars, "0".to_owned())
                };
                vec![(format!("back-{n}"), back), (format!("gone-{n}"), gone)]
            } else {
                Vec::new()
            }
        })
        .collect();
    let mut sent: Vec<(&str, &str)> = boxes.iter().map(|(a, b)| (&a[..], &b[..])).collect();
    sent.extend([("seen", "0"), ("reached", "yes"), ("note", "")]);
    lot.crew.sends(&call, &sent).await.taken();
    let page = lot.crew.opens(&path).await;
    page.says("7 there, 1 gone. Cora Pell")
        .says("1 of 2 are still to be made")
        .says("9,520 g");
    // Amos still has one of his two and ate the other.
    let call = format!("{path}/calls/2");
    let line = page_line(&mut lot.crew, &call).await;
    let (back, gone) = (format!("back-{line}"), format!("gone-{line}"));
    let sent = [
        ("seen", "0"),
        ("reached", "yes"),
        (&back[..], "1"),
        (&gone[..], "1"),
        ("note", ""),
    ];
    lot.crew.sends(&call, &sent).await.taken();
    let end = format!("{path}/end");
    lot.crew.opens(&end).await;
    let sent = [
        ("says", "Two telephones next time"),
        ("signed_by", "Dan Moss"),
    ];
    lot.crew.sends(&end, &sent).await.taken();
    // 8 quarts are back: 10,880 g; a quart and the part-jar are gone: 2,137 g; nothing is open.
    let page = lot.crew.opens(&path).await;
    page.says("10,880 g")
        .says("2,137 g")
        .says("Answers for it: Dan Moss")
        .says("It took 0 min")
        .says("Two telephones next time");
    lot.crew.opens(&call).await.says("This recall is ended");
    lot.crew
        .sends(&call, &sent_again(&back, &gone))
        .await
        .refused(StatusCode::CONFLICT, "This recall is ended");
}

fn sent_again<'a>(back: &'a str, gone: &'a str) -> [(&'a str, &'a str); 5] {
    [
        ("seen", "1"),
        ("reached", "yes"),
        (back, "2"),
        (gone, "0"),
        ("note", ""),
    ]
}

/// The number of the first line on the page of a call.
async fn page_line(browser: &mut Browser, call: &str) -> String {
    let page = browser.opens(call).await;
    let rest = page.body.split("f-back-").nth(1).unwrap();
    rest.chars().take_while(char::is_ascii_digit).collect()
}

#[tokio::test]
async fn while_a_lot_is_recalled_its_jars_stay_and_no_label_is_printed_until_it_is_released_with_a_reason()
 {
    let mut lot = divided_lot().await;
    let code = lot.code.as_str().to_owned();
    begins(&mut lot.crew, "real", "lot", &code.to_lowercase()).await;
    let path = format!("/members/{}/hand-over", lot.amos);
    let jar = format!("jar-{code}-1360-quart");
    lot.crew.opens(&path).await.says("held");
    let boxes = [(jar.as_str(), "2"), ("signed_by", "Amos"), ("note", "")];
    lot.crew
        .sends(&path, &boxes)
        .await
        .refused(StatusCode::CONFLICT, "is held: Recall 1");
    let page = lot.crew.opens(&format!("/boils/{code}/labels")).await;
    page.says("This lot is held: Recall 1");
    // The crew cannot release it; a steward can, with a reason.
    let hold = format!("/boils/{code}/hold");
    lot.crew.opens(&hold).await.says("A steward releases it");
    lot.crew
        .sends(&hold, &[("held", "no"), ("why", "tasted")])
        .await
        .refused(StatusCode::CONFLICT, "Please ask one");
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.opens(&hold).await;
    ruth.sends(&hold, &[("held", "no"), ("why", "")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "fill in this box");
    ruth.sends(&hold, &[("held", "no"), ("why", "Tasted by three, sound")])
        .await
        .taken();
    let page = ruth.opens(&format!("/boils/{code}/trace")).await;
    page.says("held. Recall 1")
        .says("released. Tasted by three, sound");
    lot.crew.opens(&path).await;
    lot.crew.sends(&path, &boxes).await.taken();
}

#[tokio::test]
async fn a_drill_holds_nothing_and_two_people_do_not_tick_the_same_call_over_each_other() {
    let mut lot = divided_lot().await;
    let (_, mut second) = lot.site.person("Lena Hart", Role::Crew).await;
    let path = begins(&mut lot.crew, "drill", "member", "bess lane").await;
    lot.crew
        .opens(&path)
        .await
        .says("nothing is wrong with these jars");
    let call = format!("{path}/calls/1");
    let sent = [("seen", "0"), ("reached", "no"), ("note", "Locked")];
    second.opens(&call).await;
    lot.crew.opens(&call).await;
    lot.crew.sends(&call, &sent).await.taken();
    second
        .sends(&call, &sent)
        .await
        .refused(StatusCode::CONFLICT, "Cora Pell noted this call meanwhile");
    // The same recall begun again while it is open: by somebody else at the same time, too.
    second.opens("/recalls/new").await;
    let boxes = [
        ("drill", "drill"),
        ("kind", "member"),
        ("which", "Bess Lane"),
        ("day", ""),
        ("why", "Practice"),
    ];
    second
        .sends("/recalls/new", &boxes)
        .await
        .refused(StatusCode::CONFLICT, "is open already, begun by Cora Pell");
    two_to_amos(&mut lot).await;
    lot.crew
        .opens("/recalls")
        .await
        .says("Drill 1: the cane of Bess Lane");
}

#[tokio::test]
async fn what_cannot_be_recalled_is_said_beside_the_box() {
    let mut lot = divided_lot().await;
    let mut wrong: Vec<char> = lot.code.as_str().chars().collect();
    wrong[3] = if wrong[3] == 'Z' { 'Y' } else { 'Z' };
    let wrong: String = wrong.into_iter().collect();
    let near = format!("One slip of the pen away: {}", lot.code);
    let long = "26".repeat(20);
    for (kind, which, says) in [
        ("lot", "26A", "No lot here has this code"),
        ("lot", &long[..], "No lot here has this code"),
        ("lot", &wrong[..], &near[..]),
        ("lot", "<script>", "No lot here has this code"),
        ("ticket", "99", "There is no ticket 99"),
        ("load", "1", "like 12/2"),
        ("load", "1/7", "has no load 7"),
        ("vessel", "Bath", "No vessel is called that"),
        ("pack", "A-113", "no jar holds it"),
        ("member", "Nobody", "No member has this name"),
        ("day", "2026-13-40", "date"),
        ("day", "2026-12-24", "There was no press day"),
        ("lot", "", "fill in this box"),
        ("moon", "1", "choose what it starts from"),
    ] {
        lot.crew.opens("/recalls/new").await;
        let boxes = [
            ("drill", "drill"),
            ("kind", kind),
            ("which", which),
            ("day", ""),
            ("why", "Practice"),
        ];
        let answer = lot.crew.sends("/recalls/new", &boxes).await;
        assert!(answer.status.is_client_error(), "{kind} {which}");
        answer.says(says);
        assert!(!answer.body.contains("<script>"), "{}", answer.body);
    }
    lot.crew
        .opens("/recalls/77")
        .await
        .refused(StatusCode::NOT_FOUND, "");
}

#[tokio::test]
async fn a_complaint_stands_with_its_lot() {
    let mut lot = divided_lot().await;
    let path = format!("/boils/{}/complaint", lot.code.as_str());
    lot.crew.opens(&path).await;
    lot.crew
        .sends(
            &path,
            &[("says", "<script>alert(1)</script>"), ("from_whom", "")],
        )
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "fill in this box");
    let sent = [
        ("says", "<script>alert(1)</script> sour"),
        ("from_whom", "Nell Ward, 555 0123"),
    ];
    lot.crew.sends(&path, &sent).await.taken();
    let page = lot
        .crew
        .opens(&format!("/boils/{}/trace", lot.code.as_str()))
        .await;
    page.says("&#60;script&#62;alert(1)")
        .says("Nell Ward, 555 0123");
    assert!(!page.body.contains("<script>alert"), "{}", page.body);
}

#[tokio::test]
async fn a_lot_of_another_season_is_traced_found_and_recalled_like_one_of_this() {
    let mut lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.fills("/seasons", &[("year", "2027")]).await.taken();
    let code = lot.code.as_str().to_owned();
    let trace = format!("/boils/{code}/trace");
    lot.crew.opens(&trace).await.says("68.0 %");
    let found = lot.crew.opens(&format!("/find?what={code}")).await;
    assert_eq!(found.to, trace);
    let path = begins(&mut lot.crew, "real", "lot", &code).await;
    lot.crew.opens(&path).await.says("13,017 g");
    // A code of another year that no lot bears is refused, and names no lot of this year as near.
    let other = canewright::units::LotCode::nth(2025, 1).unwrap();
    lot.crew.opens("/recalls/new").await;
    let boxes = [
        ("drill", "drill"),
        ("kind", "lot"),
        ("which", other.as_str()),
        ("day", ""),
        ("why", "Practice"),
    ];
    let answer = lot.crew.sends("/recalls/new", &boxes).await;
    answer.says("No lot here has this code");
    assert!(answer.status.is_client_error(), "{}", answer.status);
}

#[tokio::test]
async fn of_two_who_begin_the_same_recall_at_the_same_moment_one_is_sent_to_the_others() {
    let mut lot = divided_lot().await;
    let (_, mut second) = lot.site.person("Lena Hart", Role::Crew).await;
    let boxes = [
        ("drill", "real"),
        ("kind", "member"),
        ("which", "Bess Lane"),
        ("day", ""),
        ("why", "A jar smelled sour"),
    ];
    lot.crew.opens("/recalls/new").await;
    second.opens("/recalls/new").await;
    let (one, other) = tokio::join!(
        lot.crew.sends("/recalls/new", &boxes),
        second.sends("/recalls/new", &boxes)
    );
    let (begun, told) = if one.status == StatusCode::SEE_OTHER {
        (one, other)
    } else {
        (other, one)
    };
    assert_eq!(begun.to, "/recalls/1", "{}", begun.body);
    told.refused(StatusCode::CONFLICT, "Recall 1 from")
        .says("is open already, begun by");
    assert_eq!(lot.site.count("select count(*) from recalls").await, 1);
    assert_eq!(lot.site.count("select count(*) from lot_holds").await, 1);
}

#[tokio::test]
async fn a_jar_that_is_handed_over_at_the_moment_of_a_recall_is_on_its_receipt_or_stays() {
    let mut lot = divided_lot().await;
    let (_, mut second) = lot.site.person("Lena Hart", Role::Crew).await;
    let path = format!("/members/{}/hand-over", lot.amos);
    let jar = format!("jar-{}-1360-quart", lot.code.as_str());
    let boxes = [(jar.as_str(), "2"), ("signed_by", "Amos"), ("note", "")];
    let code = lot.code.as_str().to_owned();
    let recall = [
        ("drill", "real"),
        ("kind", "lot"),
        ("which", code.as_str()),
        ("day", ""),
        ("why", "A jar smelled sour"),
    ];
    lot.crew.opens(&path).await;
    second.opens("/recalls/new").await;
    let (handed, begun) = tokio::join!(
        lot.crew.sends(&path, &boxes),
        second.sends("/recalls/new", &recall)
    );
    begun.taken();
    let page = second.opens("/recalls/1").await;
    if handed.status == StatusCode::SEE_OTHER {
        page.says("receipt 1").says("4 × quart of");
    } else {
        handed.refused(StatusCode::CONFLICT, "is held: Recall 1");
        page.says("6 × quart of");
        assert!(!page.body.contains("receipt 1"), "{}", page.body);
    }
    // Whichever was first: the jars of the recall are those filled, and from here on none leaves.
    page.says("13,017 g");
    lot.crew.opens(&path).await;
    lot.crew
        .sends(&path, &boxes)
        .await
        .refused(StatusCode::CONFLICT, "is held: Recall 1");
}
