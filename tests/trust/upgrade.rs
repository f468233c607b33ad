//! Files of earlier and of newer programs: an earlier one is brought up to date with what is in it; a newer one is
//! refused in words by every command, and what is in it stands.

use crate::program::{Program, desk, refused, text, well};
use canewright::store;
use sqlx::migrate::Migrator;
use sqlx::{Connection, SqliteConnection};
use std::fs;
use std::path::{Path, PathBuf};
use tokio::runtime::{Builder, Runtime};

fn runtime() -> Runtime {
    Builder::new_current_thread().enable_all().build().unwrap()
}

/// The steps of the schema, in order.
fn steps() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("migrations");
    let mut steps: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "sql"))
        .collect();
    steps.sort();
    steps
}

/// The schema of one file, brought on step by step; a copy of it at any step is a file of the program of that time.
struct Growing {
    folder: tempfile::TempDir,
    done: usize,
}

impl Growing {
    fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
            done: 0,
        }
    }

    /// A file as the program of so many steps made it, with a co-op, a steward and a session in it.
    async fn made_by(&mut self, path: &Path, steps: &[PathBuf]) {
        let (schema, file) = (
            self.folder.path().join("steps"),
            self.folder.path().join("x.db"),
        );
        fs::create_dir_all(&schema).unwrap();
        for step in &steps[self.done..] {
            fs::copy(step, schema.join(step.file_name().unwrap())).unwrap();
        }
        self.done = steps.len();
        let mut conn = connect(&file).await;
        let migrator = Migrator::new(schema).await.unwrap();
        migrator.run(&mut conn).await.unwrap();
        conn.close().await.unwrap();
        fs::copy(&file, path).unwrap();
        let mut conn = connect(path).await;
        for row in [
            "insert into coop (id, name, place, zone, units) values (1, 'Old Mill', 'Tolliver, TN', 'America/Chicago', 'us')",
            "insert into members (id, number, name, phone, units, pools, named, role, made_at)
             values ('01920000-0000-7000-8000-000000000001', 1, 'Ruth Bell', '615 555 0100', 'us', 1, 0, 'steward', 1700000000)",
            "insert into accounts (member_id, sign_in, passphrase_hash, changed_at)
             values ('01920000-0000-7000-8000-000000000001', 'ruth', 'x', 1700000000)",
            "insert into sessions (token_hash, member_id, made_at, seen_at, ends_at)
             values ('h', '01920000-0000-7000-8000-000000000001', 1700000000, 1700000000, 1800000000)",
        ] {
            sqlx::query(row).execute(&mut conn).await.unwrap();
        }
        conn.close().await.unwrap();
    }
}

async fn connect(path: &Path) -> SqliteConnection {
    SqliteConnection::connect(&format!("sqlite:{}?mode=rwc", path.display()))
        .await
        .unwrap()
}

/// The file of so many steps is looked over untouched, opened, and sound afterwards.
async fn opens_and_verifies(database: &Path, known: usize) {
    let before = fs::read(database).unwrap();
    let scratch = tempfile::tempdir().unwrap();
    let found = canewright::keeping::look_over(database, scratch.path())
        .await
        .unwrap_or_else(|error| panic!("of {known} steps: {error:#}"));
    assert!(
        found.differs.is_empty(),
        "of {known} steps: {:?}",
        found.differs
    );
    assert_eq!(fs::read(database).unwrap(), before, "it was touched");
    let (writer, reader) = store::open(database)
        .await
        .unwrap_or_else(|error| panic!("of {known} steps: {error}"));
    let mut moment = reader.snapshot().await.unwrap();
    let name: String = sqlx::query_scalar("select name from members where number = 1")
        .fetch_one(&mut *moment)
        .await
        .unwrap();
    assert_eq!(name, "Ruth Bell");
    drop(moment);
    reader.close().await;
    writer.close().await;
    let sound = store::soundness(database).await.unwrap();
    assert!(sound.is_whole(), "of {known} steps: {sound:?}");
}

/// Those steps that leave the rest `part` when divided by two; each of the two tests has a thread of its own.
fn every_second_schema(part: usize) {
    let steps = steps();
    assert!(steps.len() > 20, "{steps:?}");
    let mut growing = Growing::new();
    for known in (1..steps.len()).filter(|known| known % 2 == part) {
        let (_folder, database) = desk();
        runtime().block_on(async {
            growing.made_by(&database, &steps[..known]).await;
            opens_and_verifies(&database, known).await;
        });
        if known % 7 == 0 {
            // And so by the program itself.
            let said = well(&["verify", "--database", text(&database)]);
            assert!(said.contains("as it was frozen"), "{said}");
        }
    }
}

#[test]
fn the_file_of_each_earlier_schema_opens_and_verifies_odd() {
    every_second_schema(1);
}

#[test]
fn the_file_of_each_earlier_schema_opens_and_verifies_even() {
    every_second_schema(0);
}

#[test]
fn a_newer_file_is_refused_in_words_by_every_command_and_what_is_in_it_stands() {
    let (_folder, database) = desk();
    let program = Program::serves(&database, &["--new"]);
    program.set_up();
    assert!(program.stops().success());
    let before = runtime().block_on(async {
        let mut conn = SqliteConnection::connect(&format!("sqlite:{}", database.display()))
            .await
            .unwrap();
        sqlx::query(
            "insert into _sqlx_migrations (version, description, installed_on, success, checksum, execution_time)
             values (9999, 'of a newer program', '2030-01-01', 1, x'00', 0)",
        )
        .execute(&mut conn)
        .await
        .unwrap();
        let records: i64 = sqlx::query_scalar("select count(*) from records")
            .fetch_one(&mut conn)
            .await
            .unwrap();
        conn.close().await.unwrap();
        records
    });
    // What was written beside the program breaks the seal; a newer program would have sealed it.
    let lock = database.with_file_name("press.db-lock");
    let unsealed: Vec<String> = fs::read_to_string(&lock)
        .unwrap()
        .split_whitespace()
        .filter(|word| word.parse::<u32>().is_ok())
        .map(str::to_owned)
        .collect();
    fs::write(&lock, unsealed.join(" ")).unwrap();
    let elsewhere = tempfile::tempdir().unwrap();
    let (file, other) = (text(&database), elsewhere.path().join("other.db"));
    for words in [
        &["serve", "--listen", "127.0.0.1:0", "--database", file][..],
        &[
            "serve",
            "--read-only",
            "--listen",
            "127.0.0.1:0",
            "--database",
            file,
        ],
        &["verify", "--database", file],
        &["invite", "Ruth Bell", "--database", file],
        &["take-second-factor", "Ruth Bell", "--database", file],
        &["doctor", "--database", file],
        &["restore", file, "--database", text(&other)],
    ] {
        let why = refused(words);
        assert!(why.contains("newer"), "{words:?}: {why}");
        assert!(!why.contains("panicked") && !why.contains("9999,"), "{why}");
    }
    runtime().block_on(async {
        let mut conn = SqliteConnection::connect(&format!("sqlite:{}", database.display()))
            .await
            .unwrap();
        let newest: i64 = sqlx::query_scalar("select max(version) from _sqlx_migrations")
            .fetch_one(&mut conn)
            .await
            .unwrap();
        let records: i64 = sqlx::query_scalar("select count(*) from records")
            .fetch_one(&mut conn)
            .await
            .unwrap();
        assert_eq!((newest, records), (9999, before));
        conn.close().await.unwrap();
    });
}
