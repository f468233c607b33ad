//! Forgetting a member: nothing of the name, the telephone, the e-mail or the address is found in the file afterwards, in no column of
//! no table and in none of its bytes; every figure stays; and whatever else is changed is still told.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod life;

use crate::tampering::{Hand, all_told};
use canewright::actions::people::forgetting::{self, NewForgetting};
use canewright::actions::people::members::{self, Proof};
use canewright::actions::{Hashing, Stop, rounds};
use canewright::demo::PASSPHRASE;
use canewright::facts::shares::verify::verify;
use canewright::facts::shares::whole_books;
use canewright::store;
use canewright::store::people::forgetting::WORDS;
use canewright::units::{Passphrase, PressDate};
use life::{Life, NAME, found_in, needles_in};
use sqlx::Connection;
use std::path::Path;

fn words() -> Vec<String> {
    ["Zebedee", "Quillfeather", "Zeb"].map(str::to_owned).into()
}

async fn forget(life: &Life, keep_until: Option<PressDate>) -> Result<(), Stop> {
    let hashing = Hashing::new();
    let new = NewForgetting {
        words: words(),
        keep_until,
    };
    let proof = Proof {
        hashing: &hashing,
        passphrase: Passphrase::typed(PASSPHRASE),
    };
    forgetting::forget(&life.act(), life.member, new, proof)
        .await
        .map(drop)
}

async fn differs(life: &Life) -> Vec<String> {
    let mut snapshot = life.reader.snapshot().await.unwrap();
    verify(&mut snapshot).await.unwrap().differs
}

/// Columns of text that hold no words about people: keys and names of things aside, which are looked up from the schema.
const NO_WORDS: [(&str, &str); 44] = [
    ("accounts", "sign_in"), // goes with the account
    ("additions", "dose"),
    ("additions", "its_lot"),
    ("additions", "maker"),
    ("coop", "bring"), // refused while it names the member
    ("coop", "contact_phone"),
    ("coop", "name"),
    ("coop", "place"),
    ("coop", "way"),
    ("coop", "zone"),
    ("divisions", "basis"),
    ("empty_jars", "size_name"),
    ("fills", "size_name"),
    ("finishes", "fuel_kind"),
    ("forgotten_rows", "digest"),
    ("form_keys", "boxes"), // emptied
    ("form_keys", "digest"),
    ("form_keys", "result"),
    ("jar_checks", "size_name"),
    ("jar_moves", "size_name"),
    ("jar_sizes", "name"),
    ("kept_names", "name"), // what is kept on purpose
    ("ledger", "kind"),
    ("letters", "address"), // goes with the letter
    ("lot_looks", "colour"),
    ("members", "address"), // emptied, of the member alone
    ("members", "email"),
    ("members", "name"),
    ("members", "phone"),
    ("notices", "mark"),
    ("pans", "fuel"),
    ("planting_versions", "variety"),
    ("recall_jars", "size_name"),
    ("restore_lost", "about"), // numbers, lot codes, dates
    ("restores", "backup"),    // a file's name
    ("restores", "unread"),
    ("season_frosts", "late_on"),
    ("season_frosts", "middle_on"),
    ("second_factors", "secret"), // goes
    ("sent_from_phone", "record"),
    ("sent_from_station", "record"),
    ("sessions", "device"), // goes
    ("ticket_numbers", "phone"),
    ("typed_in", "record"),
];

#[tokio::test]
async fn every_column_of_text_is_looked_through_or_holds_no_words_for_a_reason() {
    let life = Life::of("otis").await;
    let mut conn = life.conn().await;
    let all: Vec<(String, String)> = sqlx::query_as(
        "select s.name, c.name from sqlite_schema s join pragma_table_info(s.name) c where s.type = 'table'
        and upper(c.type) = 'TEXT' and c.pk = 0 and s.name not like 'sqlite%' and s.name not in ('records', '_sqlx_migrations')
        and not exists (select 1 from pragma_foreign_key_list(s.name) f where f.\"from\" = c.name)
        and s.sql not like '%(' || c.name || ' in (%' and s.sql not like '%(' || c.name || ' glob%'
        and c.name not like '%\\_hash' escape '\\' and c.name not like '%\\_code' escape '\\' order by 1, 2",
    )
    .fetch_all(&mut conn)
    .await
    .unwrap();
    let known = |table: &str, column: &str| {
        let words = WORDS
            .iter()
            .any(|(t, all)| *t == table && all.contains(&column));
        let none = NO_WORDS.contains(&(table, column));
        assert!(!(words && none), "{table}.{column} is in both lists");
        words || none
    };
    let open: Vec<&(String, String)> = all.iter().filter(|(t, c)| !known(t, c)).collect();
    assert!(
        open.is_empty(),
        "neither looked through nor left out: {open:?}"
    );
    assert!(all.len() > 80, "{}", all.len());
}

#[tokio::test]
async fn nothing_of_a_forgotten_member_is_found_in_the_file_or_its_bytes() {
    for sign_in in ["otis", "delia"] {
        let life = Life::of(sign_in).await;
        life.lived().await;
        let planted = life.named_everywhere().await;
        assert!(planted >= 30, "{planted} columns bear the name");
        let mut conn = life.conn().await;
        let before = needles_in(&mut conn, &life.before).await;
        assert!(before.len() >= 40, "{before:?}");
        conn.close().await.unwrap();
        forget(&life, None).await.unwrap();
        let mut conn = life.conn().await;
        let after = needles_in(&mut conn, &life.before).await;
        assert!(after.is_empty(), "{sign_in}: {after:#?}");
        conn.close().await.unwrap();
        // Not even the log that the server still writes holds any of it, nor the file once it is closed.
        let beside = life.path.with_file_name("life.db-wal");
        assert_eq!(found_in(&beside, &life.before), Vec::<String>::new());
        let path = life.close().await;
        assert_eq!(found_in(&path, &life.before), Vec::<String>::new());
    }
}

#[tokio::test]
async fn the_name_kept_for_the_books_is_the_only_one_left_and_goes_on_its_day() {
    let life = Life::of("otis").await;
    life.lived().await;
    let day = life.zone.local(life.at).0.plus_days(2);
    forget(&life, Some(day)).await.unwrap();
    let mut conn = life.conn().await;
    let found = needles_in(&mut conn, &life.before).await;
    assert!(
        !found.is_empty() && found.iter().all(|at| at.starts_with("kept_names.name")),
        "{found:?}"
    );
    conn.close().await.unwrap();
    for (days, left) in [(2, true), (3, false)] {
        let at = life.at.plus(days * 86_400);
        rounds::due(&life.reader, &life.writer, &life.ids, at)
            .await
            .unwrap();
        let mut conn = life.conn().await;
        assert_eq!(!needles_in(&mut conn, &life.before).await.is_empty(), left);
        conn.close().await.unwrap();
    }
    let path = life.close().await;
    assert_eq!(found_in(&path, &life.before), Vec::<String>::new());
}

/// The files of the whole book.
async fn book(life: &Life) -> Vec<(String, String)> {
    let mut snapshot = life.reader.snapshot().await.unwrap();
    let files = whole_books::files(&mut snapshot).await.unwrap();
    let named = files.into_iter().map(|f| (f.name, f.text));
    named.collect()
}

/// A cell that is a number: its row, its column, the number.
type Figure = (usize, usize, String);

/// Every cell that is a number.
fn figures(text: &str) -> Vec<Figure> {
    let mut out = Vec::new();
    let rows = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes())
        .into_records();
    for (row, record) in rows.enumerate() {
        for (column, cell) in record.unwrap().iter().enumerate() {
            if cell.parse::<f64>().is_ok() {
                out.push((row, column, cell.to_owned()));
            }
        }
    }
    out
}

#[tokio::test]
async fn the_books_still_hold_every_figure_and_are_as_they_were_written() {
    let life = Life::of("otis").await;
    life.lived().await;
    let sound = differs(&life).await;
    assert!(sound.is_empty(), "{sound:#?}");
    let before = book(&life).await;
    assert!(before.iter().any(|(_, text)| text.contains(NAME)));
    forget(&life, None).await.unwrap();
    let found = differs(&life).await;
    assert!(found.is_empty(), "{found:#?}");
    let after = book(&life).await;
    let mut many = 0;
    for ((name, was), (also, is)) in before.iter().zip(&after) {
        assert_eq!(name, also);
        assert!(!is.contains(NAME), "{name}");
        if name.contains(".csv") {
            // What the member agreed to, on the card, goes with the name.
            let own = |(_, column, _): &Figure| name != "members.csv" || *column == 0;
            let of =
                |text: &str| -> Vec<Figure> { figures(text).into_iter().filter(own).collect() };
            assert_eq!(of(was), of(is), "{name}");
            many += of(is).len();
        }
    }
    assert!(many > 1000, "{many}");
    // For `tests/reference/books_again.py`: the same divisions come out of it.
    let packed = {
        let mut snapshot = life.reader.snapshot().await.unwrap();
        let files = whole_books::files(&mut snapshot).await.unwrap();
        whole_books::zipped(&files, false).unwrap()
    };
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("books");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("forgotten.zip"), packed).unwrap();
    // Written anew by the program that is started next, nothing comes to light either.
    let path = life.close().await;
    let (writer, reader) = store::open(&path).await.unwrap();
    let again = {
        let mut snapshot = reader.snapshot().await.unwrap();
        verify(&mut snapshot).await.unwrap()
    };
    assert!(again.differs.is_empty(), "{:#?}", again.differs);
    reader.close().await;
    writer.close().await;
}

#[tokio::test]
async fn a_second_member_is_forgotten_out_of_the_same_records() {
    let life = Life::of("otis").await;
    life.lived().await;
    let other = life.other().await;
    forget(&life, None).await.unwrap();
    let hashing = Hashing::new();
    let new = NewForgetting {
        words: Vec::new(),
        keep_until: None,
    };
    let proof = Proof {
        hashing: &hashing,
        passphrase: Passphrase::typed(PASSPHRASE),
    };
    forgetting::forget(&life.act(), other, new, proof)
        .await
        .unwrap();
    let found = differs(&life).await;
    assert!(found.is_empty(), "{found:#?}");
    let mut conn = life.conn().await;
    let twice: i64 = sqlx::query_scalar(
        "select count(*) from (select record from forgotten_rows group by record having count(distinct member_id) > 1)",
    )
    .fetch_one(&mut conn)
    .await
    .unwrap();
    assert!(twice > 0, "no record lost two names");
    let says: Vec<String> =
        sqlx::query_scalar("select says from ledger where says like '%together%'")
            .fetch_all(&mut conn)
            .await
            .unwrap();
    assert_eq!(says.len(), 1);
    assert!(
        !says[0].contains("Nell") && says[0].matches("Member ").count() == 2,
        "{says:?}"
    );
}

/// What is done round the triggers after a member was forgotten, and words that must stand in what is found.
type Case = (&'static str, &'static [&'static str]);

#[rustfmt::skip] // one case a line
const CASES: &[Case] = &[
    ("delete from forgotten_rows where number = 1", &["note that record", "lost the name of member", "is gone from the book"]),
    ("delete from forgotten_rows", &["is not as it was written", "is gone from the book"]),
    ("update forgotten_rows set digest = replace(digest, substr(digest, 1, 1), '0') where number = 1", &["note that record", "digest"]),
    ("delete from forgotten", &["forgetting of member", "(forgotten) is gone from the book"]),
    ("update forgotten set at = at - 86400", &["forgetting of member", "(forgotten): time"]),
    ("update forgotten set by_id = (select id from members where number = 20)", &["forgetting of member", "who wrote it member 20"]),
    ("insert into forgotten select id, id, 1791000000 from members where number = 20", &["forgetting of member 20", "was added by hand"]),
    // a row changed after it lost the name
    ("update ledger set cents = cents + 1 where says like '%Member %'", &["line", "money", "when it was written"]),
    ("update ledger set says = 'paid in full' where says like '%Member %'", &["says “paid in full” in the book"]),
    ("update member_names set name = 'Zebedee Quillfeather' where name like 'Member %'", &["name “Zebedee Quillfeather” in the book", "“Member "]),
    ("update members set name = 'Zebedee Quillfeather' where name like 'Member %'", &["name “Zebedee Quillfeather” in the book"]),
    ("update members set email = 'zeb@quillfeather.example' where name like 'Member %'", &["e-mail “zeb@quillfeather.example” in the book, nothing when"]),
    // a record changed after it lost the name, or the name put back into it
    ("update records set content = replace(content, 'Member ', 'Number ') where number = (select record from forgotten_rows where number = 1)", &["is not as it was written"]),
    ("update records set content = json_set(content, '$.name', 'Zebedee Quillfeather') where what = 'members' and number = (select max(record) from forgotten_rows f join records r on r.number = f.record where r.what = 'members')", &["is not as it was written"]),
    ("update records set content = json_set(content, '$.cents', 1) where what = 'ledger' and number = (select min(f.record) from forgotten_rows f join records r on r.number = f.record where r.what = 'ledger')", &["is not as it was written"]),
    // a name taken out without its being noted
    ("update members set name = 'Member 20' where number = 20", &["name “Member 20” in the book"]),
    ("update member_names set name = 'Member 20' where member_id = (select id from members where number = 20)", &["name 1 of member 20", "name “Member 20” in the book"]),
    ("update records set content = json_set(content, '$.name', 'Member 20') where what = 'member_names' and content like '%' || (select id from members where number = 20) || '%'", &["is not as it was written"]),
    ("update hand_overs set signed_by = 'Member 20' where number = 1", &["hand-over 1 to member", "given to “Member 20” in the book"]),
    // the guards themselves
    ("drop view forgetting; create view forgetting as select id as member_id from members", &["The view “forgetting” is not the program’s"]),
    ("drop table kept_names", &["The table “kept_names”, which holds kept names, was dropped by hand"]),
];

#[tokio::test]
async fn whatever_else_is_changed_after_a_forgetting_is_told_in_words() {
    let life = Life::of("otis").await;
    life.lived().await;
    forget(&life, None).await.unwrap();
    let path = life.close().await;
    let round = |&(sql, words): &Case| (Hand::RoundTheTriggers, sql, words);
    all_told(&path, CASES.iter().map(round)).await;
}

/// What the file itself refuses, whoever writes to it: the name goes only while a member is being forgotten, and nothing but words
/// goes with it.
#[tokio::test]
async fn the_file_lets_nothing_but_words_change_and_that_only_while_somebody_is_forgotten() {
    const FORGETS: &str =
        "insert into forgotten select id, id, 1791000000 from members where number = 20";
    let life = Life::of("otis").await;
    for (also, sql, refused) in [
        (
            "",
            "update ledger set says = 'x'",
            Some("a ledger line is never changed"),
        ),
        (FORGETS, "update ledger set says = 'x'", None),
        (
            FORGETS,
            "update ledger set cents = 0",
            Some("a ledger line is never changed"),
        ),
        (
            FORGETS,
            "update ledger set says = 'x', grams = grams + 1",
            Some("a ledger line is never changed"),
        ),
        (
            "",
            "update member_names set name = 'x'",
            Some("a name that was borne stands"),
        ),
        (FORGETS, "update member_names set name = 'x'", None),
        (
            FORGETS,
            "update member_names set at = 1",
            Some("a name that was borne stands"),
        ),
        (
            FORGETS,
            "update records set content = '{}' where digest <> ''",
            Some("what was written stands"),
        ),
        (
            FORGETS,
            "delete from records",
            Some("what was written stands"),
        ),
        (
            FORGETS,
            "delete from ledger",
            Some("a ledger line is never deleted"),
        ),
        (FORGETS, "update hand_overs set signed_by = 'x'", None),
        (
            FORGETS,
            "update hand_overs set number = number + 100",
            Some("a hand-over stands"),
        ),
        (
            FORGETS,
            "update shares set weight = weight + 1",
            Some("a share stands"),
        ),
        (
            FORGETS,
            "delete from forgotten",
            Some("a member who was forgotten stays so"),
        ),
    ] {
        let mut tx = life.writer.begin().await.unwrap();
        if !also.is_empty() {
            sqlx::raw_sql(also).execute(&mut *tx).await.unwrap();
        }
        let done = sqlx::raw_sql(sql).execute(&mut *tx).await;
        match (done, refused) {
            (Ok(_), None) => {}
            (Err(error), Some(words)) => {
                assert!(error.to_string().contains(words), "{sql}: {error}");
            }
            (done, refused) => panic!("{also}; {sql}: {done:?}, not {refused:?}"),
        }
        drop(tx);
    }
}

#[tokio::test]
async fn whoever_is_owed_something_or_has_not_left_is_not_forgotten_and_the_rest_is_refused_in_words()
 {
    let life = Life::of("otis").await;
    let refused = |done: Result<(), Stop>| match done {
        Err(Stop::RuleRefusal(refusal)) => refusal.sentence,
        other => panic!("{other:?}"),
    };
    life.owes().await;
    let said = refused(forget(&life, None).await);
    assert!(said.contains("has not left"), "{said}");
    assert!(said.contains("Not settled yet: $5.00 to pay"), "{said}");
    assert!(
        said.contains("1 place on a waiting list is still held"),
        "{said}"
    );
    assert!(said.contains("The season of 2026 is not closed"), "{said}");
    life.lived().await;
    life.co_op_names_the_member(true).await;
    let said = refused(forget(&life, None).await);
    assert!(
        said.contains("The co-op’s own card names this member"),
        "{said}"
    );
    life.co_op_names_the_member(false).await;
    let over = life.zone.local(life.at).0.plus_days(-1);
    let said = refused(forget(&life, Some(over)).await);
    assert!(said.contains("That day is over"), "{said}");
    forget(&life, None).await.unwrap();
    let said = refused(forget(&life, None).await);
    assert!(said.contains("was forgotten"), "{said}");
    let back = members::take_back(&life.act(), life.member).await.map(drop);
    assert!(refused(back).contains("was forgotten"));
}
