//! What SQLite says of a statement, for tests.

use super::Conn;
use sqlx::{AssertSqlSafe, Row};
use std::collections::BTreeSet;

/// The tables that SQLite opens for these statements, also those behind views and indexes (`explain`,
/// <https://www.sqlite.org/opcode.html#OpenRead>).
pub(crate) async fn opened(conn: &mut Conn, statements: &[String]) -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    for sql in statements {
        let explain = AssertSqlSafe(format!("explain {sql}"));
        let steps = sqlx::query(explain).fetch_all(&mut *conn).await.unwrap();
        for step in steps {
            if step.get::<&str, _>("opcode") == "OpenRead" {
                let root: i64 = step.get("p2");
                let name = "select tbl_name from sqlite_schema where rootpage = ?1";
                let table = sqlx::query_scalar(name).bind(root);
                all.insert(table.fetch_one(&mut *conn).await.unwrap());
            }
        }
    }
    all
}
