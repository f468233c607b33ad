//! What the planting record says of the cane to expect: filled in before the member types anything.

use crate::facts::season::plantings::RowLeft;
use crate::store::Conn;
use crate::store::turns::press_days::PressDay;
use crate::units::MemberId;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::Visit;

/// Metres of row below which nothing is left to press: about a yard.
const LEAST_M: f64 = 1.0;

/// Fills in the row that is left for a day, and tells where the figure comes from; empty: no planting is on record.
pub(super) async fn fill(
    conn: &mut Conn,
    visit: &Visit,
    sheet: &mut Sheet,
    (member, day): (MemberId, &PressDay),
) -> Result<String, PageError> {
    let Some(row) = RowLeft::read(conn, member, day).await? else {
        return Ok(String::new());
    };
    let units = visit.units();
    let planted = row.planted.show(units);
    if row.left.get() < LEAST_M {
        return Ok(format!(
            "From the planting record: {planted} of row. All of it was pressed or is booked already; write what you still bring."
        ));
    }
    sheet
        .put("told", "row")
        .put("amount", row.left.typed(units));
    let used = row.left.get() < row.planted.get();
    Ok(if used {
        format!(
            "From the planting record: {} of {planted} of row for that day; the rest was pressed or is booked already. Correct it as you like.",
            row.left.show(units)
        )
    } else {
        format!("From the planting record: {planted} of row for that day. Correct it as you like.")
    })
}
