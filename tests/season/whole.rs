//! A whole database as text.

use sqlx::SqliteConnection;

/// One statement that gives every row of every table, each value quoted, rows sorted; all but one
/// column.
pub async fn database_sql(look: &mut SqliteConnection, but: (&str, &str)) -> String {
    let tables: Vec<(String, String)> = sqlx::query_as(
        "select t.name, group_concat('quote(' || c.name || ')', '||''|''||')
        from sqlite_schema t join pragma_table_info(t.name) c
        where t.type = 'table' and t.name not like 'sqlite_%' and not (t.name = ?1 and c.name = ?2)
        group by t.name order by t.name",
    )
    .bind(but.0)
    .bind(but.1)
    .fetch_all(look)
    .await
    .unwrap();
    assert!(tables.len() > 25, "{tables:?}");
    let parts: Vec<String> = tables
        .iter()
        .map(|(table, row)| {
            format!(
                "'{table}' || char(10) || coalesce((select group_concat(r, char(10)) from
                (select {row} as r from {table} order by 1)), '')"
            )
        })
        .collect();
    format!("select {}", parts.join(" || char(10) || "))
}
