//! A mill under test: a database file of its own, a clock that only goes on, and the one way to do
//! anything: [`Mill::step`], which sends every form twice and looks at the whole database around it.

use crate::books::Books;
use crate::chance::Chance;
use crate::faults::{Faults, run};
use crate::whole;
use canewright::actions::people::accounts::{self, NewCoop};
use canewright::actions::people::members;
use canewright::actions::{Act, Actor, Answer, Done, Hashing, Ids, Stop};
use canewright::facts::shares::whole_books;
use canewright::store::people::coop::Coop;
use canewright::store::{self, Reader, Snapshot, Writer};
use canewright::units::{
    FormKey, MemberId, MemberName, Passphrase, Phone, PressDayId, Role, SeasonId, SignInName,
    Units, UtcSecond, Zone,
};
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions, SqliteConnection};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicU64;
use tempfile::TempDir;
use tokio::sync::OnceCell;

/// 2026-08-01 08:00 in Chicago.
const OPENS: UtcSecond = UtcSecond::new(1_785_589_200);

/// A database with a co-op and its steward, as bytes: setting up is slow, because of the passphrase.
static SET_UP: OnceCell<(Vec<u8>, MemberId)> = OnceCell::const_new();

async fn set_up() -> (Vec<u8>, MemberId) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("mill.db");
    let (writer, reader) = store::open(&file).await.unwrap();
    let code = accounts::open_setup(&writer, OPENS).await.unwrap().unwrap();
    let new = NewCoop {
        coop: Coop {
            name: "Coldwater Ridge Pressing Co-op".to_owned(),
            place: "Tolliver, TN 37999".to_owned(),
            zone: Zone::parse("America/Chicago").unwrap(),
            units: Units::Us,
            altitude_m: 180.0,
            contact_phone: "615 555 0100".to_owned(),
            way: String::new(),
            bring: String::new(),
            lies_at: None,
        },
        name: MemberName::parse("Ruth Bell").unwrap(),
        phone: Phone::parse("615 555 0100").unwrap(),
        sign_in: SignInName::parse("ruth").unwrap(),
        passphrase: Passphrase::typed("four mules in a row"),
    };
    let (ids, hashing) = (Ids::counted(), Hashing::new());
    let arrival = accounts::Arrival {
        writer: writer.clone(),
        at: OPENS,
        ids: ids.clone(),
        hashing,
        form: FormKey::new(ids.next(OPENS)).into(),
    };
    let steward = accounts::set_up(&arrival, code.as_str(), new)
        .await
        .unwrap();
    reader.close().await;
    writer.close().await;
    (std::fs::read(file).unwrap(), steward)
}

/// A member as the test knows one.
#[derive(Debug, Clone, Copy)]
pub struct Person {
    pub id: MemberId,
    pub role: Role,
}

pub struct Mill {
    pub start: u64,
    pub chance: Chance,
    pub at: UtcSecond,
    pub people: Vec<Person>,
    pub season: Option<SeasonId>,
    pub days: Vec<PressDayId>,
    /// Graduation of each scale, g.
    pub tally: BTreeMap<String, u32>,
    pub writer: Writer,
    pub reader: Reader,
    /// A connection of the test's own, to look with plain SQL.
    pub look: SqliteConnection,
    pub ids: Ids,
    keys: Ids,
    digest_sql: String,
    seen: i64,
    was: String,
    taken: i64,
    doing: &'static str,
    faults: Option<Faults>,
    /// Whether pages are looked at after every step.
    pages: bool,
    /// Whether the rules bound what a lot repays, and all syrup goes into a few sizes of jars.
    pub bounds: bool,
    _folder: TempDir,
}

/// Setting up the co-op is a form as well.
const SET_UP_FORMS: i64 = 1;

impl Mill {
    /// A mill with nothing but its steward, for the season that begins with `start`.
    pub async fn new(start: u64) -> Self {
        let (bytes, steward) = SET_UP.get_or_init(set_up).await;
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("mill.db");
        std::fs::write(&file, bytes).unwrap();
        let (writer, reader) = store::open(&file).await.unwrap();
        let mut look = looker(&file).await;
        let digest_sql = whole::database_sql(&mut look, ("", "")).await;
        let steward = Person {
            id: *steward,
            role: Role::Steward,
        };
        let mut mill = Self {
            start,
            chance: Chance::new(start),
            at: OPENS,
            people: vec![steward],
            season: None,
            days: Vec::new(),
            tally: BTreeMap::new(),
            writer,
            reader,
            look,
            // Beyond the ids of setting up.
            ids: Ids::Counted(Arc::new(AtomicU64::new(1_000))),
            keys: Ids::Counted(Arc::new(AtomicU64::new(1 << 40))),
            digest_sql,
            seen: 0,
            was: String::new(),
            taken: 0,
            doing: "set up",
            faults: None,
            pages: false,
            bounds: false,
            _folder: folder,
        };
        mill.remember().await;
        mill
    }

    /// From here on members' pages are looked at after every step.
    pub const fn looks_at_pages(&mut self) {
        self.pages = true;
    }

    /// From here on every step fails first, at each of its writes and at its end.
    pub async fn with_faults(&mut self, faults: Faults) {
        faults.install(&self.writer, &mut self.look).await;
        self.faults = Some(faults);
        self.remember().await;
    }

    /// Where the season stands, for the message of a failure.
    pub fn here(&self) -> String {
        format!(
            "start {}, form {} ({})",
            self.start,
            self.taken + 1,
            self.doing
        )
    }

    /// A moment to choose from, as a page would.
    pub async fn read(&self) -> Snapshot {
        self.reader.snapshot().await.unwrap()
    }

    pub fn steward(&self) -> Person {
        self.people[0]
    }

    /// Somebody who may do the mill's work.
    pub fn crew(&mut self) -> Person {
        let crew: Vec<Person> = self
            .people
            .iter()
            .copied()
            .filter(|p| p.role >= Role::Crew)
            .collect();
        *self.chance.one(&crew).unwrap()
    }

    /// Writes the whole book, as it is exported.
    pub async fn writes_its_book(&self, name: &str) {
        let files = whole_books::files(&mut *self.read().await).await.unwrap();
        let packed = whole_books::zipped(&files, false).unwrap();
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("books");
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(folder.join(format!("{name}.zip")), packed).unwrap();
    }

    /// Anybody.
    pub fn anybody(&mut self) -> Person {
        *self.chance.one(&self.people).unwrap()
    }

    /// Time goes on by up to so many minutes.
    pub fn later(&mut self, minutes: i64) {
        self.at = self.at.plus(self.chance.between(1, minutes * 60));
    }

    /// The whole database as text: every row of every table, each value quoted.
    async fn digest(&mut self) -> String {
        sqlx::query_scalar(AssertSqlSafe(self.digest_sql.clone()))
            .fetch_one(&mut self.look)
            .await
            .unwrap()
    }

    /// Changes with every commit of another connection, of which there is only the writer's:
    /// "different if changes were committed" (the manual on `pragma data_version`).
    async fn commits(&mut self) -> i64 {
        self.count("pragma data_version").await
    }

    pub async fn remember(&mut self) {
        self.seen = self.commits().await;
        if self.faults.is_some() {
            self.was = self.digest().await;
        }
    }

    /// Whether nothing was committed since [`Mill::remember`]. Arming faults commits too: then every
    /// row is compared.
    pub async fn is_as_it_was(&mut self) -> bool {
        self.commits().await == self.seen
            || (self.faults.is_some() && self.digest().await == self.was)
    }

    /// One number out of the database.
    pub async fn count(&mut self, sql: &'static str) -> i64 {
        sqlx::query_scalar(sql)
            .fetch_one(&mut self.look)
            .await
            .unwrap()
    }

    fn act(&self, who: Person, key: FormKey, at: UtcSecond) -> Act {
        Act {
            writer: self.writer.clone(),
            reader: self.reader.clone(),
            at,
            ids: self.ids.clone(),
            actor: Actor {
                id: who.id,
                role: who.role,
            },
            form: key.into(),
        }
    }

    /// What the steward does without being looked over.
    pub fn own_act(&mut self) -> Act {
        let key = FormKey::new(self.keys.next(self.at));
        self.act(self.steward(), key, self.at)
    }

    /// Does something: what is taken is sent again with the same key, which must change nothing and
    /// answer the same; what is refused must change nothing. Then every sum is looked over.
    pub async fn step<T: Answer>(
        &mut self,
        what: &'static str,
        who: Person,
        does: impl AsyncFn(Act) -> Done<T>,
    ) -> Option<T> {
        self.doing = what;
        let key = FormKey::new(self.keys.next(self.at));
        if self.faults.is_some() {
            self.fail_first(&does, who, key).await;
        }
        let answer = match does(self.act(who, key, self.at)).await {
            Ok(answer) => answer,
            Err(stop) => {
                let code = match stop {
                    Stop::RuleRefusal(refusal) => refusal.code,
                    Stop::Missing => "missing",
                    Stop::SentOtherwise { .. } => {
                        panic!("{}: a form key was used twice", self.here())
                    }
                    Stop::Fault(fault) => panic!("{}: {fault}", self.here()),
                };
                self.note(what, code);
                assert!(
                    self.is_as_it_was().await,
                    "{}: refused ({code}), yet something changed",
                    self.here()
                );
                return None;
            }
        };
        assert!(
            !self.is_as_it_was().await,
            "{}: done, yet nothing changed",
            self.here()
        );
        self.remember().await;
        let again = does(self.act(who, key, self.at.plus(7))).await;
        let again = again.unwrap_or_else(|stop| panic!("{}: sent again: {stop}", self.here()));
        assert_eq!(again.keep(), answer.keep(), "{}: sent again", self.here());
        assert!(
            self.is_as_it_was().await,
            "{}: sent twice, done twice",
            self.here()
        );
        self.taken += 1;
        self.note(what, "done");
        self.look_over().await;
        if self.pages {
            // Opening a page notes that the session is in use.
            self.looks_over_pages().await;
            self.remember().await;
        }
        Some(answer)
    }

    async fn fail_first<T: Answer>(
        &mut self,
        does: &impl AsyncFn(Act) -> Done<T>,
        who: Person,
        key: FormKey,
    ) {
        for nth in 1.. {
            let faults = self.faults.as_ref().unwrap();
            faults.arm(&self.writer, nth).await;
            match does(self.act(who, key, self.at)).await {
                Err(Stop::Fault(fault)) => {
                    assert!(
                        self.is_as_it_was().await,
                        "{}: half-written at {nth} ({fault})",
                        self.here()
                    );
                    let last = fault.to_string().contains("FOREIGN KEY");
                    self.note("failed", if last { "commit" } else { "write" });
                    if last {
                        break;
                    }
                }
                Ok(_) => panic!("{}: the end of it did not fail", self.here()),
                // Refused: nothing to write.
                Err(_) => break,
            }
        }
        let faults = self.faults.as_ref().unwrap();
        faults.disarm(&self.writer).await;
    }

    /// Adds members until the file may grow no further, then gives it room again.
    pub async fn fills_the_disk(&mut self) {
        self.doing = "fill the disk";
        let pages = self.count("select page_count from pragma_page_count").await;
        // A limit holds for the connection that set it: the writer's only one.
        run(&self.writer, &format!("pragma max_page_count = {pages}")).await;
        let (who, mut card) = (self.steward(), self.card("Beulah Crab", Role::Member));
        let mut full = None;
        // Pages that are free already are written to first; everybody has a name of their own.
        for n in 0..2_000 {
            let key = FormKey::new(self.keys.next(self.at));
            card.name = MemberName::parse(&format!("Beulah Crab, row {n}")).unwrap();
            match members::add(&self.act(who, key, self.at), card.clone()).await {
                Ok(_) => {
                    self.taken += 1;
                    self.remember().await;
                }
                Err(stop) => {
                    full = Some((key, stop));
                    break;
                }
            }
        }
        let (key, stop) = full.expect("the disk fills up");
        assert!(stop.to_string().contains("full"), "{}: {stop}", self.here());
        assert!(self.is_as_it_was().await, "{}: half-written", self.here());
        run(&self.writer, "pragma max_page_count = 1000000").await;
        let done = members::add(&self.act(who, key, self.at), card).await;
        assert!(done.is_ok(), "{}: {done:?}", self.here());
        self.taken += 1;
        self.look_over().await;
        self.ends().await;
    }

    pub fn note(&mut self, what: &str, code: &str) {
        *self.tally.entry(format!("{what}: {code}")).or_default() += 1;
    }

    async fn look_over(&mut self) {
        let keys = self.count("select count(*) from form_keys").await;
        assert_eq!(
            keys,
            self.taken + SET_UP_FORMS,
            "{}: forms done and keys kept",
            self.here()
        );
        let here = self.here();
        crate::checks::numbering(&mut self.look, &here).await;
        crate::turn_checks::all(&mut self.look, &here).await;
        let books = Books::read(&mut self.look).await;
        crate::checks::all(&books, &here);
        crate::share_checks::all(&books, &here);
        // One member a step, in turn: everybody's boils replayed after each would take too long.
        let turn = usize::try_from(self.taken).unwrap() % self.people.len();
        if let Some(season) = self.season {
            let member = (season, self.people[turn].id, self.at);
            let mut moment = self.read().await;
            crate::cane_checks::of_member(&mut moment, &books, member, &here).await;
            crate::kept_checks::all(&mut moment, season, &here).await;
        }
    }

    /// The pages of two members a step, in turn: everybody's would take too long.
    async fn looks_over_pages(&mut self) {
        if self.season.is_none() {
            return;
        }
        let people = self.people.len();
        let step = usize::try_from(self.taken).unwrap() * 2;
        for turn in [step, step + 1] {
            let person = self.people[turn % people];
            if person.role == Role::Member {
                self.looks_at_home(person.id).await;
            }
        }
    }

    /// Looks at what holds at the end of a season, and gives the whole database as text.
    pub async fn ends(&mut self) -> String {
        for sql in [
            "select count(*) from pragma_foreign_key_check",
            "select count(*) from pragma_integrity_check where integrity_check <> 'ok'",
        ] {
            assert_eq!(self.count(sql).await, 0, "{}: {sql}", self.here());
        }
        self.digest().await
    }
}

async fn looker(file: &Path) -> SqliteConnection {
    let options = SqliteConnectOptions::new().filename(file).read_only(true);
    options.connect().await.unwrap()
}
