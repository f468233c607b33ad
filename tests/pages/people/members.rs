use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::units::Role;

const CARD: &[(&str, &str)] = &[
    ("name", "Amos <b>Trout</b>"),
    ("phone", "615 555 0134"),
    ("units", "us"),
    ("clock", "24"),
    ("role", "crew"),
    ("wishes", "24 oz; 3 lb"),
    ("pools", "yes"),
];

#[tokio::test]
async fn a_steward_adds_a_member_and_sees_the_card() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    let to = ruth.fills("/members/new", CARD).await.taken().to_owned();
    let card = ruth.opens(&to).await;
    card.says("Amos &#60;b&#62;Trout&#60;/b&#62;")
        .says("48 oz, 24 oz")
        .says("no account yet");
    ruth.opens("/members").await.says("615 555 0134");
}

#[tokio::test]
async fn a_card_with_two_faults_shows_both_and_keeps_what_was_typed() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    let answer = ruth
        .fills(
            "/members/new",
            &[
                ("name", ""),
                ("phone", "call me"),
                ("email", "x@y.org"),
                ("units", "us"),
                ("clock", "24"),
                ("role", "member"),
            ],
        )
        .await;
    answer
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please fill in this box.")
        // Above the form, each line begins with what its box is called.
        .says("<a href=\"#f-name\">Name: Please fill in this box.</a>")
        .says("Please write a telephone number")
        .says("value=\"call me\"")
        .says("value=\"x@y.org\"");
    assert_eq!(site.count("select count(*) from members").await, 1);
}

#[tokio::test]
async fn the_same_form_sent_twice_makes_one_member() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    let first = ruth.fills("/members/new", CARD).await;
    let again = ruth.sends("/members/new", CARD).await;
    assert_eq!(first.taken(), again.taken());
    assert_eq!(site.count("select count(*) from members").await, 2);
}

#[tokio::test]
async fn a_member_may_change_the_own_card_but_not_the_role_and_never_see_anothers() {
    let site = TestSite::new().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    browser
        .opens("/members")
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    let other = format!("/members/{}", site.steward);
    browser
        .opens(&other)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    let edit = format!("/members/{amos}/edit");
    let mut card = CARD.to_vec();
    card.push(("version", "1"));
    card.push(("role", "steward"));
    browser.fills(&edit, &card).await.taken();
    assert_eq!(
        site.count("select count(*) from members where role = 'steward'")
            .await,
        1
    );
}

#[tokio::test]
async fn two_stewards_changing_one_card_are_told_and_the_second_may_insist() {
    let site = TestSite::new().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let edit = format!("/members/{amos}/edit");
    let mut ruth = site.browser(site.steward).await;
    let mut again = site.browser(site.steward).await;
    let mut card = CARD.to_vec();
    card.push(("version", "1"));
    ruth.fills(&edit, &card).await.taken();
    let answer = again.fills(&edit, &card).await;
    answer.refused(StatusCode::CONFLICT, "was changed while you had it open");
    let version = again.hidden("version");
    card.pop();
    card.push(("version", &version));
    again.sends(&edit, &card).await.taken();
}

#[tokio::test]
async fn the_last_steward_cannot_go() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{}", site.steward)).await;
    let go = format!("/members/{}/let-go", site.steward);
    ruth.sends(&go, &[])
        .await
        .refused(StatusCode::CONFLICT, "is the last steward");
}

#[tokio::test]
async fn a_member_who_is_let_go_is_signed_out_at_once() {
    let site = TestSite::new().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Crew).await;
    assert_eq!(browser.opens("/").await.status, StatusCode::OK);
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{amos}")).await;
    ruth.sends(&format!("/members/{amos}/let-go"), &[])
        .await
        .taken();
    assert_eq!(browser.opens("/").await.taken(), "/sign-in?next=/");
}

#[tokio::test]
async fn a_steward_reads_what_was_changed_by_whom_newest_first() {
    let site = TestSite::new().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{amos}")).await;
    ruth.sends(&format!("/members/{amos}/let-go"), &[])
        .await
        .taken();
    let page = ruth.opens("/history?q=trout").await;
    page.says("member 2 (Amos Trout)")
        .says("left: nothing → Sat 19 Sep 2026 08:00")
        .says("member 1 (Ruth Bell)");
    let (changed, made) = (page.body.find("changed<br>"), page.body.find(">made<"));
    assert!(changed.is_some() && changed < made, "the newest first");
    ruth.opens("/history?q=no+such+thing")
        .await
        .says("Nothing is found");
    let (_, mut crew) = site.person("Nell Moss", Role::Crew).await;
    crew.opens("/history")
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
}

#[tokio::test]
async fn a_name_is_changed_by_a_steward_and_kept_and_nobody_takes_anothers() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let (bess, _) = site.person("Bess Lane", Role::Member).await;
    let path = format!("/members/{amos}/edit");
    let named = |name: &'static str| {
        let mut card = CARD.to_vec();
        card.retain(|(box_, _)| !["name", "role"].contains(box_));
        card.extend([("name", name), ("role", "member"), ("version", "1")]);
        card
    };
    // What a member sends as a name is not looked at.
    browser.opens(&path).await.says("A steward changes a name.");
    let mut ruth = site.browser(site.steward).await;
    ruth.fills(&path, &named("bess  LANE"))
        .await
        .refused(StatusCode::CONFLICT, "is called that already")
        .says("value=\"bess  LANE\"");
    ruth.fills(&path, &named("Amos\u{202e}Trout"))
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "leave out what cannot be seen",
        );
    ruth.fills(&path, &named("Amos Trout-Moss")).await.taken();
    ruth.opens(&format!("/members/{amos}"))
        .await
        .says("Amos Trout until Sat 19 Sep 2026");
    let kept = "select group_concat(name, ' / ') from (select name from member_names where by_id is not null)";
    assert_eq!(site.text(kept).await, "Amos Trout-Moss");
    let mut tx = site.writer.begin().await.unwrap();
    let refused = sqlx::raw_sql("update member_names set name = 'Nobody'")
        .execute(&mut *tx)
        .await;
    assert!(
        refused
            .unwrap_err()
            .to_string()
            .contains("a name that was borne stands")
    );
    drop(tx);
    // A new member cannot have it either.
    let mut card = CARD.to_vec();
    card[0] = ("name", "Bess Lane");
    ruth.fills("/members/new", &card)
        .await
        .refused(StatusCode::CONFLICT, "add what tells the two apart");
    assert!(bess != amos);
}

#[tokio::test]
async fn where_notices_go_is_changed_only_with_the_passphrase() {
    let site = TestSite::new().await;
    // Ruth alone has an account here.
    let path = format!("/members/{}/edit", site.steward);
    let mut ruth = site.browser(site.steward).await;
    let card = |phone: &'static str, passphrase: &'static str| {
        vec![
            ("name", "Ruth Bell"),
            ("phone", phone),
            ("address", "12 Mill Road"),
            ("passphrase", passphrase),
            ("units", "us"),
            ("clock", "12"),
            ("role", "steward"),
            ("version", "1"),
        ]
    };
    ruth.fills(&path, &card("615 555 0999", "a guess of mine"))
        .await
        .refused(StatusCode::CONFLICT, "That is not your passphrase.")
        .says("value=\"615 555 0999\"");
    ruth.fills(&path, &card("615 555 0999", "four mules in a row"))
        .await
        .taken();
    ruth.opens(&format!("/members/{}", site.steward))
        .await
        .says("615 555 0999")
        .says("12 Mill Road")
        .says("on a 12-hour clock");
}

#[tokio::test]
async fn a_box_of_several_lines_takes_them_as_a_browser_sends_them() {
    let site = TestSite::new().await;
    let path = format!("/members/{}/edit", site.steward);
    let mut ruth = site.browser(site.steward).await;
    let card = [
        ("name", "Ruth Bell"),
        ("phone", "615 555 0100"),
        ("address", "12 Mill Road\nTolliver"),
        ("passphrase", "four mules in a row"),
        ("units", "us"),
        ("clock", "24"),
        ("role", "steward"),
        ("version", "1"),
    ];
    ruth.fills(&path, &card).await.taken();
    let stored = site.text("select address from members").await;
    assert_eq!(stored, "12 Mill Road\nTolliver");
    // On one line what is asked for on one line.
    let mut two = card;
    two[0] = ("name", "Ruth\nBell");
    ruth.fills(&path, &two)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "one line");
}

#[tokio::test]
async fn who_chose_it_reads_times_on_a_twelve_hour_clock() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/days/2026-09-19").await.says("17:00");
    site.sql("update members set clock = 12").await;
    let page = ruth.opens("/days/2026-09-19").await;
    page.says("5:00\u{a0}pm");
    assert!(!page.body.contains("17:00"), "{}", page.body);
}

#[tokio::test]
async fn members_are_found_by_any_word_and_sorted_as_people_sort() {
    let site = TestSite::with_season().await;
    for name in ["Zoe Abel", "Émile Young", "Eva Quill"] {
        site.person(name, Role::Member).await;
    }
    let (_, mut cora) = site.person("Cora Pell", Role::Crew).await;
    let places = |body: &str, names: &[&str]| -> Vec<usize> {
        let at = |name: &&str| {
            body.find(*name)
                .unwrap_or_else(|| panic!("{name} in {body}"))
        };
        names.iter().map(at).collect()
    };
    let by_name = cora.opens("/members").await;
    let found = places(&by_name.body, &["Émile Young", "Eva Quill", "Zoe Abel"]);
    assert!(found.is_sorted(), "{found:?}");
    let family = cora.opens("/members?order=family").await;
    let found = places(&family.body, &["Zoe Abel", "Eva Quill", "Émile Young"]);
    assert!(found.is_sorted(), "{found:?}");
    let found = cora.opens("/members?q=emile").await;
    found.says("Émile Young");
    assert!(!found.body.contains("Zoe Abel"));
    cora.opens("/members?q=nobody")
        .await
        .says("Nobody is found.");
    // Wherever else people stand in a list: whom the cane is of, and who is invited.
    let mut ruth = site.browser(site.steward).await;
    for page in [
        cora.opens("/days/2026-09-19/tickets/new").await,
        ruth.opens("/members/invitations").await,
    ] {
        let found = places(
            &page.body,
            &["Cora Pell", "Émile Young", "Eva Quill", "Zoe Abel"],
        );
        assert!(found.is_sorted(), "{found:?} in {}", page.body);
    }
}

#[tokio::test]
async fn what_was_changed_of_a_card_a_role_a_scale_or_the_coops_card_stands_on_its_page_with_who_and_when()
 {
    let site = TestSite::with_season().await;
    let (amos, mut own) = site.person("Amos Trout", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    let card = format!("/members/{amos}");
    let edit = format!("{card}/edit");
    let changed = [
        ("version", "1"),
        ("name", "Amos Trout"),
        ("phone", "615 555 0199"),
        ("units", "us"),
        ("clock", "24"),
        ("role", "crew"),
        ("pools", "yes"),
    ];
    ruth.fills(&edit, &changed).await.taken();
    ruth.opens(&card)
        .await
        .says("History: what was changed, by whom")
        .says("role: “member” → “crew”")
        .says("→ “615 555 0199”")
        .says("member 1 (Ruth Bell)")
        .says("Sat 19 Sep 2026 08:00");
    // What the other members' cards went through does not stand here, and a member reads no history.
    ruth.opens(&format!("/members/{}", site.steward))
        .await
        .says("History");
    let page = own.opens(&card).await;
    assert!(!page.body.contains("History"), "{}", page.body);
    ruth.opens("/mill").await;
    let scale = site.text("select id from scales").await;
    ruth.sends(&format!("/mill/scales/{scale}/retire"), &[])
        .await
        .taken();
    let card = [
        ("coop", "Coldwater Ridge Pressing Co-op"),
        ("place", "Elsewhere, TN 37998"),
        ("zone", "America/Chicago"),
        ("units", "us"),
        ("altitude", "591"),
        ("phone", "615 555 0100"),
    ];
    ruth.fills("/mill/co-op", &card).await.taken();
    ruth.opens("/mill")
        .await
        .says("scale “Platform”")
        .says("taken out of use: nothing → Sat 19 Sep 2026 08:00")
        .says("place: “Tolliver, TN 37999” → “Elsewhere, TN 37998”")
        .says("member 1 (Ruth Bell)");
    ruth.opens("/history?q=elsewhere")
        .await
        .says("The co-op’s card");
}

#[tokio::test]
async fn members_are_added_from_pasted_lines_once_all_are_right_and_nothing_before() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let path = "/members/paste";
    let lines = "name,telephone\nAmos <b>Trout</b>, 615 555 0101, amos@example.org\nBess Lane,,,her son\nruth bell, 615 555 0102\nEd, x";
    ruth.opens(path).await;
    let looked = [("lines", lines), ("step", "look")];
    let page = ruth.sends(path, &looked).await;
    page.says("2 lines are not right")
        .says("Amos &#60;b&#62;Trout")
        .says("member 1 is called that already");
    assert!(!page.body.contains("value=\"add\""), "{}", page.body);
    // All that is wrong in a line is said at once.
    let both = [("lines", "Ed Moss, x, nowhere"), ("step", "look")];
    let page = ruth.sends(path, &both).await;
    page.says("Please write a telephone number")
        .says("Please write an e-mail address");
    // Whoever sends it on all the same stores nothing.
    let added = [("lines", lines), ("step", "add")];
    ruth.sends(path, &added)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Not every line is right");
    assert_eq!(site.count("select count(*) from members").await, 1);
    let lines = "Amos <b>Trout</b>, 615 555 0101, amos@example.org\nBess Lane,,,her son";
    ruth.opens(path).await;
    let looked = [("lines", lines), ("step", "look")];
    ruth.sends(path, &looked)
        .await
        .says("Add these 2 members")
        .says("her son");
    assert_eq!(site.count("select count(*) from members").await, 1);
    let added = [("lines", lines), ("step", "add")];
    ruth.sends(path, &added).await.taken();
    assert_eq!(site.count("select count(*) from members").await, 3);
    ruth.opens("/members").await.says("Bess Lane");
    // Headed columns may stand in any order; a heading that is none here is said, and nothing is taken for another.
    let headed = "Email;Name;Telephone\ncora@example.org;Cora Pell;615 555 0103\n;Dan Moss;";
    ruth.opens(path).await;
    let page = ruth
        .sends(path, &[("lines", headed), ("step", "look")])
        .await;
    page.says("Add these 2 members")
        .says("<td data-is=\"E-mail\">cora@example.org</td>");
    let role = "name,phone,role\nCora Pell,615 555 0103,crew";
    let page = ruth.sends(path, &[("lines", role), ("step", "look")]).await;
    page.says("“role” is no column of a member here");
    let (_, mut crew) = site.person("Lena Hart", Role::Crew).await;
    crew.opens(path).await.refused(StatusCode::FORBIDDEN, "");
}

#[tokio::test]
async fn everybody_without_an_account_gets_a_card_on_one_print_and_each_opens_its_own_account() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let lines = "Amos Trout, 615 555 0101\nBess Lane, 615 555 0102";
    ruth.opens("/members/paste").await;
    ruth.sends("/members/paste", &[("lines", lines), ("step", "add")])
        .await
        .taken();
    let path = "/members/invitations";
    ruth.opens(path)
        .await
        .says("These 2 members have no account yet");
    let page = ruth.sends(path, &[]).await;
    page.says("Amos Trout").says("Bess Lane");
    assert_eq!(page.body.matches("http://mill.test/join/").count(), 2);
    assert!(
        !page.body.contains("Ruth Bell</bdi></strong>"),
        "{}",
        page.body
    );
    let link = page.body.split("http://mill.test").nth(1).unwrap();
    let link = link.split('<').next().unwrap();
    site.stranger().opens(link).await.says("Amos Trout");
    // Made anew, the cards before end.
    ruth.opens(path).await;
    let again = ruth.sends(path, &[]).await;
    assert_eq!(again.body.matches("http://mill.test/join/").count(), 2);
    assert!(!again.body.contains(link), "{}", again.body);
    let ended = site.stranger().opens(link).await;
    assert!(!ended.body.contains("Amos Trout"), "{}", ended.body);
}

#[tokio::test]
async fn without_the_sites_address_no_cards_are_made_and_those_handed_out_stay_good() {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{amos}")).await;
    let card = ruth.sends(&format!("/members/{amos}/invite"), &[]).await;
    let link = card.body.split("http://mill.test").nth(1).unwrap();
    let link = link.split('<').next().unwrap().to_owned();
    let site = site.without_address();
    let mut ruth = site.browser(site.steward).await;
    let path = "/members/invitations";
    let page = ruth.opens(path).await;
    page.says("--public-url").says("Amos Trout");
    assert!(!page.body.contains("Make the invitations"), "{}", page.body);
    // Nor by a form that was open before.
    let page = ruth.sends(path, &[]).await;
    page.refused(StatusCode::CONFLICT, "--public-url");
    assert!(!page.body.contains("/join/"), "{}", page.body);
    site.stranger().opens(&link).await.says("Amos Trout");
}

#[tokio::test]
async fn all_that_is_kept_about_a_member_is_one_file_without_secrets_for_the_member_and_stewards_only()
 {
    let site = TestSite::with_season().await;
    let (amos, mut own) = site.person("Amos Trout", Role::Member).await;
    let (_, mut bess) = site.person("Bess Lane", Role::Member).await;
    let (_, mut crew) = site.person("Lena Hart", Role::Crew).await;
    let path = format!("/members/{amos}/all.zip");
    own.opens(&format!("/members/{amos}")).await.says(&path);
    let file = own.opens(&path).await;
    assert_eq!(file.headers["content-type"], "application/zip");
    // The zip is not compressed: its tables stand in it as text.
    for words in [
        "README.txt",
        "members.csv",
        "Amos Trout",
        "sessions.csv",
        "member_names.csv",
    ] {
        file.says(words);
    }
    for words in ["argon2", "Bess", "hash"] {
        assert!(!file.body.contains(words), "{words} in {}", file.body);
    }
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&path).await.says("Amos Trout");
    bess.opens(&path).await.refused(StatusCode::NOT_FOUND, "");
    crew.opens(&path).await.refused(StatusCode::FORBIDDEN, "");
}

#[tokio::test]
async fn every_table_that_names_a_member_is_in_the_file_or_left_out_with_a_reason() {
    use canewright::store::people::all_about::{LEFT_OUT, tables};
    let site = TestSite::new().await;
    let named = site
        .text(
            "select group_concat(s.name) from (select t.name from sqlite_schema t where t.type = 'table' \
             and exists (select 1 from pragma_table_info(t.name) c where c.name = 'member_id') order by t.name) s",
        )
        .await;
    let missing: Vec<&str> = named
        .split(',')
        .filter(|name| !tables().any(|t| t == *name) && !LEFT_OUT.iter().any(|(t, _)| t == name))
        .collect();
    assert!(named.contains("plantings"), "{named}");
    assert!(missing.is_empty(), "{missing:?}");
}
