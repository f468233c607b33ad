//! Writes that fail on purpose: triggers count the rows that are written and stop at the n-th, and
//! the end of every transaction fails too, which leaves the
//! connection inside it.

use canewright::store::Writer;
use sqlx::{AssertSqlSafe, SqliteConnection};

/// How a failing write leaves the transaction.
#[derive(Debug, Clone, Copy)]
pub enum Faults {
    /// Still open, as after a constraint.
    Abort,
    /// Rolled back by the database itself, as after some full disks.
    Rollback,
}

impl Faults {
    /// Puts the triggers into the database, disarmed.
    pub async fn install(self, writer: &Writer, look: &mut SqliteConnection) {
        let tables: Vec<String> = sqlx::query_scalar(
            "select name from sqlite_schema where type = 'table' and name not like 'sqlite_%'
            and name <> '_sqlx_migrations'",
        )
        .fetch_all(look)
        .await
        .unwrap();
        let word = match self {
            Self::Abort => "abort",
            Self::Rollback => "rollback",
        };
        // Until 0 a row may be written; far below nought nothing fails.
        run(writer, "create table faults (lefts integer, ends integer)").await;
        run(writer, "insert into faults values (-1, 0)").await;
        // A reference to nobody that is looked at no earlier than in COMMIT.
        run(
            writer,
            "create table at_the_end (member text references members (id) deferrable initially deferred)",
        )
        .await;
        for table in tables {
            for verb in ["insert", "update", "delete"] {
                let sql = format!(
                    "create trigger fails_{verb}_{table} before {verb} on {table} begin
                    update faults set lefts = lefts - 1;
                    select raise({word}, 'failed on purpose') from faults where lefts = 0;
                    end"
                );
                run(writer, &sql).await;
            }
        }
        run(
            writer,
            "create trigger fails_at_the_end after insert on form_keys begin
            insert into at_the_end select 'nobody' from faults where ends = 1;
            end",
        )
        .await;
    }

    /// The next transaction fails at its n-th row, or at its end.
    pub async fn arm(self, writer: &Writer, nth: i64) {
        run(
            writer,
            &format!("update faults set lefts = {nth}, ends = 1"),
        )
        .await;
    }

    /// Nothing fails.
    pub async fn disarm(self, writer: &Writer) {
        run(writer, "update faults set lefts = -1, ends = 0").await;
    }
}

/// Runs SQL on the one writer.
pub async fn run(writer: &Writer, sql: &str) {
    let mut tx = writer.begin().await.unwrap();
    sqlx::raw_sql(AssertSqlSafe(sql.to_owned()))
        .execute(&mut *tx)
        .await
        .unwrap();
    tx.commit().await.unwrap();
}
