//! A version of the rules is a draft until it is confirmed, and holds from a day: whatever is lit has the
//! version of its own day.

use crate::boil::boils::{Pan, pan};
use crate::shares::divisions::{SECRET, SIGNED, finished_lot};
use crate::site::{AT, Browser};
use axum::http::StatusCode;
use canewright::actions::people::accounts;
use canewright::actions::season::seasons::{self, NewRules};
use canewright::facts::shares::verify::verify;
use canewright::units::{BasisPoints, Role, SeasonId};

const NEW: &str = "/days/2026-09-19/boils/new";
const SECOND: &str = "/seasons/2026/rules/2/confirm";

/// What a file looks like in which nobody has confirmed any rules.
const NOBODY_CONFIRMED: &str = "drop trigger rules_confirmed_stay; delete from rules_confirmed";

/// A draft with a toll of 20 %, the second version.
async fn draft(pan: &Pan) {
    let season = SeasonId::parse(&pan.site.text("select id from seasons").await).unwrap();
    let mut rules = NewRules::defaults();
    rules.toll = BasisPoints::parse("20").unwrap();
    seasons::change_rules(&pan.site.act(), season, 1, rules)
        .await
        .unwrap();
}

async fn steward_later(pan: &Pan, hours: i64) -> Browser {
    let at = AT.plus(hours * 3600);
    let token = accounts::open_session(&pan.site.writer, at, pan.site.steward, "").await;
    let mut browser = pan.site.stranger_at(at);
    browser.cookie = format!("canewright={}", token.unwrap().as_str());
    browser
}

#[tokio::test]
async fn no_boil_is_lit_and_no_ticket_opened_under_rules_that_nobody_confirmed() {
    let mut pan = pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    let juice = pan.juice(amos, 15.0, 30, 0).await;
    pan.site.sql(NOBODY_CONFIRMED).await;
    let said = "No rules of 2026 are confirmed for Sat 19 Sep 2026 yet";
    pan.light(&[juice], &[])
        .await
        .refused(StatusCode::CONFLICT, said)
        .says("No rules are confirmed for this day");
    let scale = pan.site.text("select id from scales").await;
    let whose = format!("walk:{amos}");
    let cane = [
        ("whose", whose.as_str()),
        ("scale", &scale),
        ("gross", "400.5"),
        ("tare", "40.5"),
        ("another", "yes"),
    ];
    pan.crew
        .fills("/days/2026-09-19/tickets/new", &cane)
        .await
        .refused(StatusCode::CONFLICT, said);
    // Whoever is to weigh in is told before anything is typed.
    let lacking = "No rules are confirmed for this day: no ticket is opened and no boil lit until a steward confirms them on \
                   <a href=\"/seasons/2026\">the page of the season</a>";
    let day = "/days/2026-09-19";
    for page in [
        day,
        "/days/2026-09-19/morning",
        "/days/2026-09-19/tickets/new",
    ] {
        pan.crew.opens(page).await.says(lacking);
    }
    let page = pan.crew.opens(day).await;
    assert!(!page.body.contains("Weigh in Amos"), "{}", page.body);
    let page = pan.crew.opens("/days/2026-09-19/morning").await;
    assert!(
        !page.body.contains("the first ticket may be opened"),
        "{}",
        page.body
    );
    let mut ruth = pan.site.browser(pan.site.steward).await;
    ruth.opens("/seasons/2026")
        .await
        .says("No rules of this season are confirmed yet")
        .says("Version 1 is a draft")
        .says("value=\"2026-01-01\"");
    let confirm = "/seasons/2026/rules/1/confirm";
    ruth.sends(confirm, &[("holds_from", "soon")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please write the date");
    ruth.sends(confirm, &[("holds_from", "2029-01-01")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "lies in another season");
    ruth.sends(confirm, &[("holds_from", "2026-09-19")])
        .await
        .taken();
    for page in [
        day,
        "/days/2026-09-19/morning",
        "/days/2026-09-19/tickets/new",
    ] {
        let page = pan.crew.opens(page).await;
        assert!(
            !page.body.contains("No rules are confirmed"),
            "{}",
            page.body
        );
    }
    pan.light(&[juice], &[]).await.taken();
    assert_eq!(pan.site.count("select count(*) from boils").await, 1);
}

#[tokio::test]
async fn an_opened_season_is_a_draft_until_a_steward_confirms_it() {
    let site = crate::site::TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.fills("/seasons", &[("year", "2026")]).await.taken();
    ruth.opens("/seasons")
        .await
        .says("a draft: please confirm it");
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let page = amos.opens("/seasons/2026").await;
    page.says("It holds once a steward confirms it");
    assert!(!page.body.contains("Confirm version"));
    amos.sends(
        "/seasons/2026/rules/1/confirm",
        &[("holds_from", "2026-01-01")],
    )
    .await
    .refused(StatusCode::FORBIDDEN, "Not for your role");
    ruth.opens("/seasons/2026").await;
    let from = [("holds_from", "2026-01-01")];
    let confirm = "/seasons/2026/rules/1/confirm";
    assert_eq!(ruth.sends(confirm, &from).await.taken(), "/seasons/2026");
    ruth.opens("/seasons/2026").await.says(
        "Version 1</strong> is in force: it holds from Thu 1 Jan 2026, confirmed by Ruth Bell",
    );
    assert_eq!(site.count("select count(*) from rules_confirmed").await, 1);
}

#[tokio::test]
async fn the_page_of_lighting_names_the_version_and_an_earlier_day_has_the_version_of_that_day() {
    let mut pan = pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    let juices = [
        pan.juice(amos, 15.0, 60, 0).await,
        pan.juice(amos, 15.0, 50, 1).await,
    ];
    draft(&pan).await;
    // The draft is read in whole before it is confirmed.
    pan.site
        .browser(pan.site.steward)
        .await
        .opens("/seasons/2026")
        .await
        .says("What version 2 would say")
        .says("Against version 1: ")
        .says("→ 20 %");
    pan.crew
        .opens(NEW)
        .await
        .says("Rules: version 1, which holds from Thu 1 Jan 2026");
    let mut ruth = pan.site.browser(pan.site.steward).await;
    ruth.opens("/seasons/2026").await;
    ruth.sends(SECOND, &[("holds_from", "2025-12-31")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "lies in another season");
    ruth.sends(SECOND, &[("holds_from", "2026-09-20")])
        .await
        .taken();
    ruth.opens("/seasons/2026")
        .await
        .says("Version 2 holds from Sun 20 Sep 2026, confirmed by Ruth Bell")
        .says("Version 1</strong> is in force");
    // The day after, from paper: the first was lit on the day itself, the second just now.
    let mut later = steward_later(&pan, 30).await;
    let (first, second) = (juices[0].to_string(), juices[1].to_string());
    let paper = [("juice", first.as_str()), ("lit_at", "7:40")];
    later.fills(NEW, &paper).await.taken();
    let fresh = [("juice", second.as_str()), ("tested", "yes")];
    later.fills(NEW, &fresh).await.taken();
    let versions = pan
        .site
        .text(
            "select group_concat(r.number) from (select * from boils order by lit_at) b \
             join season_rules r on r.id = b.rules_id",
        )
        .await;
    assert_eq!(versions, "1,2");
    let again = ruth.sends(SECOND, &[("holds_from", "2026-09-20")]).await;
    again.refused(StatusCode::CONFLICT, "Version 2 was confirmed meanwhile");
}

#[tokio::test]
async fn boils_lit_before_the_version_of_their_day_was_confirmed_are_named_with_the_way_to_move_them()
 {
    let mut pan = pan().await;
    let (amos, mut member) = pan.site.person("Amos Trout", Role::Member).await;
    let juice = pan.juice(amos, 15.0, 60, 0).await;
    pan.light(&[juice], &[]).await.taken();
    draft(&pan).await;
    let mut ruth = pan.site.browser(pan.site.steward).await;
    let page = ruth.opens("/seasons/2026").await;
    assert!(!page.body.contains("keep an older one"));
    ruth.sends(SECOND, &[("holds_from", "2026-09-19")])
        .await
        .taken();
    let lot = pan
        .site
        .text("select '/boils/' || lot_code || '/rules' from boils")
        .await;
    let link = format!("href=\"{lot}\"");
    ruth.opens("/seasons/2026")
        .await
        .says("these boils keep an older one")
        .says("has version 1; its day has version 2")
        .says(&link);
    assert!(!member.opens("/seasons/2026").await.body.contains(&link));
    // While a correction of it is open it keeps its rules, and the page says so in place of the way.
    pan.site
        .sql(
            "insert into divisions (id, boil_id, version, basis, toll_bp, jarred_g, syrup_g, brix_20c, after_line, by_id, at) \
             select 'd', id, 1, 'solids', 0, 1, 1, 78, 0, cook_id, lit_at from boils; \
             insert into corrections (boil_id, version, why, by_id, at) select id, 2, 'a load', cook_id, lit_at from boils",
        )
        .await;
    let page = ruth.opens("/seasons/2026").await;
    page.says("Open for a correction, which keeps the rules that it was divided by: ");
    assert!(!page.body.contains(&link), "{}", page.body);
    pan.site
        .sql(
            "drop trigger divisions_stay; drop trigger corrections_stay; delete from corrections; delete from divisions",
        )
        .await;
    let moved = [("version", "2"), ("why", "It was voted for that day")];
    ruth.fills(&lot, &moved).await.taken();
    assert!(!ruth.opens("/seasons/2026").await.body.contains(&link));
}

#[tokio::test]
async fn a_steward_moves_an_undivided_boil_to_another_version_and_says_why() {
    let mut lot = finished_lot().await;
    let boil = format!("/boils/{}", lot.code.as_str());
    let rules = format!("{boil}/rules");
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.opens(&boil).await.says("another version of the rules");
    lot.crew.opens(&boil).await;
    let to_first = [("version", "1"), ("why", "Version 2 was voted for October")];
    lot.crew
        .sends(&rules, &to_first)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    ruth.fills(&rules, &[("version", "1"), ("why", "")])
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "This boil is divided by: Version 2",
        );
    assert_eq!(ruth.fills(&rules, &to_first).await.taken(), boil);
    ruth.opens(&boil)
        .await
        .says("version 1, as Ruth Bell put it: “Version 2 was voted for October”");
    ruth.fills(&rules, &[("version", "2"), ("why", "No, it holds")])
        .await
        .taken();
    ruth.fills(&rules, &to_first).await.taken();
    let path = lot.path();
    lot.crew.opens(&path).await;
    let seen = lot.crew.hidden("seen");
    lot.crew
        .sends(&path, &[("seen", &seen), SIGNED, SECRET])
        .await
        .taken();
    // The version, the day from which it holds, and that the boil was moved to it: on its page and on the statement.
    let page = lot.crew.opens(&path).await;
    page.says("under version 1 of the season’s rules, which holds from Thu 1 Jan 2026")
        .says("The boil was lit under another version; <bdi>Ruth Bell</bdi> moved it to this one on Sat 19 Sep 2026")
        .says("“Version 2 was voted for October”");
    assert!(!page.body.contains("in force when"), "{}", page.body);
    let statement = format!("/members/{}/statement/2026", lot.amos);
    let page = lot.amos_opens.opens(&statement).await;
    page.says("Version 1 of the season’s rules (holds from Thu 1 Jan 2026): divided by")
        .says("was lit under another version of the rules; Ruth Bell moved it to version 1 on Sat 19 Sep 2026");
    assert!(!page.body.contains("in force when"), "{}", page.body);
    // Version 1 asks for no fee on cane.
    let fees = "select count(*) from ledger where kind = 'cane_fee'";
    assert_eq!(lot.site.count(fees).await, 0);
    ruth.fills(&rules, &[("version", "2"), ("why", "Too late")])
        .await
        .refused(StatusCode::CONFLICT, "is divided");
    let mut snapshot = lot.site.reader.snapshot().await.unwrap();
    let found = verify(&mut snapshot).await.unwrap();
    assert!(found.differs.is_empty(), "{:?}", found.differs);
}

#[tokio::test]
async fn a_day_from_which_rules_hold_that_was_a_slip_is_put_right_until_a_boil_hangs_on_it() {
    let mut pan = pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    let juice = pan.juice(amos, 15.0, 30, 0).await;
    draft(&pan).await;
    let mut ruth = pan.site.browser(pan.site.steward).await;
    ruth.opens("/seasons/2026").await;
    ruth.sends(SECOND, &[("holds_from", "2026-12-31")])
        .await
        .taken();
    // Nothing later may hold from an earlier day, and it is said what to do about that.
    let season = SeasonId::parse(&pan.site.text("select id from seasons").await).unwrap();
    let rules = NewRules::defaults();
    seasons::change_rules(&pan.site.act(), season, 2, rules)
        .await
        .unwrap();
    let third = "/seasons/2026/rules/3/confirm";
    ruth.opens("/seasons/2026")
        .await
        .says("Put the day of version 2 right");
    ruth.sends(third, &[("holds_from", "2026-10-17")])
        .await
        .refused(StatusCode::CONFLICT, "put it right first");
    let day = "/seasons/2026/rules/2/day";
    ruth.opens(day).await.says("value=\"2026-12-31\"");
    ruth.sends(day, &[("holds_from", "2026-09-19"), ("why", "")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please fill in this box")
        .says("value=\"2026-09-19\"");
    let right = [("holds_from", "2026-09-19"), ("why", "a slip of the pen")];
    ruth.sends(day, &right).await.taken();
    ruth.opens("/seasons/2026")
        .await
        .says("it holds from Sat 19 Sep 2026, confirmed by Ruth Bell");
    pan.light(&[juice], &[]).await.taken();
    let boiled = "select number from season_rules r join boils b on b.rules_id = r.id";
    assert_eq!(pan.site.count(boiled).await, 2);
    let again = [("holds_from", "2026-10-01"), ("why", "another slip")];
    ruth.fills(day, &again).await.refused(
        StatusCode::CONFLICT,
        "was boiled by version 2, so its day stands",
    );
    ruth.opens("/seasons/2026/rules/7/day")
        .await
        .refused(StatusCode::NOT_FOUND, "");
    let (_, mut member) = pan.site.person("Bess Lane", Role::Member).await;
    member.opens(day).await.refused(StatusCode::FORBIDDEN, "");
}
