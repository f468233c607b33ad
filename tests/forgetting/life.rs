//! A member of the demo who is given a name that nobody else has, leaves traces wherever the program keeps any, and leaves.

use crate::demo_file;
use canewright::actions::people::members::{self, NewMember, Proof};
use canewright::actions::{Act, Actor, Hashing, Ids};
use canewright::demo::PASSPHRASE;
use canewright::store::people::forgetting::WORDS;
use canewright::store::people::{coop, members as cards};
use canewright::store::{self, Reader, Writer};
use canewright::units::{
    Email, FormKey, MemberId, MemberName, Passphrase, Phone, Role, UtcSecond, Zone,
};
use sqlx::{AssertSqlSafe, Connection, SqliteConnection};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::AtomicU64;
use tempfile::TempDir;

pub const NAME: &str = "Zebedee Quillfeather";
const PHONE: &str = "606 555 0147";
const EMAIL: &str = "zeb@quillfeather.example";
const ADDRESS: &str = "4711 Sorrelhook Lane, Berea KY";
/// Parts of those, in small letters, as they stand in words, in forms that were typed, and in JSON.
const NEEDLES: [&str; 10] = [
    "zebedee",
    "quillfeather",
    "606 555 0147",
    "606+555+0147",
    "(606) 555-0147",
    "6065550147",
    "sorrelhook",
    "zeb@",
    "zeb%40",
    "zeb.quill",
];

/// See the module's head.
pub struct Life {
    _folder: TempDir,
    pub path: PathBuf,
    pub writer: Writer,
    pub reader: Reader,
    pub at: UtcSecond,
    pub ids: Ids,
    pub zone: Zone,
    pub member: MemberId,
    steward: MemberId,
    /// The name and telephone before.
    pub before: Vec<String>,
}

/// Everything of the member that stands somewhere, with the column.
pub async fn needles_in(conn: &mut SqliteConnection, before: &[String]) -> Vec<String> {
    let columns: Vec<(String, String)> = sqlx::query_as(
        "select s.name, c.name from sqlite_schema s join pragma_table_info(s.name) c where s.type = 'table'",
    )
    .fetch_all(&mut *conn)
    .await
    .unwrap();
    let mut out = Vec::new();
    for (table, column) in columns {
        for needle in NEEDLES.into_iter().chain(before.iter().map(String::as_str)) {
            let sql = format!(
                "select count(*) from \"{table}\" where instr(lower(cast(\"{column}\" as text)), ?1) > 0"
            );
            let many: i64 = sqlx::query_scalar(AssertSqlSafe(sql))
                .bind(needle)
                .fetch_one(&mut *conn)
                .await
                .unwrap();
            if many > 0 {
                out.push(format!("{table}.{column}: “{needle}” {many} times"));
            }
        }
    }
    out
}

/// Everything of the member that stands in the bytes of a file; none, if there is no file.
pub fn found_in(path: &Path, before: &[String]) -> Vec<String> {
    let bytes = std::fs::read(path).unwrap_or_default().to_ascii_lowercase();
    let needles = NEEDLES.into_iter().chain(before.iter().map(String::as_str));
    let stands = |needle: &&str| bytes.windows(needle.len()).any(|w| w == needle.as_bytes());
    needles.filter(stands).map(str::to_owned).collect()
}

impl Life {
    /// The demo, with the member who signs in by that name called otherwise from today on.
    pub async fn of(sign_in: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("life.db");
        let at = demo_file::write(&path).await;
        let (writer, reader) = store::open(&path).await.unwrap();
        let mut snapshot = reader.snapshot().await.unwrap();
        let id = |sql: &'static str| sqlx::query_scalar::<_, String>(sql);
        let member = id("select member_id from accounts where sign_in = ?1")
            .bind(sign_in)
            .fetch_one(&mut *snapshot)
            .await
            .unwrap();
        let steward = id("select id from members where role = 'steward' order by number limit 1")
            .fetch_one(&mut *snapshot)
            .await
            .unwrap();
        let member = MemberId::parse(&member).unwrap();
        let card = cards::find(member)
            .ask(&mut snapshot)
            .await
            .unwrap()
            .unwrap();
        let zone = coop::find().ask(&mut snapshot).await.unwrap().unwrap().zone;
        drop(snapshot);
        let life = Self {
            _folder: folder,
            path,
            writer,
            reader,
            at,
            // The demo counted its own ids from nothing.
            ids: Ids::Counted(Arc::new(AtomicU64::new(1 << 40))),
            zone,
            member,
            steward: MemberId::parse(&steward).unwrap(),
            before: [card.name.as_str(), card.phone.as_str()]
                .map(str::to_lowercase)
                .into(),
        };
        life.called_otherwise(card).await;
        life
    }

    pub fn act(&self) -> Act {
        Act {
            writer: self.writer.clone(),
            reader: self.reader.clone(),
            at: self.at,
            form: FormKey::new(self.ids.next(self.at)).into(),
            ids: self.ids.clone(),
            actor: Actor {
                id: self.steward,
                role: Role::Steward,
            },
        }
    }

    async fn called_otherwise(&self, card: cards::Member) {
        let hashing = Hashing::new();
        let new = NewMember {
            name: MemberName::parse(NAME).unwrap(),
            phone: Phone::parse(PHONE).unwrap(),
            email: Some(Email::parse(EMAIL).unwrap()),
            units: card.units,
            clock: card.clock,
            address: ADDRESS.to_owned(),
            wishes: Vec::new(),
            pools: card.pools,
            named: true,
            in_queue: true,
            call_by: "his wife, (606) 555-0147".to_owned(),
            role: card.role,
        };
        let proof = Proof {
            hashing: &hashing,
            passphrase: Passphrase::typed(PASSPHRASE),
        };
        members::change(&self.act(), self.member, card.version, new, proof)
            .await
            .unwrap();
    }

    pub async fn conn(&self) -> SqliteConnection {
        SqliteConnection::connect(&format!("sqlite:{}", self.path.display()))
            .await
            .unwrap()
    }

    pub async fn close(&self) -> PathBuf {
        self.reader.close().await;
        self.writer.close().await;
        self.path.clone()
    }

    /// Writes rows as the program would: they are sealed. MEMBER, STEWARD and SEASON stand for the ids, AT for the moment.
    async fn write(&self, sql: &str) {
        let sql = sql
            .replace("MEMBER", &format!("'{}'", self.member))
            .replace("STEWARD", &format!("'{}'", self.steward))
            .replace("SEASON", "(select id from seasons)")
            .replace("AT", &self.at.get().to_string());
        let mut tx = self.writer.begin().await.unwrap();
        tx.by(self.steward, self.at);
        sqlx::raw_sql(AssertSqlSafe(sql))
            .execute(&mut *tx)
            .await
            .unwrap();
        tx.commit().await.unwrap();
    }

    /// Leaves traces in the ledger, at the door, on the telephone, in letters and forms; settles what is open; closes the season; leaves.
    pub async fn lived(&self) {
        self.write(TRACES).await;
        self.write(ENDS).await;
        members::let_go(&self.act(), self.member, false)
            .await
            .unwrap();
    }

    /// Owes five dollars.
    pub async fn owes(&self) {
        self.write(
            "insert into ledger (number, season_id, member_id, kind, cents, says, by_id, at)
            select max(number) + 1, SEASON, MEMBER, 'payment',
            500 - (select coalesce(sum(cents), 0) from ledger where member_id = MEMBER), 'given back', STEWARD, AT from ledger",
        )
        .await;
    }

    /// Puts the name into a row of every column in which words are written, whatever guards it; gives into how many.
    pub async fn named_everywhere(&self) -> usize {
        let mut tx = self.writer.begin().await.unwrap();
        let guards: Vec<(String, String)> = sqlx::query_as(
            "select name, sql from sqlite_schema where type = 'trigger' and name not glob 'record*'",
        )
        .fetch_all(&mut *tx)
        .await
        .unwrap();
        for (name, _) in &guards {
            let drop = format!("drop trigger {name}");
            sqlx::raw_sql(AssertSqlSafe(drop))
                .execute(&mut *tx)
                .await
                .unwrap();
        }
        let mut named = 0;
        for (table, columns) in WORDS {
            // Another member's name may hold the same words.
            for column in columns.iter().filter(|_| table != "member_names") {
                let sql = format!(
                    "update {table} set {column} = 'by {NAME}, Zeb' where ({column}) in (select {column} from {table} limit 1)"
                );
                let done = sqlx::raw_sql(AssertSqlSafe(sql))
                    .execute(&mut *tx)
                    .await
                    .unwrap();
                named += usize::from(done.rows_affected() > 0);
            }
        }
        for (_, sql) in &guards {
            sqlx::raw_sql(AssertSqlSafe(sql.clone()))
                .execute(&mut *tx)
                .await
                .unwrap();
        }
        tx.commit().await.unwrap();
        named
    }

    /// Somebody else who left, and whom a line of the ledger names together with the member.
    pub async fn other(&self) -> MemberId {
        let id = self.ids.next(self.at);
        self.write(&format!(
            "insert into members (id, number, name, phone, units, pools, named, role, made_at, left_at)
            select '{id}', max(number) + 1, 'Nell Underhayes', '', 'us', 1, 0, 'member', AT, AT from members;
            insert into ledger (number, season_id, member_id, kind, says, by_id, at)
            select max(number) + 1, SEASON, null, 'payment', 'fetched together by {NAME} and Nell Underhayes', STEWARD, AT from ledger;"
        ))
        .await;
        MemberId::new(id)
    }

    pub async fn co_op_names_the_member(&self, named: bool) {
        let phone = if named { PHONE } else { "615 555 0100" };
        self.write(&format!("update coop set contact_phone = '{phone}'"))
            .await;
    }
}

const TRACES: &str = "
insert into notices (id, member_id, kind, mark, subject, words, made_at)
  values ('n1', MEMBER, 'coming', 'own', 'Your turn, Zebedee Quillfeather', 'Dear Zebedee Quillfeather', AT);
insert into notices (id, member_id, kind, mark, subject, words, made_at)
  select 'n2', id, 'moved', 'other', 'Moved', 'Moved behind Zebedee Quillfeather', AT from members where number = 20;
insert into letters (notice_id, address, next_at) values ('n1', 'zeb@quillfeather.example', AT);
insert or replace into second_factors values (MEMBER, 'ABCDEFGHIJKLMNOPQRSTUVWXYZ234567', AT, 1, '2fd67e69907bff621c0c4078b1aef595c8562a11f840dd0ec5c5d7c0a4e59331');
insert into recovery_codes values (MEMBER, 'c0de', null);
insert into sessions (token_hash, member_id, made_at, seen_at, ends_at, device) values ('t0ken', MEMBER, AT, AT, AT + 9, 'Zeb''s phone');
insert into feeds values ('f1', MEMBER, 'feed', STEWARD, AT, null);
insert into invites values ('i1', MEMBER, 'invite', STEWARD, AT, AT + 9, null);
insert or replace into station_pins select MEMBER, '$argon2id$zeb.quill', STEWARD, AT;
update accounts set sign_in = 'zeb.quill' where member_id = MEMBER;
insert into household (member_id, person_id, version, acts, by_id, at) select MEMBER, id, 1, 1, STEWARD, AT from members where number = 20;
insert into household (member_id, person_id, version, acts, by_id, at) select id, MEMBER, 1, 1, STEWARD, AT from members where number = 21;
update members set call_by = 'Zebedee Quillfeather, 606.555.0147' where number = 20;
insert into form_keys values ('k1', 'change_member', '/x', 'd1', 'name=Zebedee+Quillfeather&phone=606+555+0147&email=zeb%40quillfeather.example', '', STEWARD, AT);
insert into form_keys values ('k2', 'note', '/y', 'd2', 'note=Quillfeather+said+so', '', STEWARD, AT);
insert into form_keys values ('k3', 'own', '/z', 'd3', 'note=behind+the+red+barn', '', MEMBER, AT);
insert into form_keys values ('k4', 'other', '/z', 'd4', 'note=nothing+of+it', '', STEWARD, AT);
insert into lot_complaints select id, 1, 'Zebedee Quillfeather says it is sour', 'Zebedee Quillfeather, 6065550147', STEWARD, AT from boils limit 1;
insert into opening_checks (press_day_id, item, version, outcome, unit, note, by_id, at)
  select press_day_id, item, version + 1, outcome, '', 'guard fitted by Zeb Quillfeather', by_id, AT from opening_checks where unit = '' order by version desc limit 1;
";

const ENDS: &str = "
update turns set state = 'cancelled' where member_id = MEMBER and not exists (select 1 from tickets t where t.turn_id = turns.id);
delete from booked_minutes where offer_id in (select o.id from offers o join waiting w on w.id = o.waiting_id where w.member_id = MEMBER and o.answer is null);
update offers set answer = 'withdrawn', answered_at = AT where answer is null and waiting_id in (select id from waiting where member_id = MEMBER);
update waiting set state = 'left' where member_id = MEMBER and state = 'waiting';
insert into hand_overs select '01a1f000-0000-7000-8000-0000000000f1', max(number) + 1, MEMBER, 'Zeb''s son Ike', 'Zebedee Quillfeather was ill', STEWARD, AT from hand_overs;
insert into hand_over_jars select '01a1f000-0000-7000-8000-0000000000f1', d.boil_id, j.size_name, j.net_g, j.part, j.count - gone.many
  from share_jars j join shares s on s.division_id = j.division_id and s.place = j.place
  join latest_divisions d on d.id = s.division_id
  join (select d.boil_id, j.net_g, j.part, coalesce((select sum(g.count) from jars_gone g where g.boil_id = d.boil_id
    and g.member_id = MEMBER and g.net_g = j.net_g and g.part = j.part), 0) as many
    from share_jars j join shares s on s.division_id = j.division_id and s.place = j.place
    join latest_divisions d on d.id = s.division_id where s.member_id = MEMBER) gone
  on gone.boil_id = d.boil_id and gone.net_g = j.net_g and gone.part = j.part
  where s.member_id = MEMBER and j.count > gone.many;
insert into ledger (number, season_id, member_id, kind, grams, says, by_id, at)
  select max(number) + 1, SEASON, MEMBER, 'settled', -coalesce((select sum(grams) from ledger where member_id = MEMBER), 0), 'settled in money', STEWARD, AT from ledger;
insert into ledger (number, season_id, member_id, kind, grams, says, by_id, at)
  select max(number) + 1, SEASON, null, 'settled', -(select grams from ledger order by number desc limit 1), 'settled in money, with Zebedee Quillfeather', STEWARD, AT from ledger;
insert into ledger (number, season_id, member_id, kind, cents, says, by_id, at)
  select max(number) + 1, SEASON, MEMBER, 'payment', -coalesce((select sum(cents) from ledger where member_id = MEMBER), 0), 'paid by Zebedee Quillfeather, cash', STEWARD, AT from ledger;
insert into payments select max(l.number), coalesce((select max(receipt) from payments), 0) + 1, 'cash', '2026-10-20' from ledger l;
insert into season_locks select id, 1, 1, 'all is done, says Quillfeather', STEWARD, AT from seasons;
";
