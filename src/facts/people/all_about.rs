//! Everything that is kept about one member, as files in one: a table each, and what they are.

use crate::facts::csv::Csv;
use crate::facts::zip::{TooLarge, Zip};
use crate::store::people::all_about::{AboutTable, all_about};
use crate::store::{Conn, Stored};
use crate::units::{MemberId, UtcSecond, Zone};
use serde_json::Value;

/// What a file of the program's own tables has to say before anybody reads it.
const README: &str = "What this co-op's program keeps about one member.\r\n\r\n\
One file a table, one line a record, the columns named at the top. Units stand last in a column's name: _g grams, _ml\r\n\
millilitres, _c degrees Celsius, _cents cents, _mc thousandths of a cent, _min minutes, _m metres. Times are on the co-op's\r\n\
clock. An id names another record: ticket_id is the id in tickets.csv. Weights are kept in grams whatever the scale shows.\r\n\
Left out: what only opens a sign-in (passphrases, PINs, keys are kept as digests that nobody can read back), and what is kept\r\n\
about others. Where somebody else worked for the member, that person stands as an id only.\r\n";

/// The files, packed as a zip.
///
/// # Errors
/// Outer: the store failed. Inner: more than a zip holds.
pub async fn packed(
    conn: &mut Conn,
    member: MemberId,
    zone: &Zone,
) -> Stored<Result<Vec<u8>, TooLarge>> {
    let tables = all_about(conn, member).await?;
    Ok(zipped(&tables, zone))
}

fn zipped(tables: &[AboutTable], zone: &Zone) -> Result<Vec<u8>, TooLarge> {
    let mut zip = Zip::default();
    zip.add("README.txt", README.as_bytes())?;
    for table in tables {
        let heads: Vec<&str> = table.columns.iter().map(String::as_str).collect();
        let mut csv = Csv::new(&heads);
        for row in &table.rows {
            for (column, value) in table.columns.iter().zip(row) {
                cell(&mut csv, column, value, zone);
            }
            csv.end();
        }
        let text = csv.finish();
        zip.add(&format!("{}.csv", table.name), text.as_bytes())?;
    }
    zip.finish()
}

/// A value: a time on the co-op's clock, a number, or text.
fn cell(csv: &mut Csv, column: &str, value: &Value, zone: &Zone) {
    let time = column == "at" || column.ends_with("_at");
    match (value, value.as_i64()) {
        (Value::Null, _) => csv.text(""),
        (_, Some(at)) if time => csv.text(zone.show(UtcSecond::new(at))),
        (_, Some(number)) => csv.number(number),
        (Value::String(text), _) => csv.text(text),
        (other, _) => csv.text(other),
    };
}
