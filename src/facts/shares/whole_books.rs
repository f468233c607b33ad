//! The whole book as files for a spreadsheet, in one zip, with what each column means: enough to rebuild every division and
//! every balance without this program (`tests/reference/books_again.py` does).

use crate::facts::csv::Csv;
use crate::facts::zip::{TooLarge, Zip};
use crate::store::cane::juice;
use crate::store::people::coop;
use crate::store::shares::books::{self, BookSheet, Cell, JUICES, LEDGER, SHEETS};
use crate::store::{Conn, Question, Stored};
use crate::units::{JuiceId, UtcSecond, Zone};
use std::collections::{BTreeSet, HashMap};
use std::fmt::Write as _;

/// Columns of a juice that were worked out; they stand after those that were measured.
const RECKONED: [&str; 5] = [
    "brix_20c",
    "density_kg_m3",
    "mass_g",
    "volume_20c_ml",
    "solids_g",
];

/// The bytes before a file that say "this is UTF-8", for programs that show é wrongly without.
const MARK: &str = "\u{feff}";

/// The file that says what the columns mean.
const README: &str = "README.txt";

/// One file of the book.
#[derive(Debug, Clone)]
pub struct BookFile {
    /// Its name, such as `ledger.csv`.
    pub name: String,
    /// Text of the file.
    pub text: String,
}

/// Every file of the book, the one that says what the columns mean first.
///
/// # Errors
/// The store failed, or a juice that was stored cannot be reckoned.
pub async fn files(conn: &mut Conn) -> Stored<Vec<BookFile>> {
    let zone = coop::find().ask(conn).await?.map(|coop| coop.zone);
    let mut files = vec![BookFile {
        name: README.to_owned(),
        text: readme(),
    }];
    let mut sheets: Vec<SheetFile> = SHEETS.iter().map(|s| SheetFile::begun(s, &[])).collect();
    let take = |place: usize, row: Vec<Cell>| {
        if let Some(sheet) = sheets.get_mut(place) {
            sheet.row(&row, zone.as_ref());
        }
    };
    books::each_row(conn, &SHEETS, take).await?;
    let mut of_juices = SheetFile::begun(&JUICES, &RECKONED);
    for row in juices(conn).await? {
        of_juices.row(&row, zone.as_ref());
    }
    sheets.push(of_juices);
    files.extend(sheets.into_iter().map(SheetFile::finish));
    Ok(files)
}

/// The ledger of the season of a year as a file, with the columns that it has in the whole book.
///
/// # Errors
/// The store failed.
pub async fn ledger_of(conn: &mut Conn, year: i64) -> Stored<String> {
    let zone = coop::find().ask(conn).await?.map(|coop| coop.zone);
    let of_year = Cell::Whole(year);
    let mut file = SheetFile::begun(&LEDGER, &[]);
    let place = file.heads.iter().position(|head| *head == "season");
    let take = |_: usize, row: Vec<Cell>| {
        if place.and_then(|place| row.get(place)) == Some(&of_year) {
            file.row(&row, zone.as_ref());
        }
    };
    books::each_row(conn, &[LEDGER], take).await?;
    Ok(file.finish().text)
}

/// How many juices' measurings are asked in one message.
const JUICES_A_MESSAGE: usize = 50;

/// The juices with what was reckoned of each measuring; of one that was crossed out, nothing.
async fn juices(conn: &mut Conn) -> Stored<Vec<Vec<Cell>>> {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    books::each_row(conn, &[JUICES], |_, row| rows.push(row)).await?;
    let ids: BTreeSet<JuiceId> = rows
        .iter()
        .filter_map(|row| Some(juice_of(row)?.0))
        .collect();
    let ids: Vec<JuiceId> = ids.into_iter().collect();
    let mut known: HashMap<(JuiceId, i64), [Cell; 5]> = HashMap::new();
    for some in ids.chunks(JUICES_A_MESSAGE) {
        let versions = Question::all(some.iter().map(|id| juice::versions(*id)));
        for measured in versions.ask(conn).await?.into_iter().flatten() {
            if !measured.void {
                let juice = measured.reckon()?;
                let cells = [
                    Cell::Real(juice.brix_20.get()),
                    Cell::Real(juice.density_kg_m3),
                    Cell::Whole(juice.mass.get()),
                    Cell::Whole(juice.volume_20c.get()),
                    Cell::Whole(juice.solids.get()),
                ];
                known.insert((measured.id, measured.version), cells);
            }
        }
    }
    for row in &mut rows {
        let reckoned = juice_of(row).and_then(|key| known.get(&key).cloned());
        row.extend(reckoned.unwrap_or([const { Cell::Empty }; 5]));
    }
    Ok(rows)
}

/// The juice and the version of a measuring's row.
fn juice_of(row: &[Cell]) -> Option<(JuiceId, i64)> {
    match (row.first()?, row.get(4)?) {
        (Cell::Text(id), Cell::Whole(version)) => Some((JuiceId::parse(id)?, *version)),
        _ => None,
    }
}

/// Whether a column holds seconds since 1970: the one after it says the same in the co-op's time.
fn is_time(head: &str) -> bool {
    head == "at" || head.ends_with("_at")
}

/// A sheet as its file is written, row by row.
struct SheetFile {
    name: &'static str,
    heads: Vec<&'static str>,
    csv: Csv,
}

impl SheetFile {
    /// With the line of its columns: those of the sheet, then some more.
    fn begun(sheet: &BookSheet, more: &[&'static str]) -> Self {
        let heads = sheet.heads().into_iter();
        let heads: Vec<&str> = heads.chain(more.iter().copied()).collect();
        let mut csv = Csv::default();
        for head in &heads {
            csv.text(head);
            if is_time(head) {
                csv.text(format!("{head}_local"));
            }
        }
        csv.end();
        let name = sheet.name;
        Self { name, heads, csv }
    }

    fn row(&mut self, row: &[Cell], zone: Option<&Zone>) {
        let csv = &mut self.csv;
        for (head, cell) in self.heads.iter().zip(row) {
            match cell {
                Cell::Empty => csv.text(""),
                Cell::Whole(number) => csv.number(*number),
                Cell::Real(number) => csv.real(*number),
                Cell::Text(text) => csv.text(text),
            };
            if is_time(head) {
                csv.text(local(cell, zone));
            }
        }
        csv.end();
    }

    fn finish(self) -> BookFile {
        BookFile {
            name: format!("{}.csv", self.name),
            text: self.csv.finish(),
        }
    }
}

fn local(cell: &Cell, zone: Option<&Zone>) -> String {
    match (cell, zone) {
        (Cell::Whole(seconds), Some(zone)) => {
            let (date, time) = zone.local(UtcSecond::new(*seconds));
            format!("{date} {}", time.show())
        }
        _ => String::new(),
    }
}

/// The files packed into one; with `mark`, each table begins with the mark of UTF-8.
///
/// # Errors
/// They are 4 GiB or more.
pub fn zipped(files: &[BookFile], mark: bool) -> Result<Vec<u8>, TooLarge> {
    let mut zip = Zip::default();
    for file in files {
        let mark = if mark && file.name != README {
            MARK
        } else {
            ""
        };
        zip.add(&file.name, format!("{mark}{}", file.text).as_bytes())?;
    }
    zip.finish()
}

/// What columns mean, in alphabetical order; those with `_local` after the name are left out.
#[rustfmt::skip] // one column a line
const COLUMNS: &[(&str, &str)] = &[
    ("addition", "number of the addition in its boil"),
    ("address", "for the post"),
    ("after_g", "weight of the sample, stripped; with trash_off a ticket's cane is its net × after_g ÷ before_g, halves up"),
    ("after_line", "the last line of the ledger before the division: what was carried is the sum up to there"),
    ("all_of_it", "1: the whole boil was lost"),
    ("all_that_is_left", "1: all that was left of the juice, whatever amount_g says"),
    ("amount", "how much juice, by amount_kind: grams, or millilitres at temp_c"),
    ("amount_g", "grams; 0: taken out again"),
    ("amount_kind", "mass (grams) or volume (millilitres)"),
    ("answers", "the line that this one takes back"),
    ("at", "when it was written, seconds since 1970-01-01 00:00 UTC; at_local is the co-op's own time"),
    ("basis", "what is divided by: solids, juice_mass, juice_volume or cane_mass"),
    ("before_g", "weight of the sample as it came"),
    ("boil_fee_cents", "fee of a boil, shared by weight among its members"),
    ("brix", "Brix as read"),
    ("brix_1", "first reading, as read"),
    ("brix_2", "second reading"),
    ("brix_3", "third reading, where the first two did not agree"),
    ("brix_20c", "Brix at 20 °C; for a juice: the mean of the readings, corrected for temperature, to 0.01"),
    ("by", "number of the member who wrote it"),
    ("by_mistake", "of jars found, 1: they had been noted as broken by mistake; 0: they were missing, or, before that was asked, missing first and broken by mistake for the rest"),
    ("by_name", "name of the member who wrote it"),
    ("call_by", "how somebody without telephone is reached"),
    ("cane_mc", "fee in thousandths of a cent per pound or kilogram of cane, by rates_in"),
    ("carried_g", "owed from earlier lots, grams; below 0: had in advance"),
    ("carry_g", "owed afterwards: carried_g plus the share, entitled_g, less the jars, jarred_g"),
    ("cents", "money; above 0: the member owes it"),
    ("clean", "1: clean, 0: not, empty: nobody looked"),
    ("clock", "hours of the clock that the member reads times on, 12 or 24"),
    ("closes_min", "minutes after midnight"),
    ("colour", "by the co-op's own card"),
    ("confirmed_at", "when the rules were confirmed; empty: a draft"),
    ("cook", "number of the member who lit it"),
    ("count", "how many jars"),
    ("counted", "1: so many stood there; 0: so many came in"),
    ("credited_min", "minutes that were credited"),
    ("crossed_out", "1: counts nothing"),
    ("cut_at", "when the cane was cut"),
    ("density_kg_m3", "density that a volume was turned into mass with, kg/m³"),
    ("division", "version of the division, from 1; the highest counts"),
    ("dose", "how much of it, as written"),
    ("email", "address"),
    ("entry", "what was entered, by the program's own word for it"),
    ("entitled_g", "the share of this lot, grams: jarred_g of the division by weight after the toll, largest remainder"),
    ("favoured_at", "when a lot had last given this sharer more than was owed; empty: never"),
    ("fill", "number of the fill in its boil"),
    ("filled_at", "when the jars were filled"),
    ("finish_c", "temperature at which it was drawn off, °C"),
    ("finished_at", "when it was finished"),
    ("from_member", "whose it was before"),
    ("frosted", "1: frosted, 0: not, empty: nobody looked"),
    ("given_to", "name of who took the jars, as typed; nobody signed with it"),
    ("graduation_g", "smallest step of the scale"),
    ("grams", "syrup; above 0: the co-op owes it to the member"),
    ("gross_g", "with the trailer"),
    ("hand_over", "number of the receipt"),
    ("headed", "1: heads off, 0: not, empty: nobody looked"),
    ("holds_from", "the day from which the rules hold"),
    ("hour_cents", "credit for an hour"),
    ("hours_most", "most hours credited in a season"),
    ("id", "the id that ties are settled by: lowest SHA-256 of “lot:id”; the mill's is “mill”"),
    ("in_queue", "1: agrees to be named to those who wait at the mill"),
    ("instrument", "what the Brix was read with"),
    ("its_lot", "lot of what was added"),
    ("jar_fee_cents", "fee per jar filled"),
    ("jar_move", "number of the move in jar_moves.csv, the jars that broke, went missing or were found, that the line of the ledger is for; empty: of no such jars"),
    ("jarred_g", "in jars, grams"),
    ("juice", "id of the juice"),
    ("juice_mc", "fee in thousandths of a cent per gallon or litre of juice, by rates_in"),
    ("kind", "what the line is: entitled (a share of a lot), jarred (jars set aside for it), a fee, a payment and so on"),
    ("least_cents", "least charge per member and boil, glass not counted"),
    ("left_at", "when the member left"),
    ("line", "number of the ledger's line"),
    ("lit_at", "when it was lit; juices run out in this order, then by id"),
    ("load", "number of the load on its ticket"),
    ("loss", "in rules.csv who bears a lost boil; in juice_losses.csv the number of the loss"),
    ("lost_at", "when it was lost: it runs out of the juice before boils lit after that"),
    ("lost_g", "grams lost"),
    ("look", "number of the look at its lot"),
    ("lot", "lot code without its hyphen"),
    ("made_at", "when it was made"),
    ("maker", "who made it"),
    ("mass_g", "mass of the juice without its sediment, grams"),
    ("member", "number of the member; empty: the mill"),
    ("member_name", "name of the member, or mill"),
    ("minutes", "minutes worked"),
    ("move", "number of the move"),
    ("name", "name"),
    ("named", "1: agrees to be named"),
    ("net_g", "of a load: what counts, in grams; of jars: grams of syrup in each"),
    ("net_lb_10000", "what counts in ten-thousandths of a pound, where the scale showed pounds"),
    ("note", "remark"),
    ("opened_at", "when the season was opened"),
    ("mill_mends", "1: the mill makes good what breaks on its shelf; empty: not voted, since the rule came later"),
    ("lots_repay_pct", "of 100 of a lot in jars, how much may repay members without juice in it; empty: not voted, all of it"),
    ("opens_min", "minutes after midnight"),
    ("paid_on", "the day a payment was made"),
    ("record", "what it became: the lot, or the id of a ticket or juice"),
    ("receipt", "number on the receipt of a payment"),
    ("ph", "of the juice, where it had waited"),
    ("smell", "of the juice, where it had waited"),
    ("taste", "as it was tasted"),
    ("pan", "name of the pan"),
    ("part", "1: a part-jar, a jar of its own weight"),
    ("patronage", "1: the margin goes back by solids"),
    ("phone", "telephone"),
    ("place", "order on the page of the division"),
    ("pools", "1: boils together with others"),
    ("press_day", "date of the press day"),
    ("pressed_at", "when it was pressed"),
    ("price_cents", "price of one empty jar"),
    ("rates_in", "us: per pound of 453.59237 g and gallon of 3785.411784 mL; metric: per kilogram and litre"),
    ("read_at", "when it was read"),
    ("reading", "number of the reading"),
    ("replaces", "number of the one that this corrects"),
    ("role", "member, crew or steward"),
    ("rules", "version of the season's rules"),
    ("says", "the line in words"),
    ("scale", "name of the scale"),
    ("season", "year of the season"),
    ("measured_by", "number of the member who weighed, measured, read or filled, as the paper says"),
    ("typed_at", "when it was typed in"),
    ("typed_by", "number of the member who typed it in"),
    ("second_signature", "1: a second person signs each division"),
    ("sediment", "left in the vessel, in the same kind as amount"),
    ("signed_by", "name of the second person, who signed with the own passphrase or PIN; empty: nobody"),
    ("size_name", "name of the size"),
    ("skimmed_g", "skimmings, grams"),
    ("solids_g", "dissolved solids, grams: mass_g × brix_20c / 100, halves up"),
    ("spilt_g", "spilt, grams"),
    ("stripped", "1: leaves off, 0: not, empty: nobody looked"),
    ("syrup_g", "syrup out of the pan, grams"),
    ("syrup_mc", "price of carried syrup, thousandths of a cent per pound or kilogram, by rates_in"),
    ("tare_g", "empty trailer"),
    ("target_bx", "finish target"),
    ("temp_c", "temperature, °C"),
    ("ticket", "number of the ticket in its season"),
    ("to_member", "whose it is since"),
    ("toll_bp", "the mill's toll, hundredths of a percent"),
    ("trash_off", "1: what a sample says is trash is taken off the cane; 0: it is only noted"),
    ("unpressed", "1: the cane was not pressed; 0: that was taken back"),
    ("version", "from 1; the highest written up to a moment is what counted then"),
    ("vessel", "name of the vessel"),
    ("volume_20c_ml", "volume at 20 °C without sediment, millilitres"),
    ("water_boil_c", "temperature of boiling water that day, °C"),
    ("way", "way of dividing. 1: what the mill is owed from before claims jars whatever lots_repay_pct says; 2: that bounds what the mill is given beyond its own share too; 3: as 2, and each whole jar that still fits under the bound is given"),
    ("weighed_at", "when it was weighed"),
    ("weight", "brought, in what is divided by: grams or millilitres"),
    ("went", "where the cane went"),
    ("what", "what it was"),
    ("why", "why it was corrected"),
    ("worked_on", "the day on which the hours were worked, whose rules they were credited by; empty: not asked then"),
];

fn readme() -> String {
    let mut out = String::from(
        "The whole book of the co-op, one table a file: commas between cells, a line a row, UTF-8. A text that begins like a\n\
         formula has an apostrophe before it. Nothing in the book is overwritten: what was corrected has several versions.\n\n\
         Files\n\n",
    );
    for sheet in SHEETS.iter().chain([&JUICES]) {
        let _ = writeln!(out, "{}.csv: one row is {}.", sheet.name, sheet.about);
    }
    out.push_str(
        "\nColumns. Beside each column of seconds one of the same name with _local gives the co-op's own time.\n\n",
    );
    for (column, means) in COLUMNS {
        let _ = writeln!(out, "{column}: {means}");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_readme_says_what_every_column_means() {
        let named = |head: &str| COLUMNS.iter().any(|(column, _)| *column == head);
        let heads = SHEETS.iter().chain([&JUICES]).flat_map(BookSheet::heads);
        let unnamed: Vec<&str> = heads.chain(RECKONED).filter(|head| !named(head)).collect();
        assert!(unnamed.is_empty(), "{unnamed:?}");
    }
}
