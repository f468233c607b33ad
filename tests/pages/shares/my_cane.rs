//! Where a member's cane is: home, the ticket, the juice and the boil say the same, step by step.

use super::divisions::{divided_lot, finished_lot};
use crate::site::Answer;
use axum::http::StatusCode;

fn boxes(page: &str) -> Vec<String> {
    let names = page.split("name=\"").skip(1);
    let names = names.filter_map(|rest| rest.split('"').next());
    names
        .filter(|name| name.starts_with("jar"))
        .map(ToOwned::to_owned)
        .collect()
}

fn says_not(page: &Answer, words: &[&str]) {
    for word in words {
        assert!(!page.body.contains(word), "{word} on {}", page.body);
    }
}

#[tokio::test]
async fn home_the_ticket_and_the_juice_say_that_the_lot_is_in_jars() {
    let mut lot = finished_lot().await;
    let ticket = lot
        .site
        .text("select id from tickets where ticket = 1")
        .await;
    let juice = lot
        .site
        .text("select j.id from juices j join tickets t on t.id = j.ticket_id where t.ticket = 1")
        .await;
    let words = format!("Lot {} is in jars. It is divided next.", lot.code);
    let boil = format!("href=\"/boils/{}\"", lot.code.as_str());
    for address in [
        "/".to_owned(),
        format!("/tickets/{ticket}"),
        format!("/juices/{juice}"),
    ] {
        let page = lot.amos_opens.opens(&address).await;
        page.says(&words).says(&boil);
        says_not(&page, &["juice measured", "on the fire"]);
        let at = page.body.split("aria-current=\"step\">").nth(1).unwrap();
        // With when the first jar was filled.
        assert!(
            at.starts_with("in jars <span class=\"soft\">"),
            "{address}: {at}"
        );
    }
    let page = lot
        .amos_opens
        .opens(&format!("/boils/{}", lot.code.as_str()))
        .await;
    page.says(&words)
        .says(&format!("href=\"/tickets/{ticket}\""))
        .says(&format!("href=\"/juices/{juice}\""))
        .says("another member");
    // Neither the neighbour nor the cook's figures.
    says_not(&page, &["Bess", "78.0", "Draw off", "fuel"]);
}

#[tokio::test]
async fn a_member_is_told_of_the_cane_in_a_members_words_and_its_loose_pages_name_themselves() {
    let mut lot = divided_lot().await;
    let ticket = "select id from tickets where ticket = 1";
    let ticket = format!("/tickets/{}", lot.site.text(ticket).await);
    let juice = "select j.id from juices j join tickets t on t.id = j.ticket_id where t.ticket = 1";
    let juice = format!("/juices/{}", lot.site.text(juice).await);
    let page = lot.amos_opens.opens(&ticket).await;
    says_not(&page, &["smell the cut ends", "Clock"]);
    // Loose, it says what it is, whose, of what day and whose mill.
    page.says("<div class=\"running\">Ticket 1 · <bdi>Amos &#60;b&#62;Trout&#60;/b&#62;</bdi> · ")
        .says("Freshness");
    let page = lot.amos_opens.opens(&juice).await;
    says_not(&page, &["test its pH when", "<dt>Clock"]);
    page.says("<div class=\"running\">Juice of ticket 1, ");
    let mut crew = lot.site.browser(lot.site.steward).await;
    crew.opens(&juice).await.says("test its pH when");
    let division = format!("/boils/{}/divide", lot.code.as_str());
    crew.opens(&division).await.says(&format!(
        "<div class=\"running\">Lot {}: who gets what · divided on ",
        lot.code
    ));
}

#[tokio::test]
async fn a_record_keeps_the_name_of_its_day() {
    let mut lot = divided_lot().await;
    let juice = "select j.id from juices j join tickets t on t.id = j.ticket_id where t.ticket = 1";
    let juice = format!("/juices/{}", lot.site.text(juice).await);
    let mut steward = lot.site.browser(lot.site.steward).await;
    let hand_over = format!("/members/{}/hand-over", lot.amos);
    let page = steward.opens(&hand_over).await;
    let mut jars = vec![("signed_by".to_owned(), "Amos".to_owned())];
    jars.extend(
        boxes(&page.body)
            .into_iter()
            .map(|name| (name, "1".to_owned())),
    );
    let jars: Vec<(&str, &str)> = jars.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
    let receipt = steward.sends(&hand_over, &jars).await.taken().to_owned();
    let season = lot.site.text("select id from seasons").await;
    let paid = [
        ("season", season.as_str()),
        ("way", "in"),
        ("cents", "5"),
        ("text", "cash"),
        ("by", "cash"),
    ];
    steward
        .fills(&format!("/members/{}/payment", lot.amos), &paid)
        .await
        .taken();
    // A name of his that begins the day after all this.
    lot.site
        .sql(
            "insert into member_names (member_id, version, name, by_id, at)
            select m.id, 2, 'Amos Moss', m.id, (select max(at) + 86400 from ledger) from members m where m.name like 'Amos%';
            update members set name = 'Amos Moss' where name like 'Amos%'",
        )
        .await;
    for address in [juice.as_str(), receipt.as_str(), "/payments/1"] {
        let page = lot.amos_opens.opens(address).await;
        page.says("Amos &#60;b&#62;Trout");
        // The foot of the page says who is signed in, by the name of today.
        let (_, page) = page.body.split_once("<main").unwrap();
        let (page, _) = page.split_once("</main>").unwrap();
        assert!(!page.contains("Amos Moss"), "{address}: {page}");
    }
    let page = lot.amos_opens.opens("/payments/1").await;
    page.says("<dt>How</dt><dd>cash</dd>");
    // While the season runs its statement is by the name of today; once it is locked, by that of then.
    let statement = format!("/members/{}/statement/2026/print", lot.amos);
    let title = |name: &str| format!("<h1><bdi>{name}</bdi>: statement 2026");
    let page = lot.amos_opens.opens(&statement).await;
    page.says(&title("Amos Moss"));
    lot.site
        .sql(
            "insert into season_locks (season_id, number, locked, why, by_id, at)
            select s.id, 1, 1, '', m.id, (select max(at) from ledger)
            from seasons s, members m where m.name = 'Amos Moss'",
        )
        .await;
    let page = lot.amos_opens.opens(&statement).await;
    page.says(&title("Amos &#60;b&#62;Trout&#60;/b&#62;"));
}

#[tokio::test]
async fn home_counts_the_jars_to_fetch_by_name_until_they_are_handed_over() {
    let mut lot = divided_lot().await;
    let divide = format!("href=\"{}\"", lot.path());
    lot.amos_opens
        .opens("/")
        .await
        .says(&format!(
            "Lot {} is divided: 6 quarts of yours at the mill.",
            lot.code
        ))
        .says(&divide);
    let path = format!("/members/{}/hand-over", lot.amos);
    let page = lot.crew.opens(&path).await;
    let jar = boxes(&page.body).pop().unwrap();
    for (count, left) in [
        (
            "4",
            "is divided: 2 quarts still to fetch; 4 jars fetched by Sat 19 Sep 2026 08:00.",
        ),
        ("2", "jars fetched"),
    ] {
        lot.crew.opens(&path).await;
        let sent = [(jar.as_str(), count), ("signed_by", "Amos"), ("note", "")];
        lot.crew.sends(&path, &sent).await.taken();
        lot.amos_opens.opens("/").await.says(left);
    }
    lot.amos_opens
        .opens(&format!("/boils/{}", lot.code.as_str()))
        .await
        .says("your jars were handed over on");
}

#[tokio::test]
async fn an_undivided_boils_figures_are_not_opened_through_the_divisions_address() {
    let mut lot = finished_lot().await;
    let path = lot.path();
    let page = lot.amos_opens.opens(&path).await;
    page.refused(StatusCode::CONFLICT, "This boil is not divided yet");
    says_not(&page, &["4,800 g", "10,200 g", "another member"]);
    let (_, mut other) = lot
        .site
        .person("Dan Moss", canewright::units::Role::Member)
        .await;
    for address in [path.clone(), format!("/boils/{}", lot.code.as_str())] {
        other
            .opens(&address)
            .await
            .refused(StatusCode::NOT_FOUND, "Nothing here");
    }
    lot.crew.opens(&path).await.says("4,800 g");
}

#[tokio::test]
async fn what_others_are_owed_and_carry_is_not_shown_to_a_sharer() {
    let mut lot = divided_lot().await;
    let path = lot.path();
    let crew = lot.crew.opens(&path).await;
    // Bess is left with 252 g; the mill with 58 g too much.
    crew.says("252 g").says("−58 g");
    let page = lot.amos_opens.opens(&path).await;
    // What the division rests on, and the own balance.
    page.says("3,749 g").says("−194 g");
    says_not(&page, &["252 g", "−58 g", "$12.55"]);
}

/// The addresses of the pages along the way of a cane that a page links to.
fn stops(page: &Answer) -> Vec<String> {
    let way = page
        .body
        .split("aria-label=\"The way of this cane\"")
        .nth(1);
    let way = way.unwrap_or_else(|| panic!("no way on {}", page.body));
    let way = way.split("</nav>").next().unwrap();
    let links = way.split("href=\"").skip(1);
    let links = links.filter_map(|rest| rest.split('"').next());
    links.map(ToOwned::to_owned).collect()
}

#[tokio::test]
async fn the_way_from_the_ticket_to_the_statement_can_be_walked_in_both_directions() {
    let mut lot = divided_lot().await;
    let id = |sql| lot.site.text(sql);
    let ticket = id("select id from tickets where ticket = 1").await;
    let juice = "select j.id from juices j join tickets t on t.id = j.ticket_id where t.ticket = 1";
    let juice = id(juice).await;
    let code = lot.code.as_str().to_owned();
    let statement = format!("/members/{}/statement/2026", lot.amos);
    let way = [
        format!("/tickets/{ticket}"),
        format!("/juices/{juice}"),
        format!("/boils/{code}"),
        format!("/boils/{code}/divide"),
        statement.clone(),
    ];
    // A member: the own pages alone, each leading to all others, and itself marked.
    for address in &way[..4] {
        let page = lot.amos_opens.opens(address).await;
        assert_eq!(stops(&page), way, "{address}");
        page.says(&format!("href=\"{address}\" aria-current=\"page\""));
        says_not(&page, &[&lot.bess.to_string()]);
    }
    let page = lot.amos_opens.opens(&statement).await;
    for address in &way[..4] {
        page.says(&format!("href=\"{address}\""));
    }
    // The crew: everybody's cane that lies in the lot, and its jars.
    let jars = format!("/boils/{code}/trace");
    let bess = format!("/members/{}/statement/2026", lot.bess);
    for address in [&way[2], &way[3], &jars] {
        let page = lot.crew.opens(address).await;
        let found = stops(&page);
        for wanted in way.iter().chain([&jars, &bess]) {
            assert!(
                found.contains(wanted),
                "{address}: no {wanted} in {found:?}"
            );
        }
        assert_eq!(found.len(), 9, "{address}: {found:?}");
    }
    for address in &way[..2] {
        let found = stops(&lot.crew.opens(address).await);
        let crews = [&way[..4], &[jars.clone(), statement.clone()]].concat();
        assert_eq!(found, crews, "{address}");
    }
}

#[tokio::test]
async fn the_way_leads_to_the_shares_only_once_they_are_known() {
    let mut lot = finished_lot().await;
    let code = lot.code.as_str().to_owned();
    let page = lot.amos_opens.opens(&format!("/boils/{code}")).await;
    assert!(!stops(&page).contains(&format!("/boils/{code}/divide")));
    let page = lot.crew.opens(&format!("/boils/{code}")).await;
    assert!(stops(&page).contains(&format!("/boils/{code}/divide")));
}

#[tokio::test]
async fn the_season_stands_as_bars_with_every_figure_in_words() {
    let mut lot = divided_lot().await;
    let path = format!("/members/{}/season/2026", lot.amos);
    let home = lot.amos_opens.opens("/").await;
    home.says(&format!("href=\"{path}\""));
    let page = lot.amos_opens.opens(&path).await;
    // 120 kg of cane, 60 kg of juice at 17.00 °Bx, entitled to 7,966 g; six quarts of 1,360 g are in jars, 194 g too much.
    page.says("2026: <strong>264.6 lb</strong>")
        .says("2026: <strong>132.3 lb</strong>")
        .says("From every 100 lb of pressed cane came 50.0 lb of juice")
        .says("2026: <strong>17.00 °Bx</strong>")
        .says("2026: <strong>17.6 lb</strong>")
        .says("2026: <strong>18.0 lb</strong>")
        .says("of syrup in advance");
    // Two members have juice: the mill's median would tell one of the other's.
    page.says("shown once three members’ juice is measured");
    says_not(&page, &["the mill’s median: <strong>", "2025", "12.00"]);
    let (_, mut other) = lot
        .site
        .person("Dan Moss", canewright::units::Role::Member)
        .await;
    let refused = other.opens(&path).await;
    refused.refused(StatusCode::NOT_FOUND, "Nothing here");
    lot.crew.opens(&path).await.says("The season of <bdi>Amos");
}

/// A season before, in which Amos brought 60 kg of cane: 27 kg of juice at 15.00 °Bx, 4,000 g of syrup his, 3,740 g of it in jars.
const SEASON_BEFORE: &str = "
    insert into seasons (id, year, opened_at) values ('01910000-0000-7000-8000-000000000001', 2025, 1);
    insert into press_days (id, season_id, date, opens_min, closes_min, mill_g_per_h, changeover_min, made_by, made_at)
    select '01910000-0000-7000-8000-000000000002', '01910000-0000-7000-8000-000000000001', '2025-09-20', 420, 1020, 200000, 10, made_by, 1
    from press_days;
    insert into tickets (id, season_id, ticket, press_day_id, member_id, stripped, headed, clean, frosted, made_by, made_at)
    select '01910000-0000-7000-8000-000000000003', '01910000-0000-7000-8000-000000000001', 1, '01910000-0000-7000-8000-000000000002',
    id, 1, 1, 1, 0, id, 1 from members where name like 'Amos%';
    insert into loads (ticket_id, number, version, scale_id, graduation_g, gross_g, tare_g, by_id, at)
    select t.id, 1, 1, s.id, s.graduation_g, 80000, 20000, t.made_by, 60 from tickets t, scales s
    where t.id = '01910000-0000-7000-8000-000000000003' limit 1;
    insert into juices (id, ticket_id, vessel_id, pressed_at, made_by, made_at)
    select '01910000-0000-7000-8000-000000000004', t.id, v.id, 120, t.made_by, 120 from tickets t, vessels v
    where t.id = '01910000-0000-7000-8000-000000000003' limit 1;
    insert into juice_measures (juice_id, version, amount_kind, amount, sediment, temp_c, instrument, brix_1, brix_2, by_id, at)
    select id, 1, 'mass', 27000, 0, 20.0, 'plain', 15.0, 15.0, made_by, 120 from juices
    where id = '01910000-0000-7000-8000-000000000004';
    insert into ledger (number, season_id, member_id, kind, grams, says, by_id, at)
    select (select max(number) from ledger) + 1, '01910000-0000-7000-8000-000000000001', id, 'entitled', 4000, 'share', id, 130
    from members where name like 'Amos%';
    insert into ledger (number, season_id, member_id, kind, grams, says, by_id, at)
    select (select max(number) from ledger) + 1, '01910000-0000-7000-8000-000000000001', id, 'jarred', -3740, 'in jars', id, 130
    from members where name like 'Amos%'";

#[tokio::test]
async fn the_season_before_stands_beside_this_one_on_the_same_scale() {
    let mut lot = divided_lot().await;
    lot.site.sql(SEASON_BEFORE).await;
    let (path, before) = (
        format!("/members/{}/season/2026", lot.amos),
        format!("/members/{}/season/2025", lot.amos),
    );
    let page = lot.amos_opens.opens(&path).await;
    // Cane and juice are drawn by the most cane of both, 120 kg: 60 kg is half of it, 27 kg of juice 225 of 1,000.
    page.says("2026: <strong>264.6 lb</strong>")
        .says("2025: <strong>132.3 lb</strong>")
        .says("That is 200 lb for every 100 lb of the season before.")
        .says("2025: <strong>59.5 lb</strong>")
        .says("<rect width=\"225\"")
        .says("2026: <strong>17.00 °Bx</strong>")
        .says("2025: <strong>15.00 °Bx</strong>")
        .says("2025: <strong>8.8 lb</strong>")
        .says("2025: <strong>8.2 lb</strong>")
        // 4,000 − 3,740 − 194 g.
        .says("2.3 oz of syrup is carried to your next lot.")
        .says(&format!("href=\"{before}\""));
    let page = lot.amos_opens.opens(&before).await;
    page.says("Your season 2025")
        .says("2025: <strong>132.3 lb</strong>")
        .says("9.2 oz of syrup is carried to your next lot.");
    says_not(
        &page,
        &[
            "2026: <strong>",
            "season/2024",
            "for every 100 lb of the season before",
        ],
    );
}
