//! Everything that people rely on, changed by hand in a copy of the demo's file, in more than forty ways: each is told, in words.
//! Whoever tampers goes round the triggers, and puts them back afterwards.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use crate::demo_file;
use canewright::actions::boil::other_rules;
use canewright::actions::season::hours::{self, NewHours};
use canewright::actions::season::seasons::{self, NewRules};
use canewright::actions::shares::divisions;
use canewright::actions::{Act, Actor, Ids};
use canewright::facts::shares::verify::{Verified, verify};
use canewright::facts::shares::whole_books;
use canewright::store;
use canewright::store::records::{COVERED, LEFT_OUT};
use canewright::units::{Cents, FormKey, LotCode, MemberId, PressDate, Role, SeasonId};
use sqlx::{AssertSqlSafe, Connection, SqliteConnection};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::AtomicU64;
use tempfile::TempDir;
use tokio::sync::OnceCell;

/// How the tampering is done.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Hand {
    /// Every trigger is dropped before and made again afterwards.
    RoundTheTriggers,
    /// The triggers stand.
    Plain,
}
use Hand::{Plain, RoundTheTriggers};

/// What is done, and words that must stand in what is found.
pub(crate) type Case = (Hand, &'static str, &'static [&'static str]);

const PAYMENT: &str = "(select min(number) from ledger where kind = 'payment')";

#[rustfmt::skip] // one case a line
const CASES: &[Case] = &[
    // money
    (RoundTheTriggers, "update ledger set cents = cents + 1 where number = PAYMENT", &["payment of member", "line", "money", "in the book", "when it was written"]),
    (RoundTheTriggers, "update ledger set grams = grams + 5 where number = 1", &["line 1 of the ledger: syrup", " g when it was written"]),
    (RoundTheTriggers, "update ledger set kind = 'answer' where number = PAYMENT", &["payment of member", "kind “line taken back” in the book, “payment”"]),
    (RoundTheTriggers, "update ledger set says = 'paid in full' where number = PAYMENT", &["says “paid in full” in the book"]),
    (RoundTheTriggers, "update ledger set member_id = (select id from members where number = 20) where number = PAYMENT", &["payment of member", "in the book, member"]),
    (RoundTheTriggers, "update ledger set by_id = (select id from members where number = 20) where number = PAYMENT", &["payment of member", "who wrote it member 20"]),
    (RoundTheTriggers, "update ledger set at = at - 86400 where number = PAYMENT", &["payment of member", "time"]),
    (RoundTheTriggers, "update ledger set answers = 1 where number = PAYMENT", &["line that it takes back 1 in the book, nothing when"]),
    (RoundTheTriggers, "update ledger set jar_move = 1 where number = PAYMENT", &["payment of member", "number of its note on jars 1 in the book, nothing when"]),
    (RoundTheTriggers, "delete from ledger where number = PAYMENT", &["payment of member", "is gone from the book", "the ledger has no line"]),
    (RoundTheTriggers, "delete from ledger where number = (select max(number) from ledger)", &["is gone from the book"]),
    (RoundTheTriggers, "insert into ledger (number, season_id, member_id, kind, cents, says, by_id, at) select max(number) + 1, season_id, (select id from members where number = 5), 'payment', -9900, 'paid', by_id, at from ledger", &["payment of member 5", "was added by hand"]),
    (Plain, "insert into ledger (number, season_id, member_id, kind, cents, says, by_id, at) select max(number) + 1, season_id, (select id from members where number = 5), 'payment', -9900, 'paid', by_id, at from ledger", &["payment of member 5", "made by hand, not by the program"]),
    (RoundTheTriggers, "update ledger set number = -1 where number = 3; update ledger set number = 3 where number = 4; update ledger set number = 4 where number = -1", &["line 3 of the ledger", "line 4 of the ledger"]),
    (RoundTheTriggers, "update payments set paid_on = '2026-01-01' where receipt = 1", &["payment on receipt 1", "paid on Thu 1 Jan 2026 in the book"]),
    (RoundTheTriggers, "delete from payments where receipt = 1", &["payment on receipt 1", "is gone from the book"]),
    // hours and losses
    (RoundTheTriggers, "update hours set minutes = minutes * 2", &["hours of member", "minutes 240 in the book, 120 when"]),
    (RoundTheTriggers, "update hours set worked_on = '2026-10-01'", &["hours of member", "worked on Thu 1 Oct 2026 in the book"]),
    (RoundTheTriggers, "delete from hours", &["hours of member", "is gone from the book"]),
    (RoundTheTriggers, "insert into losses (boil_id, what, lost_g, whole, why, by_id, at) select id, 'spilled', 500, 0, 'spilt', cook_id, lit_at from boils limit 1", &["loss of lot", "was added by hand"]),
    (RoundTheTriggers, "update juice_losses set amount_g = amount_g + 500", &["lost juice of ticket", "amount"]),
    (RoundTheTriggers, "delete from juice_losses", &["lost juice of ticket", "is gone from the book"]),
    (RoundTheTriggers, "update ticket_ends set unpressed = 0", &["end of ticket", "not pressed no in the book, yes when"]),
    (RoundTheTriggers, "update ticket_moves set to_member = (select id from members where number = 20)", &["move 1 of ticket", "to member member 20"]),
    (RoundTheTriggers, "delete from ticket_moves", &["move 1 of ticket", "is gone from the book"]),
    (RoundTheTriggers, "insert into losses (boil_id, what, lost_g, whole, why, by_id, at) select id, 'spilled', 500, 0, 'spilt', cook_id, lit_at from boils limit 1; insert into loss_changes (boil_id, number, what, lost_g, whole, why, by_id, at) select id, 2, 'spilled', 0, 0, 'not so', cook_id, lit_at from boils limit 1", &["loss of lot", ", line 2 was added by hand"]),
    (RoundTheTriggers, "insert into rules_not_voted select id, 'mill_mends' from season_rules limit 1", &["note that “the mill makes good what breaks” was not voted on in version", "was added by hand"]),
    (RoundTheTriggers, "update season_rules set lots_repay_pct = 7", &["part of a lot that repays others 7 % in the book"]),
    // signatures
    (RoundTheTriggers, "update station_pins set pin_hash = '$argon2id$other'", &["PIN of member", "PIN a secret marked"]),
    (Plain, "update accounts set passphrase_hash = '$argon2id$other' where sign_in = 'delia'", &["account of member", "changed by hand, not by the program"]),
    (RoundTheTriggers, "update accounts set sign_in = 'sly' where sign_in = 'delia'", &["account of member", "name to sign in with “sly” in the book, “delia” when"]),
    (RoundTheTriggers, "delete from member_jar_wishes", &["wish for jars of member", "is gone from the book"]),
    // shares and divisions
    (RoundTheTriggers, "update shares set entitled_g = entitled_g + 3, carry_g = carry_g + 3 where place = 2", &["share of member", "share of the lot", " g in the book"]),
    (RoundTheTriggers, "update shares set weight = weight + 1 where place = 2", &["share of member", "brought"]),
    (RoundTheTriggers, "update shares set favoured_at = 1 where place = 1", &["last given more than was owed"]),
    (RoundTheTriggers, "update share_jars set count = count + 1 where place = 1", &["jars", "of share 1 in division", "count"]),
    (RoundTheTriggers, "delete from share_jars where place = 1", &["of share 1 in division", "is gone from the book"]),
    (RoundTheTriggers, "update divisions set signed_by = 'x'", &["division 1 of lot", "signed by “x” in the book"]),
    (RoundTheTriggers, "update divisions set by_id = (select id from members where number = 20)", &["division 1 of lot", "who wrote it member 20"]),
    (RoundTheTriggers, "update divisions set toll_bp = 0", &["division 1 of lot", "toll 0 % in the book, 10 % when"]),
    (RoundTheTriggers, "update divisions set syrup_g = syrup_g + 100", &["division 1 of lot", "syrup"]),
    (RoundTheTriggers, "update divisions set after_line = 2", &["last line of the ledger before it 2 in the book"]),
    (RoundTheTriggers, "update divisions set way = 1", &["division 1 of lot", "way of dividing 1 in the book, 3 when it was written"]),
    (RoundTheTriggers, "update corrections set why = 'no reason'", &["correction 2 of lot", "why “no reason” in the book"]),
    // hand-overs
    (RoundTheTriggers, "update hand_overs set signed_by = 'somebody' where number = 1", &["hand-over 1 to member", "given to “somebody” in the book"]),
    (RoundTheTriggers, "update hand_overs set member_id = (select id from members where number = 20) where number = 1", &["hand-over 1 to member", "belongs to member 20"]),
    (RoundTheTriggers, "update hand_over_jars set count = count + 1 where hand_over_id = (select id from hand_overs where number = 1)", &["in hand-over 1", "count"]),
    (RoundTheTriggers, "delete from hand_over_jars; delete from hand_overs where number = 7", &["hand-over 7 to member", "is gone from the book"]),
    (RoundTheTriggers, "update hand_overs set number = -1 where number = 1; update hand_overs set number = 1 where number = 2; update hand_overs set number = 2 where number = -1", &["hand-over 1 to member", "number 2 in the book, 1 when"]),
    (RoundTheTriggers, "update jar_moves set count = count + 1", &["jars", "of lot", "that were broken, note 1 on jars", "count"]),
    (RoundTheTriggers, "update jar_moves set kind = 'missing'", &["kind “missing” in the book, “broken” when"]),
    (RoundTheTriggers, "update jar_moves set member_id = (select id from members where number = 20)", &["that were broken, note 1 on jars", "belongs to member 20"]),
    (RoundTheTriggers, "update jar_moves set kind = 'found', by_mistake = 1", &["kind “found” in the book, “broken” when", "noted as broken by mistake yes in the book, no when"]),
    (RoundTheTriggers, "delete from jar_moves", &["that were broken, note 1 on jars", "is gone from the book"]),
    (RoundTheTriggers, "update jar_moves set count = 5000", &["more left, broke or came back than were there"]),
    (RoundTheTriggers, "update empty_jars set count = 7", &["empty jars “quart”, note 1 on empty jars", "count 7 in the book, 40 when"]),
    (RoundTheTriggers, "delete from empty_jars", &["empty jars “quart”, note 1 on empty jars", "is gone from the book"]),
    (RoundTheTriggers, "update lot_looks set taste = 'sour'", &["look 1 at lot", "taste “sour” in the book, “mild” when"]),
    (RoundTheTriggers, "update colours set shade = '#ffffff' where number = 90", &["colour “amber 3” of the card", "shade “#ffffff” in the book, “#c07a1e” when"]),
    (RoundTheTriggers, "update season_locks set why = 'no reason' where number = 2", &["lock 2 of the season of 2026", "why “no reason” in the book, “a load was left out” when"]),
    (RoundTheTriggers, "delete from lot_looks", &["look 1 at lot", "is gone from the book"]),
    // what was measured
    (RoundTheTriggers, "update loads set gross_g = gross_g + 1000 where number = 1 and ticket_id = (select id from tickets where ticket = 1)", &["load 1 of ticket 1, version 1", "gross"]),
    (RoundTheTriggers, "update loads set void = 1 where ticket_id = (select id from tickets where ticket = 2)", &["of ticket 2", "crossed out yes in the book, no when"]),
    (RoundTheTriggers, "update tickets set member_id = (select id from members where number = 20) where ticket = 3", &["ticket 3 of member", "belongs to member 20"]),
    (Plain, "update tickets set frosted = 1 where ticket = 4", &["ticket 4 of member", "changed by hand, not by the program"]),
    (RoundTheTriggers, "update juice_measures set brix_1 = brix_1 + 1", &["juice of ticket 1, measure 1", "first Brix reading"]),
    (RoundTheTriggers, "update juice_measures set temp_c = temp_c + 1", &["juice of ticket 1, measure 1", "temperature", "°C in the book"]),
    (RoundTheTriggers, "update juices set pressed_at = pressed_at - 600", &["juice of ticket", "pressed at"]),
    (RoundTheTriggers, "update draws set amount_g = amount_g + 1, whole = 0", &["draw of juice of ticket", "amount"]),
    (RoundTheTriggers, "update boil_readings set temp_c = temp_c + 1 where temp_c is not null", &["reading 1 of lot", "temperature", "°C in the book"]),
    (RoundTheTriggers, "update finishes set syrup_g = syrup_g + 200", &["finish of lot", "version 1: syrup"]),
    (RoundTheTriggers, "update finishes set finished_at = finished_at + 60", &["finish of lot", "finished at"]),
    (RoundTheTriggers, "update fills set count = count + 1", &["jars 1 of lot", "count"]),
    (RoundTheTriggers, "update fills set price_cents = 0", &["jars 1 of lot", "price of an empty jar $0.00 in the book"]),
    (RoundTheTriggers, "update fills set version = 7 where number = 1 and version = 1", &["jars 1 of lot", "version 7 in the book, 1 when it was written"]),
    (RoundTheTriggers, "update hand_over_jars set net_g = net_g + 1 where hand_over_id = (select id from hand_overs where number = 1)", &["in hand-over 1: net weight"]),
    (RoundTheTriggers, "insert into fills (boil_id, number, version, size_name, net_g, count, part, price_cents, by_id, at) select id, 9, 1, 'pint', 624, 3, 0, 0, cook_id, lit_at from boils limit 1", &["jars 9 of lot", "was added by hand"]),
    (RoundTheTriggers, "update boils set lit_at = lit_at + 3600", &["lot", "lit at"]),
    (RoundTheTriggers, "update boils set rules_id = (select id from season_rules where number = 2) where rules_id <> (select id from season_rules where number = 2)", &["rules version 2 of the rules of the season of 2026 in the book, version 1"]),
    (RoundTheTriggers, "update boil_rules set why = 'because'", &["rules of lot", "why “because” in the book"]),
    (RoundTheTriggers, "update opening_checks set note = 'all well'", &["opening check", "note “all well” in the book"]),
    // rules, names, the mill
    (RoundTheTriggers, "update season_rules set toll_bp = 500 where number = 1", &["version 1 of the rules of the season of 2026", "toll 5 % in the book, 10 % when"]),
    (RoundTheTriggers, "update season_weights set late_pct = 9", &["weights of version", "late", "% in the book"]),
    (RoundTheTriggers, "update season_rules set patronage = 1", &["the margin goes back yes in the book, no when"]),
    (RoundTheTriggers, "update rules_confirmed set holds_from = '2026-11-01'", &["confirmation of version", "holds from Sun 1 Nov 2026 in the book"]),
    (RoundTheTriggers, "delete from rules_confirmed where rules_id = (select id from season_rules where number = 2)", &["confirmation of version 2", "is gone from the book"]),
    (Plain, "update jar_sizes set price_cents = 1", &["jar size", "changed by hand, not by the program"]),
    (RoundTheTriggers, "update jar_sizes set price_cents = 1", &["jar size", "price of an empty jar $0.01 in the book"]),
    (RoundTheTriggers, "update members set role = 'steward' where number = 20", &["member 20", "role “steward” in the book"]),
    (Plain, "update members set role = 'steward' where number = 20", &["member 20", "changed by hand, not by the program", "role “steward” in the book, “member” when"]),
    (RoundTheTriggers, "update members set name = 'Nobody' where number = 20", &["member 20", "name “Nobody” in the book"]),
    (RoundTheTriggers, "update member_names set name = 'Nobody' where member_id = (select id from members where number = 20)", &["name 1 of member 20", "name “Nobody” in the book"]),
    (RoundTheTriggers, "delete from member_names where member_id = (select id from members where number = 20)", &["name 1 of member 20", "is gone from the book"]),
    (RoundTheTriggers, "update press_days set date = '2026-10-04' where date = '2026-10-03'", &["press day Sat 3 Oct 2026", "date Sun 4 Oct 2026 in the book"]),
    (RoundTheTriggers, "update scales set graduation_g = graduation_g * 2", &["scale", "graduation"]),
    // what does not even read back, beside something else that is told all the same
    (RoundTheTriggers, "update coop set zone = 'Mars/Olympus'; update lot_looks set taste = 'sour'", &["The co-op’s card", "zone “Mars/Olympus” in the book", "taste “sour” in the book"]),
    (RoundTheTriggers, "update coop set units = 'cubits'; update lot_looks set taste = 'sour'", &["The co-op’s card", "units “cubits” in the book", "taste “sour” in the book"]),
    (RoundTheTriggers, "update ledger set member_id = 'nobody' where number = 1; update lot_looks set taste = 'sour'", &["line 1 of the ledger", "does not read back", "taste “sour” in the book"]),
    (RoundTheTriggers, "update shares set member_id = 'nobody' where member_id is not null and place = 2; update lot_looks set taste = 'sour'", &["share", "does not read back", "taste “sour” in the book"]),
    (RoundTheTriggers, "update press_days set date = '2026-13-40' where date = '2026-10-03'; update lot_looks set taste = 'sour'", &["press day", "date “2026-13-40” in the book", "does not read back", "taste “sour” in the book"]),
    (RoundTheTriggers, "update loads set gross_g = -5 where number = 1; update lot_looks set taste = 'sour'", &["load 1 of ticket", "taste “sour” in the book"]),
    (RoundTheTriggers, "update coop set zone = 'America/New_York'", &["The co-op’s card", "zone “America/New_York” in the book"]),
    // the records themselves, and what keeps them
    (RoundTheTriggers, "update records set content = replace(content, '1000', '2000') where what = 'season_rules'", &["is not as it was written"]),
    (RoundTheTriggers, "update records set digest = case when digest like 'f%' then 'e' else 'f' end || substr(digest, 2) where number = 100", &["Record 101", "is not as it was written"]),
    (RoundTheTriggers, "delete from records where number = 50", &["Record 50 is gone"]),
    (RoundTheTriggers, "delete from records where number > (select max(number) - 3 from records)", &["The last records are gone"]),
    (RoundTheTriggers, "update records set number = -1 where number = 60; update records set number = 60 where number = 61; update records set number = 61 where number = -1", &["Record 60", "is not as it was written"]),
    (RoundTheTriggers, "update records set by_id = (select id from members where number = 20) where number = (select max(number) from records)", &["is not as it was written"]),
    (Plain, "drop trigger ledger_stand", &["What keeps lines of the ledger from being changed (trigger “ledger_stand”) was dropped by hand"]),
    (Plain, "drop trigger record_ledger_made", &["What notes lines of the ledger when they are made (trigger “record_ledger_made”) was dropped by hand"]),
    (Plain, "drop trigger shares_stay; create trigger shares_stay before delete on shares begin select 1; end", &["What keeps shares of divisions from being deleted (trigger “shares_stay”) is not the program’s"]),
    (Plain, "drop view latest_divisions; create view latest_divisions as select d.* from divisions d", &["The view “latest_divisions” is not the program’s"]),
    (Plain, "create trigger sly after insert on ledger begin select 1; end", &["The trigger “sly” was added by hand"]),
];

pub(crate) struct Base {
    _folder: TempDir,
    pub(crate) path: PathBuf,
}

static BASE: OnceCell<Vec<u8>> = OnceCell::const_new();

/// The demo, with hours worked, a boil moved to other rules, and a lot open for a correction.
pub(crate) async fn base() -> Base {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("base.db");
    std::fs::write(&path, BASE.get_or_init(make_base).await).unwrap();
    Base {
        _folder: folder,
        path,
    }
}

async fn make_base() -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("base.db");
    let at = demo_file::write(&path).await;
    let (writer, reader) = store::open(&path).await.unwrap();
    let one = async |sql: &'static str| -> String {
        let mut snapshot = reader.snapshot().await.unwrap();
        sqlx::query_scalar(sql)
            .fetch_one(&mut *snapshot)
            .await
            .unwrap()
    };
    let steward =
        one("select id from members where role = 'steward' order by number limit 1").await;
    let season = SeasonId::parse(&one("select id from seasons").await).unwrap();
    // The demo counted its own ids from nothing.
    let ids = Ids::Counted(Arc::new(AtomicU64::new(1 << 40)));
    let act = || Act {
        writer: writer.clone(),
        reader: reader.clone(),
        at,
        form: FormKey::new(ids.next(at)).into(),
        ids: ids.clone(),
        actor: Actor {
            id: MemberId::parse(&steward).unwrap(),
            role: Role::Steward,
        },
    };
    let mut rules = NewRules::defaults();
    rules.hour = Cents::new(1500);
    rules.hours_most = 10;
    let from = PressDate::parse("2026-10-10").unwrap();
    seasons::change_rules(&act(), season, 2, rules)
        .await
        .unwrap();
    seasons::confirm(&act(), season, 3, from).await.unwrap();
    let member = MemberId::parse(&steward).unwrap();
    let worked = NewHours {
        season,
        minutes: 120,
        what: "washed the pan".to_owned(),
        on: None,
    };
    hours::note_hours(&act(), member, worked).await.unwrap();
    let open = one(
        "select lot_code from boils where id not in (select boil_id from divisions) order by lit_at limit 1",
    );
    let open = LotCode::parse(&open.await).unwrap();
    other_rules::move_to_rules(&act(), &open, 1, "voted so".to_owned())
        .await
        .unwrap();
    let divided = one(
        "select b.lot_code from boils b join divisions d on d.boil_id = b.id order by b.lit_at desc limit 1",
    );
    let divided = LotCode::parse(&divided.await).unwrap();
    divisions::open_correction(&act(), &divided, "a jar was miscounted")
        .await
        .unwrap();
    more_rows(&writer).await;
    reader.close().await;
    writer.close().await;
    std::fs::read(&path).unwrap()
}

/// What the demo does without: juice that was lost, cane that was not pressed, a ticket moved, a PIN, a wish for jars.
async fn more_rows(writer: &store::Writer) {
    const ROWS: &str = "insert into juice_losses select id, 1, 1, 900, 'spilt', '', pressed_at, made_by, made_at from juices
        where id not in (select d.juice_id from draws d join divisions v on v.boil_id = d.boil_id) limit 1;
        insert into ticket_ends select id, 1, 1, 'fed to the cows', made_by, made_at from tickets limit 1;
        insert into ticket_moves select t.id, 1, t.member_id, null, m.id, null, t.made_by, t.made_at
        from tickets t, members m where m.number = 7 limit 1;
        insert into second_factors select id, 'AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA', made_at, 0, '22a48051594c1949deed7040850c1f0f8764537f5191be56732d16a54c1d8153'
        from members where number = 2;
        insert into recovery_codes select id, 'c0de', null from members where number = 2;
        insert or ignore into letters (notice_id, address, next_at) select id, 'amos@trout.example', 1791000000 from notices limit 1;
        insert or ignore into station_pins select id, '$argon2id$invented', id, made_at from members where number = 2;
        insert into lot_looks select id, 1, 78.5, 24, 'amber 3', 'mild', null, '', cook_id, lit_at from boils limit 1;
        insert into season_locks select id, 1, 1, 'taken', (select id from members where number = 1), 1791000000 from seasons limit 1;
        insert into season_locks select id, 2, 0, 'a load was left out', (select id from members where number = 1), 1791000600 from seasons limit 1;
        insert into colours values (90, 'amber 3', '#c07a1e', null);
        insert into empty_jars select 1, 'quart', 1, 40, '', made_by, made_at from tickets limit 1;
        insert into jar_moves (number, kind, boil_id, size_name, net_g, part, member_id, count, why, by_id, at)
        select 1, 'broken', d.boil_id, j.size_name, j.net_g, j.part, s.member_id, 1, 'It fell', d.by_id, d.at
        from share_jars j join shares s on s.division_id = j.division_id and s.place = j.place
        join latest_divisions d on d.id = j.division_id where j.count > (select coalesce(sum(g.count), 0) from jars_gone g
        where g.boil_id = d.boil_id and g.member_id is s.member_id and g.net_g = j.net_g and g.part = j.part)
        and not exists (select 1 from corrections c where c.boil_id = d.boil_id) limit 1;
        insert or ignore into member_jar_wishes select id, 624 from members where number = 9;";
    let mut tx = writer.begin().await.unwrap();
    sqlx::raw_sql(ROWS).execute(&mut *tx).await.unwrap();
    tx.commit().await.unwrap();
}

pub(crate) async fn verified(path: &Path) -> Verified {
    let reader = store::open_to_read(path).await.unwrap();
    let mut snapshot = reader.snapshot().await.unwrap();
    let found = verify(&mut snapshot).await.unwrap();
    drop(snapshot);
    reader.close().await;
    found
}

async fn run(conn: &mut SqliteConnection, sql: &str) {
    let ran = sqlx::raw_sql(AssertSqlSafe(sql.to_owned()))
        .execute(conn)
        .await;
    ran.unwrap_or_else(|error| panic!("{sql}: {error}"));
}

/// Tampers with a copy of a file in each of the ways, and wants each told with its words.
pub(crate) async fn all_told(path: &Path, cases: impl ExactSizeIterator<Item = Case>) {
    let copy = path.with_file_name("copy.db");
    let (of, mut untold) = (cases.len(), Vec::new());
    for (hand, sql, words) in cases {
        std::fs::copy(path, &copy).unwrap();
        tamper(&copy, hand, sql).await;
        let said = verified(&copy).await.differs.join("\n");
        let missing: Vec<&&str> = words.iter().filter(|w| !said.contains(**w)).collect();
        if said.is_empty() || !missing.is_empty() {
            let start: String = said.chars().take(700).collect();
            untold.push(format!("{sql}\n  not said: {missing:?}\n  said: {start}"));
        }
    }
    assert!(
        untold.is_empty(),
        "{} of {of}:\n{}",
        untold.len(),
        untold.join("\n")
    );
}

pub(crate) async fn tamper(path: &Path, hand: Hand, sql: &str) {
    let mut conn = SqliteConnection::connect(&format!("sqlite:{}", path.display()))
        .await
        .unwrap();
    run(
        &mut conn,
        "pragma foreign_keys = off; pragma ignore_check_constraints = on",
    )
    .await;
    let triggers: Vec<(String, String)> =
        sqlx::query_as("select name, sql from sqlite_schema where type = 'trigger'")
            .fetch_all(&mut conn)
            .await
            .unwrap();
    if hand == RoundTheTriggers {
        for (name, _) in &triggers {
            run(&mut conn, &format!("drop trigger {name}")).await;
        }
    }
    run(&mut conn, &sql.replace("PAYMENT", PAYMENT)).await;
    if hand == RoundTheTriggers {
        for (_, sql) in &triggers {
            run(&mut conn, sql).await;
        }
    }
    conn.close().await.unwrap();
}

/// Writes the whole book for `tests/reference/books_again.py`.
#[tokio::test]
async fn the_whole_book_of_the_demo_is_packed_with_every_division() {
    let base = base().await;
    let reader = store::open_to_read(&base.path).await.unwrap();
    let files = {
        let mut snapshot = reader.snapshot().await.unwrap();
        whole_books::files(&mut snapshot).await.unwrap()
    };
    reader.close().await;
    let lines = |name: &str| {
        let file = files.iter().find(|f| f.name == name).unwrap();
        csv::Reader::from_reader(file.text.as_bytes())
            .records()
            .map(Result::unwrap)
            .count()
    };
    assert!(lines("divisions.csv") >= 3, "{}", lines("divisions.csv"));
    assert!(lines("loads.csv") > 10 && lines("ledger.csv") > 30);
    let packed = whole_books::zipped(&files, false).unwrap();
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("books");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("demo.zip"), packed).unwrap();
}

#[tokio::test]
async fn every_table_is_covered_or_left_out_for_a_reason() {
    let made = store::schema_as_made().await.unwrap();
    let tables = made.iter().filter(|(kind, _, _)| kind == "table");
    let open: Vec<&String> = tables
        .map(|(_, name, _)| name)
        .filter(|name| {
            let covered = COVERED.contains(&name.as_str());
            let left_out = LEFT_OUT.iter().any(|(out, _)| out == name);
            covered == left_out
        })
        .collect();
    assert!(open.is_empty(), "neither covered nor left out: {open:?}");
}

/// Asserts that `verify` tells of these ways of tampering, and of nothing before them.
async fn told(cases: &[Case]) {
    let base = base().await;
    let sound = verified(&base.path).await;
    assert!(sound.differs.is_empty(), "{:#?}", sound.differs);
    all_told(&base.path, cases.iter().copied()).await;
}

// In two halves, which run side by side.
#[tokio::test]
async fn every_way_of_tampering_is_told_in_words() {
    assert!(CASES.len() >= 40, "{}", CASES.len());
    told(&CASES[..CASES.len() / 2]).await;
}

#[tokio::test]
async fn every_further_way_of_tampering_is_told_in_words() {
    told(&CASES[CASES.len() / 2..]).await;
}

#[tokio::test]
async fn records_written_anew_altogether_are_told_by_the_seal_that_was_written_down() {
    let base = base().await;
    let mut sound = verified(&base.path).await;
    let seal = sound.chain.last().cloned().unwrap();
    let written_down = (seal.0, &seal.1[..16]);
    sound.compare(written_down);
    assert!(sound.differs.is_empty(), "{:?}", sound.differs);
    // Whoever has the file and the program can make all of it anew: a sound file, and another seal.
    tamper(
        &base.path,
        RoundTheTriggers,
        "update ledger set cents = cents + 1 where number = PAYMENT; delete from records; \
        delete from sqlite_sequence where name = 'records'",
    )
    .await;
    let mut conn = SqliteConnection::connect(&format!("sqlite:{}", base.path.display()))
        .await
        .unwrap();
    let covering: Vec<String> = sqlx::query_scalar(
        "select name from sqlite_schema where type = 'trigger' and name glob 'record_*_made'",
    )
    .fetch_all(&mut conn)
    .await
    .unwrap();
    for name in covering {
        run(&mut conn, &format!("drop trigger {name}")).await;
    }
    conn.close().await.unwrap();
    let (writer, reader) = store::open(&base.path).await.unwrap();
    reader.close().await;
    writer.close().await;
    let mut anew = verified(&base.path).await;
    assert!(anew.differs.is_empty(), "{:?}", anew.differs);
    anew.compare(written_down);
    let said = anew.differs.join("\n");
    assert!(said.contains("is not that of this file"), "{said}");
}

#[tokio::test]
async fn what_was_changed_while_the_server_stood_is_told_after_it_was_started_again() {
    let base = base().await;
    tamper(
        &base.path,
        Plain,
        "drop trigger ledger_stand; drop trigger record_ledger_changed; \
        update ledger set cents = cents + 1 where number = PAYMENT; \
        insert into losses (boil_id, what, lost_g, whole, why, by_id, at) \
        select id, 'spilled', 500, 0, 'spilt', cook_id, lit_at from boils limit 1",
    )
    .await;
    let (writer, reader) = store::open(&base.path).await.unwrap();
    let found = {
        let mut snapshot = reader.snapshot().await.unwrap();
        verify(&mut snapshot).await.unwrap()
    };
    reader.close().await;
    writer.close().await;
    let said = found.differs.join("\n");
    assert!(said.contains("payment of member"), "{said}");
    assert!(said.contains("when it was written"), "{said}");
    assert!(said.contains("loss of lot"), "{said}");
}

#[tokio::test]
async fn a_backup_is_looked_over_as_it_lies_and_a_newer_file_is_refused() {
    let base = base().await;
    let backup = base.path.with_file_name("backup.db");
    store::backup(&base.path, &backup).await.unwrap();
    let before = std::fs::read(&backup).unwrap();
    let found = verified(&backup).await;
    assert!(found.differs.is_empty(), "{:#?}", found.differs);
    assert!(found.records > 300 && found.boils > 0, "{}", found.records);
    assert!(
        std::fs::read(&backup).unwrap() == before,
        "a backup is not changed"
    );
    tamper(
        &backup,
        Plain,
        "insert into _sqlx_migrations (version, description, success, checksum, execution_time) \
        values (9999, 'of a newer program', 1, x'00', 0)",
    )
    .await;
    let refused = store::open_to_read(&backup)
        .await
        .err()
        .unwrap()
        .to_string();
    assert!(
        refused.contains("written by a newer Canewright"),
        "{refused}"
    );
}
