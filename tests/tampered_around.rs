//! What stands around the books, changed by hand: who means to come, who was let in, what was typed in, what the program notes of its
//! backups and of its own steps; and whole tables taken away. Each is told in words.

use crate::tampering::Hand::{Plain, RoundTheTriggers};
use crate::tampering::{Case, all_told, base, verified};
use canewright::store::marks;
use canewright::store::records::COVERED;

#[rustfmt::skip] // one case a line
const CASES: &[Case] = &[
    // who was let in, and what was typed in
    (RoundTheTriggers, "insert into typed_in select 'k', 'open_ticket', '/x', id, made_by, made_by, made_at from tickets limit 1", &["note that member", "wrote on paper", "was added by hand"]),
    (Plain, "insert into typed_in select 'k', 'open_ticket', '/x', id, made_by, made_by, made_at from tickets limit 1", &["note that member", "made by hand, not by the program"]),
    (RoundTheTriggers, "insert into invites select 'i', id, 'h', id, 1, 2, null from members where number = 1", &["invitation of member 1", "was added by hand"]),
    (RoundTheTriggers, "insert into sessions values ('h', (select id from members where number = 1), 1791000000, 1791000000, 1799000000, '')", &["sign-in of member 1", "was added by hand"]),
    (RoundTheTriggers, "insert into feeds values ('f', (select id from members where number = 5), 'h', (select id from members where number = 1), 1, null)", &["calendar address of member 5", "was added by hand"]),
    // who means to come
    (RoundTheTriggers, "update turns set member_id = (select id from members where number = 20) where id = (select id from turns where state = 'held' and member_id <> (select id from members where number = 20) limit 1)", &["turn of member", "in the book, member", "belongs to member 20"]),
    (RoundTheTriggers, "update turns set no_show_at = 1791000000 where id = (select id from turns limit 1)", &["turn of member", "did not come"]),
    (RoundTheTriggers, "delete from turn_events where version = 1", &["note 1 of the turn of member", "is gone from the book"]),
    (RoundTheTriggers, "update planting_versions set row_m = row_m * 2", &["planting of member", ", version 1: length of the rows", " m in the book"]),
    (RoundTheTriggers, "update plantings set member_id = (select id from members where number = 20)", &["planting of member", "belongs to member 20"]),
    (RoundTheTriggers, "delete from plantings", &["planting of member", "is gone from the book"]),
    (RoundTheTriggers, "insert into roster select id, 60, 'feed', 480, 600, null, (select id from members where number = 1), 1 from press_days limit 1", &["line 60 of the roster of press day", "was added by hand"]),
    (RoundTheTriggers, "insert into day_answers select id, (select id from members where number = 5), '2026-12-24', 1, 0, null, null, (select id from members where number = 1), 1 from seasons", &["answer of member 5", "for Thu 24 Dec 2026", "was added by hand"]),
    (RoundTheTriggers, "insert into possible_days select 'p', id, '2026-12-24', 480, 960, 100000, 10, (select id from members where number = 1), 1 from seasons", &["possible day Thu 24 Dec 2026", "was added by hand"]),
    (RoundTheTriggers, "insert into member_tasks select id, 'boil' from members where number = 21", &["task “boil” of member 21", "was added by hand"]),
    (RoundTheTriggers, "insert into notices (id, member_id, kind, mark, subject, words, made_at) select 'n', id, 'coming', 'm', 's', 'w', 1 from members where number = 5", &["notice to member 5", "was added by hand"]),
    (RoundTheTriggers, "insert into waiting (id, press_day_id, member_id, rank, cane_g, told_as, told_amount, state, made_by, made_at) select 'w', p.id, m.id, 900, 1000, 'weight', 1000, 'waiting', m.id, 1 from press_days p, members m where m.number = 5 limit 1", &["place of member 5", "on the waiting list of press day", "was added by hand"]),
    // what people were told, and where it went
    (RoundTheTriggers, "update notices set words = 'You owe 900 dollars'", &["notice to member", "words “You owe 900 dollars” in the book, “", "when it was written"]),
    (RoundTheTriggers, "update notices set subject = 'You owe money'", &["notice to member", "subject “You owe money” in the book"]),
    (RoundTheTriggers, "update letters set address = 'sly@else.example'", &["letter of the notice to member", "address “sly@else.example” in the book"]),
    // how somebody signs in
    (RoundTheTriggers, "insert into second_factors select id, 'BBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBB', 1791000000, 0, '' from members where number = 1", &["second factor of member 1", "was added by hand"]),
    (RoundTheTriggers, "update second_factors set secret = 'BBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBB'", &["second factor of member 2", "its secret is another one than when it was written"]),
    (RoundTheTriggers, "delete from recovery_codes; delete from second_factors", &["second factor of member 2", "recovery code of member 2", "is gone from the book"]),
    (RoundTheTriggers, "insert into recovery_codes select id, 'c0de2', null from members where number = 2", &["recovery code of member 2", "was added by hand"]),
    (RoundTheTriggers, "update recovery_codes set used_at = 1791000000 where code_hash = 'c0de'", &["recovery code of member 2", "used"]),
    // the minutes that turns hold
    (RoundTheTriggers, "delete from booked_minutes", &["turn of member", "other minutes are held for it, so that some may be given away twice"]),
    (RoundTheTriggers, "update booked_minutes set minute = 5 where minute = (select max(minute) from booked_minutes)", &["turn of member", "other minutes are held for it"]),
    (RoundTheTriggers, "insert into booked_minutes select id, 0, 'nobody', null from press_days limit 1", &["minutes are held for no turn and no offer that stands"]),
    // what the program notes of itself
    (RoundTheTriggers, "insert into upkeep (kind, good, at, words) values ('backup', 1, 1791000000, 'copied') on conflict do update set at = excluded.at", &["note of the last backup that went well"]),
    (RoundTheTriggers, "insert into restores values (1, 1791000000, 'mill.db', null, null, '')", &["restore 1: the backup “mill.db” was put in place of the database was added by hand"]),
    (RoundTheTriggers, "insert into restores values (1, 1, 'm', null, null, ''); insert into restore_gaps values ('tickets', 2026, 1, 2, 120, 121, 121)", &["restore 1: tickets of 2026: 2 are missing (120 to 121); the next is 122 was added by hand"]),
    (RoundTheTriggers, "insert into restores values (1, 1, 'm', null, null, ''); insert into restore_lost values (1, 'season_locks', 'made', '2026', 1)", &["restore 1: locks of seasons, or lifted ones: 1 was added (2026) was added by hand"]),
    (RoundTheTriggers, "insert into restores values (1, 1, 'm', null, null, ''); insert into restore_forgotten select 1, id, 1 from members where number = 5", &["restore 1: member 5", "had been forgotten and came back was added by hand"]),
    (RoundTheTriggers, "insert into restores values (1, 1, 'm', null, null, ''); insert into restores_read select 1, id, 1 from members where number = 1", &["restore 1: a steward has seen to it was added by hand"]),
    // a record that is written over with another table's name
    (RoundTheTriggers, "update records set what = 'recall_calls' where number = (select min(number) from records where what = 'loads' and op = 'made')", &["(call ? of an unknown recall) is not as it was written"]),
    (RoundTheTriggers, "update _sqlx_migrations set checksum = x'00' where version = 7", &["The note that this file was brought to step 7 of the program is not as the program writes it"]),
    (RoundTheTriggers, "delete from _sqlx_migrations where version = 7", &["The note that this file was brought to step 7 of the program is gone"]),
    (RoundTheTriggers, "insert into _sqlx_migrations values (6, 'x', 0, 1, x'00', 0) on conflict do nothing; update _sqlx_migrations set version = 0 where version = 6", &["was brought to step 6 of the program is gone", "was brought to step 0 of the program was added by hand"]),
    // within one minute
    (RoundTheTriggers, "update boils set lit_at = lit_at - lit_at % 60 + 7", &["lit at", ":07 in the book"]),
    // whole tables
    (Plain, "drop table lot_looks", &["The table “lot_looks”, which holds looks at lots, was dropped by hand", "With the table “lot_looks” all looks at lots are gone", "a part of the book is gone"]),
    (Plain, "drop table feeds", &["The table “feeds”, which holds calendar addresses, was dropped by hand"]),
    (Plain, "drop table records", &["The table “records”, which holds records, was dropped by hand", "a part of the book is gone"]),
    (Plain, "drop table coop", &["The table “coop”, which holds the co-op’s card, was dropped by hand", "a part of the book is gone"]),
];

#[tokio::test]
async fn what_stands_around_the_books_is_told_as_well() {
    let base = base().await;
    let sound = verified(&base.path).await;
    assert!(sound.differs.is_empty(), "{:#?}", sound.differs);
    all_told(&base.path, CASES.iter().copied()).await;
}

/// What merely passes is nobody's tampering: a sign-in that is used, a pulse.
#[tokio::test]
async fn what_passes_all_the_time_is_not_noted() {
    let base = base().await;
    let before = verified(&base.path).await.records;
    let (writer, reader) = canewright::store::open(&base.path).await.unwrap();
    let mut tx = writer.begin().await.unwrap();
    for sql in [
        "insert into upkeep (kind, good, at, words) values ('pulse', 1, 1791000000, 'runs')",
        "update upkeep set at = 1791000060 where kind = 'pulse'",
        "update sessions set seen_at = seen_at + 60",
        "update probes set last_at = 1791000000, last_c = 99.5",
        "update letters set tries = tries + 1",
        "update second_factors set last_step = last_step + 1",
    ] {
        sqlx::raw_sql(sql).execute(&mut *tx).await.unwrap();
    }
    tx.commit().await.unwrap();
    reader.close().await;
    writer.close().await;
    let after = verified(&base.path).await;
    assert_eq!(after.records, before);
    assert!(after.differs.is_empty(), "{:#?}", after.differs);
}

/// Facts are kept from page to page until a table that they are read from is written to; what is quiet has to be covered all the same.
#[tokio::test]
async fn a_booking_leaves_what_is_kept_and_a_vessel_only_what_is_not_read_from_vessels() {
    let base = base().await;
    let (writer, reader) = canewright::store::open(&base.path).await.unwrap();
    let mark = async || {
        let mut now = reader.snapshot().await.unwrap();
        marks::mark().ask(&mut now).await.unwrap().unwrap()
    };
    let written = async |sql: &'static str| {
        let mut tx = writer.begin().await.unwrap();
        sqlx::raw_sql(sql).execute(&mut *tx).await.unwrap();
        tx.commit().await.unwrap();
    };
    let first = mark().await;
    written("update turns set confirmed_at = 1791000000 where id = (select max(id) from turns)")
        .await;
    assert!(mark().await.stands_since(&first, &COVERED));
    written("update vessels set retired_at = 1791000000 where id = (select max(id) from vessels)")
        .await;
    assert!(mark().await.stands_since(&first, &["loads", "turns"]));
    assert!(!mark().await.stands_since(&first, &["loads", "vessels"]));
    let quiet = include_str!("../migrations/0079_quiet_records.sql");
    let named: Vec<&str> = quiet.split('\'').skip(1).step_by(2).collect();
    assert!(named.len() > 20, "{named:?}");
    for table in named {
        assert!(COVERED.contains(&table), "{table}");
    }
    reader.close().await;
    writer.close().await;
}
