//! Hand-overs, the ledger and the statement of the lot worked in `shares`. The statement's sums are
//! taken off the page and added up again here.

use crate::shares::divisions::{divided_lot, finished_lot, weighed};
use axum::http::StatusCode;
use canewright::units::Role;

/// The page as somebody with a pencil reads it: no tags, one line for each line, cell or item.
fn read(html: &str) -> Vec<String> {
    let mut text = String::new();
    let mut in_tag = false;
    for c in html.chars() {
        match c {
            '<' => {
                in_tag = true;
                text.push('\n');
            }
            '>' => in_tag = false,
            c if !in_tag => text.push(c),
            _ => {}
        }
    }
    text.lines()
        .map(|l| l.trim().to_owned())
        .filter(|l| !l.is_empty())
        .collect()
}

/// Leaves out what stands in brackets.
fn without_brackets(line: &str) -> String {
    let mut depth = 0;
    let mut out = String::new();
    for c in line.chars() {
        match c {
            '(' => depth += 1,
            ')' => depth -= 1,
            c if depth == 0 => out.push(c),
            _ => {}
        }
    }
    out
}

/// Works one side of a sum: numbers joined by + − × ÷, times before plus; words are passed over.
/// `None` when it is no sum.
fn work(side: &str) -> Option<(f64, usize)> {
    let (mut total, mut term, mut op, mut numbers) = (0.0, None::<f64>, '+', 0);
    let mut want = true;
    for word in side.split_whitespace() {
        if matches!(word, "+" | "−" | "×" | "÷") {
            if want {
                return None;
            }
            op = word.chars().next()?;
            want = true;
            continue;
        }
        let bare = word.trim_end_matches([',', '.']).replace(',', "");
        let minus = bare.starts_with('−');
        let Ok(mut value) = bare.trim_start_matches('−').parse::<f64>() else {
            if word == "%" && numbers > 0 {
                term = term.map(|t| t / 100.0);
            }
            continue;
        };
        if !want {
            return None;
        }
        if minus {
            value = -value;
        }
        numbers += 1;
        want = false;
        match op {
            '×' => term = Some(term? * value),
            '÷' => term = Some(term? / value),
            _ => {
                total += term.unwrap_or(0.0);
                term = Some(if op == '−' { -value } else { value });
            }
        }
    }
    (!want).then(|| (total + term.unwrap_or(0.0), numbers))
}

/// The first number of a text.
fn first_number(text: &str) -> Option<f64> {
    let word = text.split_whitespace().next()?.replace(',', "");
    let minus = word.starts_with('−');
    let value: f64 = word
        .trim_start_matches('−')
        .trim_end_matches(';')
        .parse()
        .ok()?;
    Some(if minus { -value } else { value })
}

/// Redoes every sum of the page; gives how many there were.
fn redo(lines: &[String]) -> usize {
    let mut done = 0;
    for line in lines {
        let line = without_brackets(line);
        for clause in line.split([';', ':']) {
            let Some((left, right)) = clause.split_once(" = ") else {
                continue;
            };
            let (Some((worked, numbers)), Some(said)) = (work(left), first_number(right)) else {
                continue;
            };
            if numbers < 2 {
                continue;
            }
            let percent = right.contains('%');
            let worked = if percent { worked * 100.0 } else { worked };
            // Shares show three decimals and cut the rest off; other roundings are named.
            let off = if line.contains("to the nearest gram") {
                0.5
            } else if line.contains("cut to") {
                0.001
            } else if line.contains("to 0.01") {
                0.005
            } else {
                0.0
            };
            assert!(
                (worked - said).abs() <= off + 1e-6,
                "{clause}: {worked} is not {said}"
            );
            done += 1;
        }
    }
    done
}

/// The cells of a column.
fn cells(html: &str, column: &str) -> Vec<String> {
    let mark = format!("data-is=\"{column}\">");
    html.split(mark.as_str())
        .skip(1)
        .map(|rest| rest.split('<').next().unwrap().to_owned())
        .collect()
}

fn amount(cell: &str) -> f64 {
    let plain: String = cell
        .chars()
        .filter(|c| !matches!(c, ',' | '$' | 'g' | ' '))
        .map(|c| if c == '−' { '-' } else { c })
        .collect();
    plain.parse().unwrap_or_else(|_| panic!("{cell}"))
}

#[tokio::test]
async fn a_statement_writes_out_every_sum_and_each_comes_out_again() {
    let mut lot = divided_lot().await;
    let path = format!("/members/{}/statement/2026", lot.amos);
    let page = lot.amos_opens.opens(&path).await;
    for words in [
        "138,000 g gross − 18,000 g tare = 120,000 g net",
        "60,000 g × 17.00 ÷ 100 = 10,200 g of solids, to the nearest gram",
        "60,000 g of juice ÷ 120,000 g of cane: 50.0 of 100",
        "10,200 g ÷ 15,000 g = 68.00 %",
        "13,017 g × 10 % = 1,301.7 g",
        "11,715.3 g × 10,200 g ÷ 15,000 g = 7,966.404 g; cut to 7,966 g, and no gram left over: 7,966 g",
        "6 × quart of 1,360 g = 8,160 g",
        "0 g + 7,966 g − 8,160 g = −194 g",
        "brings the pressing fees up to the least charge of $10.00: $5.80",
        "<dt>Jars to fetch</dt><dd>6 quarts (18 lb)</dd>",
        "<dt>Syrup carried</dt><dd>6.8 oz had in advance</dd>",
        "<dt>Money</dt><dd>$15.10 to pay</dd>",
        "data-is=\"Your part\">68.00 % of the sugar",
        "Version 2 of the season’s rules",
        "half a cent upward",
        "Amos &#60;b&#62;Trout",
    ] {
        page.says(words);
    }
    let lines = read(&page.body);
    assert_eq!(redo(&lines), 10);
    let running = cells(&page.body, "Running sum");
    for column in ["Grams", "Owed"] {
        let mut sum = 0.0;
        let amounts = cells(&page.body, column);
        let skip = if column == "Grams" { 0 } else { 2 };
        for (cell, after) in amounts.iter().zip(&running[skip..]) {
            sum += amount(cell);
            assert!((sum - amount(after)).abs() < 1e-6, "{cell} then {after}");
        }
    }
    assert_eq!(running.len(), 2 + 4);
    // The same on paper.
    let paper = lot.amos_opens.opens(&format!("{path}/print")).await;
    paper
        .says("class=\"statement\"")
        .says("0 g + 7,966 g − 8,160 g = −194 g");
    assert_eq!(redo(&read(&paper.body)), 10);
}

#[tokio::test]
async fn pounds_are_reckoned_as_the_scale_showed_them() {
    let mut lot = divided_lot().await;
    // 438.0 lb and 20.5 lb are kept as 198,673 g and 9,299 g, 440.5 lb and 23.0 lb as 199,807 g and 10,433 g: 189,374 g
    // apart both times, but 417.5 lb are 189,374.8 g.
    lot.site
        .sql(
            "insert into vessels (id, name, capacity_ml) values ('01920000-0000-7000-8000-0000000000a1', 'Third', 200000),
             ('01920000-0000-7000-8000-0000000000a2', 'Fourth', 200000)",
        )
        .await;
    for (gross, tare) in [(198_673, 9_299), (199_807, 10_433)] {
        weighed(&lot.site, lot.amos, (gross, tare), 90_000, 15.0).await;
    }
    let path = format!("/members/{}/statement/2026", lot.amos);
    lot.amos_opens
        .opens(&path)
        .await
        .says("438.0 lb gross − 20.5 lb tare = 417.5 lb; × 453.59237 = 189,375 g")
        .says("440.5 lb gross − 23.0 lb tare = 417.5 lb; × 453.59237 = 189,375 g")
        .says("189,375 g of cane");
    assert_eq!(
        lot.site
            .count("select count(*) from loads where net_lb = 4175000 and net_g = 189375")
            .await,
        2
    );
    // To who reads kilograms the weighing stands as it was read, so that its parts add up.
    lot.site.sql("update members set units = 'metric'").await;
    let ticket = "select max(id) from tickets";
    let ticket = format!("/tickets/{}", lot.site.text(ticket).await);
    lot.amos_opens
        .opens(&ticket)
        .await
        .says("data-is=\"Gross\">440.5 lb<")
        .says("data-is=\"− Tare\">23.0 lb<")
        .says("data-is=\"= Net\">417.5 lb = 189.375 kg<");
}

#[tokio::test]
async fn a_sum_that_is_wrong_would_be_found() {
    let wrong = ["60,000 g × 17.00 ÷ 100 = 10,201 g of solids, to the nearest gram".to_owned()];
    assert!(std::panic::catch_unwind(|| redo(&wrong)).is_err());
    let wrong = ["0 g + 7,966 g − 8,160 g = −193 g".to_owned()];
    assert!(std::panic::catch_unwind(|| redo(&wrong)).is_err());
}

#[tokio::test]
async fn a_statement_before_dividing_and_an_empty_one_say_what_comes_next() {
    let mut lot = finished_lot().await;
    let path = format!("/members/{}/statement/2026", lot.amos);
    // The way there is on the member's own card.
    let card = lot
        .amos_opens
        .opens(&format!("/members/{}", lot.amos))
        .await;
    card.says(&format!("href=\"{path}\""));
    assert!(!card.body.contains("Hand jars over"));
    lot.amos_opens
        .opens(&path)
        .await
        .says("finished, not divided yet")
        .says("No fee and no payment stands here.");
    let (dan, mut browser) = lot.site.person("Dan Moss", Role::Member).await;
    browser
        .opens(&format!("/members/{dan}/statement/2026"))
        .await
        .says("No cane was weighed in this season.");
    browser
        .opens(&format!("/members/{dan}/statement/1999"))
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
}

/// Amos reads kilograms and a 12-hour clock, the steward who prints for everybody pounds and 24 hours.
#[tokio::test]
async fn a_statement_is_printed_in_the_units_and_by_the_clock_of_its_member_whoever_prints_it() {
    let mut lot = divided_lot().await;
    let their_own =
        "update members set units = 'metric', clock = 12, version = version + 1 where number = 2";
    lot.site.sql(their_own).await;
    let own = format!("/members/{}/statement/2026/print", lot.amos);
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let run = ruth.opens("/seasons/2026/statements/print").await.body;
    let articles: Vec<&str> = run.split("<article").collect();
    let of = |name: &str| *articles.iter().find(|a| a.contains(name)).unwrap();
    let by_amos = lot.amos_opens.opens(&own).await.body;
    let by_ruth = ruth.opens(&own).await.body;
    for amos in [
        of("Trout&#60;/b&#62;</bdi>: statement").to_owned(),
        by_amos,
        by_ruth,
    ] {
        assert!(
            amos.contains("120.0 kg") && !amos.contains("264.6 lb"),
            "{amos}"
        );
        assert!(
            amos.contains("8:00\u{a0}am") && !amos.contains(" 08:00"),
            "{amos}"
        );
    }
    let bess = of("Bess Lane</bdi>: statement");
    assert!(bess.contains(" lb") && bess.contains(" 08:00"), "{bess}");
}

#[tokio::test]
async fn a_statement_is_its_members_own() {
    let mut lot = divided_lot().await;
    for ending in ["", "/print"] {
        let path = format!("/members/{}/statement/2026{ending}", lot.bess);
        lot.amos_opens
            .opens(&path)
            .await
            .refused(StatusCode::NOT_FOUND, "Nothing here");
        lot.crew.opens(&path).await.says("8.9 oz still to come");
    }
}

/// The boxes of the hand-over form on the last page.
fn boxes(page: &str) -> Vec<String> {
    page.split("name=\"jar-")
        .skip(1)
        .map(|rest| format!("jar-{}", rest.split('"').next().unwrap()))
        .collect()
}

#[tokio::test]
async fn a_hand_over_done_by_an_older_program_and_sent_again_is_shown_with_a_sentence() {
    let mut lot = divided_lot().await;
    let path = format!("/members/{}/hand-over", lot.amos);
    let page = lot.crew.opens(&path).await;
    let jar = boxes(&page.body).pop().unwrap();
    let four = [(jar.as_str(), "4"), ("signed_by", "Amos"), ("note", "")];
    lot.crew.sends(&path, &four).await.taken();
    // Older programs kept the id of the hand-over where the number of its receipt stands now.
    let old = "update form_keys set digest = '', boxes = '', result = (select id from hand_overs) \
               where action = 'hand_over'";
    lot.site.sql(old).await;
    lot.crew
        .sends(&path, &four)
        .await
        .refused(StatusCode::CONFLICT, "an older version of this program")
        .says("name=\"signed_by\"");
    let sql = "select sum(count) from hand_over_jars";
    assert_eq!(lot.site.count(sql).await, 4);
}

#[tokio::test]
async fn jars_are_handed_over_on_a_receipt_and_what_stays_waits() {
    let mut lot = divided_lot().await;
    lot.crew
        .opens("/hand-overs")
        .await
        .says("Bess Lane")
        .says("The mill");
    let path = format!("/members/{}/hand-over", lot.amos);
    let page = lot.crew.opens(&path).await;
    page.says("6 waiting since Sat 19 Sep 2026")
        .says("value=\"6\"");
    let jar = boxes(&page.body).pop().unwrap();
    let four = [
        (jar.as_str(), "4"),
        ("signed_by", "Mrs <i>Trout</i>"),
        ("note", ""),
    ];
    let to = lot.crew.sends(&path, &four).await.taken().to_owned();
    let again = lot.crew.sends(&path, &four).await;
    assert_eq!(
        (to.as_str(), again.taken()),
        ("/hand-overs/1", "/hand-overs/1")
    );
    let receipt = lot.amos_opens.opens(&to).await;
    receipt
        .says("Given to")
        .says("nobody signed with it")
        .says("Signed: ______")
        .says("Mrs &#60;i&#62;Trout")
        .says("12 lb")
        .says("2 jars are still waiting at the mill.")
        .says("$15.10 to pay");
    // A typed name is nobody's signature, neither there nor in the list.
    let list = lot.crew.opens("/hand-overs").await;
    list.says("Given to").says("Mrs &#60;i&#62;Trout");
    for page in [&list, &receipt, &lot.crew.opens(&path).await] {
        assert!(!page.body.contains("Signed by"), "{}", page.body);
    }
    // Five more are not there.
    let five = [(jar.as_str(), "5"), ("signed_by", "Amos"), ("note", "")];
    lot.crew
        .fills(&path, &five)
        .await
        .refused(
            StatusCode::CONFLICT,
            "2 × quart of 48 oz are waiting, not 5",
        )
        .says("value=\"5\"");
    let sql = "select sum(count) from hand_over_jars";
    assert_eq!(lot.site.count(sql).await, 4);
    let two = [(jar.as_str(), "2"), ("signed_by", "Amos"), ("note", "")];
    assert_eq!(lot.crew.fills(&path, &two).await.taken(), "/hand-overs/2");
    lot.crew
        .opens(&path)
        .await
        .says("No jars are waiting at the mill");
    let statement = format!("/members/{}/statement/2026", lot.amos);
    lot.amos_opens
        .opens(&statement)
        .await
        .says("4 quarts (12 lb) of lot")
        .says("receipt 2</a>");
}

#[tokio::test]
async fn the_mills_own_jars_are_handed_over_too_and_a_form_without_jars_is_not_taken() {
    let mut lot = divided_lot().await;
    let path = "/members/mill/hand-over";
    let page = lot.crew.opens(path).await;
    let jar = boxes(&page.body).pop().unwrap();
    lot.crew
        .sends(
            path,
            &[(jar.as_str(), ""), ("signed_by", "Ruth"), ("note", "")],
        )
        .await
        .refused(StatusCode::CONFLICT, "at least one");
    lot.crew
        .fills(
            path,
            &[(jar.as_str(), "1"), ("signed_by", ""), ("note", "")],
        )
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please fill in this box.");
    assert_eq!(lot.site.count("select count(*) from hand_overs").await, 0);
    let one = [(jar.as_str(), "1"), ("signed_by", "Ruth"), ("note", "fair")];
    let to = lot.crew.fills(path, &one).await.taken().to_owned();
    lot.crew.opens(&to).await.says("The mill").says("3 lb");
    // A receipt is for crew and for whose jars they are.
    lot.amos_opens
        .opens(&to)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
}

#[tokio::test]
async fn two_who_hand_over_the_same_jars_do_it_once() {
    let mut lot = divided_lot().await;
    let path = format!("/members/{}/hand-over", lot.bess);
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let page = ruth.opens(&path).await;
    let all: Vec<String> = boxes(&page.body);
    let counts = ["2", "1"];
    let mut fields: Vec<(&str, &str)> = all.iter().map(String::as_str).zip(counts).collect();
    fields.push(("signed_by", "Bess"));
    fields.push(("note", ""));
    lot.crew.fills(&path, &fields).await.taken();
    let late = ruth.sends(&path, &fields).await;
    late.refused(
        StatusCode::CONFLICT,
        "0 × quart of 48 oz are waiting, not 2",
    );
    assert_eq!(
        lot.site
            .count("select sum(count) from hand_over_jars")
            .await,
        3
    );
}

#[tokio::test]
async fn a_season_that_is_only_opened_moves_the_one_that_runs_out_of_nobodys_sight() {
    let mut lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.fills("/seasons", &[("year", "2027")]).await.taken();
    ruth.opens("/boils").await.says("Boils of 2026");
    ruth.opens("/tickets").await.says("Tickets of 2026");
    ruth.opens("/ledger").await.says("jars filled ×");
    lot.amos_opens.opens("/").await.says("/statement/2026");
    let path = format!("/members/{}/payment", lot.amos);
    let page = ruth.opens(&path).await;
    let choices = page.body.split("name=\"season\"").nth(1).unwrap();
    let choices = choices.split("</select>").next().unwrap();
    let (now, next) = (choices.find(">2026<"), choices.find(">2027<"));
    assert!(now.is_some() && now < next, "{choices}");
}

#[tokio::test]
async fn a_payment_is_noted_once_and_taken_back_in_the_open() {
    let mut lot = divided_lot().await;
    let season = lot.site.text("select id from seasons").await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let path = format!("/members/{}/payment", lot.amos);
    let paid = [
        ("way", "in"),
        ("cents", "15.10"),
        ("text", "check <1204>"),
        ("season", season.as_str()),
    ];
    // A payment of years ago is asked about: the year slipped.
    let mut old = vec![("on", "2019-09-19")];
    old.extend(paid);
    ruth.fills(&path, &old)
        .await
        .refused(StatusCode::CONFLICT, "Thu 19 Sep 2019 is 2557 days ago")
        .says("name=\"sure_day\"");
    assert_eq!(lot.site.count("select count(*) from payments").await, 0);
    // Paid the day before it is noted.
    let mut noted = vec![("on", "2026-09-18")];
    noted.extend(paid);
    ruth.fills(&path, &noted).await.taken();
    ruth.sends(&path, &noted).await.taken();
    let balance = "select sum(cents) from ledger l join members m on m.id = l.member_id where m.name like 'Amos%'";
    assert_eq!(lot.site.count(balance).await, 0);
    ruth.opens("/ledger")
        .await
        .says("received: check &#60;1204&#62;")
        .says("nothing is owed either way");
    let by_kind = ruth
        .opens("/ledger?season=2026&q=payment+19+sep+amos")
        .await;
    by_kind.says("received: check");
    assert!(!by_kind.body.contains("jars filled ×"));
    ruth.opens("/ledger?season=2026&q=payment+bess")
        .await
        .says("No such lines.");
    let receipt = lot.amos_opens.opens("/payments/1").await;
    receipt
        .says("Received from")
        .says("$15.10")
        .says("Fri 18 Sep 2026");
    let statement = format!("/members/{}/statement/2026", lot.amos);
    lot.amos_opens
        .opens(&statement)
        .await
        .says("Paid already: $15.10 on Fri 18 Sep 2026.")
        .says(" gal (");
    let (_, mut bess) = lot.site.person("Nosy Neighbour", Role::Crew).await;
    bess.opens("/payments/1")
        .await
        .refused(StatusCode::NOT_FOUND, "");
    let last = lot
        .site
        .text("select cast(max(number) as text) from ledger")
        .await;
    let back = [("number", last.as_str()), ("why", "it bounced")];
    ruth.sends("/ledger", &back).await.taken();
    assert_eq!(lot.site.count(balance).await, 1510);
    ruth.fills("/ledger", &back)
        .await
        .refused(StatusCode::CONFLICT, "is taken back already, by line")
        .says("value=\"it bounced\"");
    // Syrup is not put right with a pen.
    ruth.fills("/ledger", &[("number", "1"), ("why", "slip")])
        .await
        .refused(StatusCode::CONFLICT, "is of syrup, not of money");
    let statement = format!("/members/{}/statement/2026", lot.amos);
    lot.amos_opens
        .opens(&statement)
        .await
        .says("it bounced")
        .says("$15.10 to pay");
}

#[tokio::test]
async fn a_payment_of_ten_times_the_debt_is_asked_about_and_bears_its_day_and_kind() {
    let lot = divided_lot().await;
    let season = lot.site.text("select id from seasons").await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let path = format!("/members/{}/payment", lot.amos);
    let mut paid = vec![
        ("way", "in"),
        ("cents", "151.00"),
        ("by", "check"),
        ("on", "2026-09-18"),
        ("text", "check 1204"),
        ("season", season.as_str()),
    ];
    ruth.fills(&path, &paid)
        .await
        .refused(
            StatusCode::CONFLICT,
            "$151.00 are ten times what is owed, $15.10, or more",
        )
        .says("The amount is right")
        .says("value=\"151.00\"");
    assert_eq!(lot.site.count("select count(*) from payments").await, 0);
    paid.push(("sure", "yes"));
    assert_eq!(ruth.fills(&path, &paid).await.taken(), "/payments/1");
    ruth.opens("/payments/1")
        .await
        .says("Fri 18 Sep 2026")
        .says("received: check 1204, on Fri 18 Sep 2026");
    // In credit since then: more is asked about, whatever it is.
    let twice: Vec<(&str, &str)> = paid.iter().copied().filter(|(n, _)| *n != "sure").collect();
    ruth.fills(&path, &twice).await.refused(
        StatusCode::CONFLICT,
        "in credit with $135.90: nothing is owed that way, and $151.00 would be",
    );
    // How it was paid says enough.
    let cash = [
        ("way", "out"),
        ("cents", "1.00"),
        ("by", "cash"),
        ("text", ""),
        ("season", season.as_str()),
    ];
    assert_eq!(ruth.fills(&path, &cash).await.taken(), "/payments/2");
    ruth.opens("/payments/2").await.says("paid out: cash");
    paid[3] = ("on", "2026-12-24");
    ruth.fills(&path, &paid).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Thu 24 Dec 2026 is still to come",
    );
}

#[tokio::test]
async fn whoever_owes_or_is_owed_is_let_go_only_by_a_steward_who_knows() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let path = format!("/members/{}", lot.amos);
    ruth.opens(&path)
        .await
        .says("Still open: $15.10 to pay")
        .says("6 jars at the mill");
    let go = format!("{path}/let-go");
    ruth.sends(&go, &[]).await.refused(
        StatusCode::CONFLICT,
        "owes something or is owed something: $15.10 to pay",
    );
    assert_eq!(
        lot.site
            .count("select count(*) from members where left_at is not null")
            .await,
        0
    );
    ruth.opens(&path).await;
    ruth.sends(&go, &[("knows", "yes")]).await.taken();
    assert_eq!(
        lot.site
            .count("select count(*) from members where left_at is not null")
            .await,
        1
    );
}

#[tokio::test]
async fn a_payment_with_faults_shows_them_all_and_keeps_what_was_typed() {
    let lot = divided_lot().await;
    let before = lot.site.count("select count(*) from ledger").await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let path = format!("/members/{}/payment", lot.amos);
    ruth.fills(
        &path,
        &[
            ("way", "in"),
            ("cents", "twelve"),
            ("text", ""),
            ("season", "x"),
        ],
    )
    .await
    .refused(StatusCode::UNPROCESSABLE_ENTITY, "is not a number")
    .says("value=\"twelve\"")
    .says("Please choose how it was paid, or write what stands on the paper.")
    .says("Please choose a season.");
    ruth.fills("/ledger", &[("number", "0"), ("why", "")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "whole number from 1");
    ruth.fills("/ledger", &[("number", "999"), ("why", "slip")])
        .await
        .refused(StatusCode::CONFLICT, "There is no line 999");
    assert_eq!(lot.site.count("select count(*) from ledger").await, before);
}

#[tokio::test]
async fn crew_see_no_ledger_and_members_no_hand_overs() {
    let mut lot = divided_lot().await;
    for path in [
        "/ledger".to_owned(),
        format!("/members/{}/payment", lot.amos),
    ] {
        lot.crew
            .opens(&path)
            .await
            .refused(StatusCode::FORBIDDEN, "Not for your role");
    }
    for path in [
        "/hand-overs".to_owned(),
        format!("/members/{}/hand-over", lot.amos),
    ] {
        lot.amos_opens
            .opens(&path)
            .await
            .refused(StatusCode::FORBIDDEN, "Not for your role");
    }
    let season = lot.site.text("select id from seasons").await;
    let paid = [
        ("way", "out"),
        ("cents", "1"),
        ("text", "x"),
        ("season", season.as_str()),
    ];
    lot.crew.opens("/hand-overs").await;
    lot.crew.opens("/sign-in").await;
    let answer = lot.crew.sends("/ledger", &paid).await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
    let sql = "select count(*) from ledger where kind = 'payment'";
    assert_eq!(lot.site.count(sql).await, 0);
}
