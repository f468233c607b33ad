//! The page of everything that was changed: who was invited, what stands in the field, a list that was written anew; in words, and by
//! the time of the change.

use crate::site::{AT, TestSite};
use canewright::actions::people::accounts;
use canewright::actions::season::seasons::{self, NewRules};
use canewright::units::{BasisPoints, Role, SeasonId};

#[tokio::test]
async fn invitations_plantings_and_tasks_stand_in_the_history_in_words() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    let dale = [
        ("variety", "Dale"),
        ("planted_on", "2026-05-18"),
        ("row", "300"),
        ("apart", ""),
        ("days", "110"),
        ("note", ""),
    ];
    let new = format!("/members/{amos}/plantings/new");
    browser.fills(&new, &dale).await.taken();
    ruth.opens(&format!("/members/{amos}")).await;
    ruth.sends(&format!("/members/{amos}/invite"), &[]).await;
    assert_eq!(site.count("select count(*) from invites").await, 1);
    let scale = site.text("select id from scales").await;
    ruth.opens("/mill").await;
    ruth.sends(&format!("/mill/scales/{scale}/retire"), &[])
        .await
        .taken();
    // Whoever joins leaves the card as it was: that its changes were counted is no change to read.
    let before = site
        .count("select version from members where number = 2")
        .await;
    site.sql("update members set version = version + 1 where number = 2")
        .await;
    assert_eq!(
        site.count("select version from members where number = 2")
            .await,
        before + 1
    );
    let card = ruth.opens(&format!("/members/{amos}")).await;
    card.says("History: what was changed");
    assert!(
        !card.body.contains("</th><td>changed</td>"),
        "{}",
        card.body
    );
    ruth.opens("/history?q=planting+trout")
        .await
        .says("planting of member 2 (Amos Trout), version 1");
    ruth.opens("/history?q=invitation")
        .await
        .says("invitation of member 2 (Amos Trout)");
    let page = ruth.opens("/history").await;
    page.says("taken out of use: nothing → Sat 19 Sep 2026 08:00")
        .says("Left out here: who is signed in");
    assert!(!page.body.contains("sign-in of member"));
}

#[tokio::test]
async fn the_history_goes_by_the_time_of_the_change_and_a_list_written_anew_says_what_differs() {
    let site = TestSite::with_season().await;
    let by_ruth = site.steward;
    // A phone that had no signal sends at noon what was done in the morning.
    for (task, at) in [("boil", AT.plus(14_400)), ("feed", AT.plus(7_200))] {
        let mut tx = site.writer.begin().await.unwrap();
        tx.by(by_ruth, at);
        sqlx::query("insert into member_tasks select id, ?1 from members where number = 1")
            .bind(task)
            .execute(&mut *tx)
            .await
            .unwrap();
        tx.commit().await.unwrap();
    }
    let token = accounts::open_session(&site.writer, AT.plus(20_000), by_ruth, "").await;
    let mut ruth = site.stranger_at(AT.plus(20_000));
    ruth.cookie = format!("canewright={}", token.unwrap().as_str());
    let page = ruth.opens("/history?q=task").await;
    let place = |task: &str| {
        page.body
            .find(&format!("task “{task}” of member 1"))
            .unwrap()
    };
    assert!(
        place("boil") < place("feed"),
        "the later change comes first"
    );
    // The same list again, but for one line.
    let mut tx = site.writer.begin().await.unwrap();
    tx.by(by_ruth, AT.plus(16_000));
    for sql in [
        "delete from member_tasks",
        "insert into member_tasks select id, 'boil' from members where number = 1",
        "insert into member_tasks select id, 'weigh' from members where number = 1",
    ] {
        sqlx::query(sql).execute(&mut *tx).await.unwrap();
    }
    tx.commit().await.unwrap();
    let page = ruth.opens("/history?q=task").await;
    let times = |words: &str| page.body.matches(words).count();
    assert_eq!(times("task “boil” of member 1"), 1);
    assert_eq!(times("task “feed” of member 1"), 2);
    assert_eq!(times("task “weigh” of member 1"), 1);
}

#[tokio::test]
async fn a_further_version_says_what_it_changed_and_is_found_by_it() {
    let site = TestSite::with_season().await;
    let season = SeasonId::parse(&site.text("select id from seasons").await).unwrap();
    let mut rules = NewRules::defaults();
    rules.toll = BasisPoints::parse("15").unwrap();
    seasons::change_rules(&site.act(), season, 1, rules)
        .await
        .unwrap();
    let mut ruth = site.browser(site.steward).await;
    let page = ruth.opens("/history?q=toll").await;
    page.says("version 2 of the rules of the season of 2026")
        .says("a further version")
        .says("toll: 10 % → 15 %");
    // What both versions say is no change, nor is who made them and when.
    for same in ["finish target, °Bx:", "made by:", "made:", "number:"] {
        assert!(!page.body.contains(same), "{same} is told as a change");
    }
    // The day of a version, put right, is a change of that day.
    site.sql(
        "insert into rules_days select rules_id, 1, '2026-02-01', 'a slip', by_id, at from rules_confirmed limit 1",
    )
    .await;
    ruth.opens("/history?q=holds+from")
        .await
        .says("Thu 1 Jan 2026 → Sun 1 Feb 2026");
}
