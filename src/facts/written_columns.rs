//! Columns and figures in words: "toll", "12.5 %", "height above the sea", "290 m".

use crate::calc::Basis;
use crate::calc::cane::morning::Item;
use crate::calc::shares::ledger::Entry;
use crate::units::{BasisPoints, Cents, MilliCents, Pounds};
use serde_json::Value;

/// Columns whose name says too little to a reader.
#[rustfmt::skip] // one column a line
const NAMES: &[(&str, &str)] = &[
    ("acts", "acts for the card"),
    ("after_g", "weight of the sample, stripped"),
    ("after_line", "last line of the ledger before it"),
    ("altitude_m", "height above the sea"),
    ("amount_kind", "measured by"),
    ("answers", "line that it takes back"),
    ("apart_m", "distance between plants"),
    ("at", "time"),
    ("before_g", "weight of the sample as it came"),
    ("boil_fee_cents", "fee per boil"),
    ("brings", "brings cane"),
    ("brix_1", "first Brix reading"),
    ("brix_2", "second Brix reading"),
    ("brix_20c", "Brix at 20 °C"),
    ("brix_3", "third Brix reading"),
    ("by_id", "who wrote it"),
    ("by_mistake", "noted as broken by mistake"),
    ("call_by", "whom to call"),
    ("cane_mc", "fee for cane"),
    ("cane_warn_days", "days after cutting that are warned of"),
    ("carried_g", "owed from earlier lots"),
    ("carry_g", "carried on"),
    ("cents", "money"),
    ("changed_at", "changed"),
    ("changeover_min", "time between two turns"),
    ("clean_said", "looked at whether it is clean"),
    ("clock", "hours of the clock"),
    ("contact_phone", "telephone"),
    ("credited_min", "time credited"),
    ("cutoff_h", "turns change until so long before"),
    ("declared_g", "weight on the label"),
    ("email", "e-mail"),
    ("ends_at", "good until"),
    ("entitled_g", "share of the lot"),
    ("favoured_at", "last given more than was owed"),
    ("finish_c", "temperature at the end"),
    ("floor_bx", "lowest finish, °Bx"),
    ("forbidden", "nothing is proposed"),
    ("from_min", "from"),
    ("frosted_said", "looked at for frost"),
    ("grams", "syrup"),
    ("headed_said", "looked at whether heads are off"),
    ("hold_amber_min", "juice that waits is amber after"),
    ("hold_red_min", "juice that waits is red after"),
    ("hour_cents", "credit for an hour"),
    ("hours_most", "most hours credited"),
    ("in_queue", "named in the day’s queue"),
    ("jar_fee_cents", "fee per jar"),
    ("jar_move", "number of its note on jars"),
    ("jarred_g", "in jars"),
    ("juice_mc", "fee for juice"),
    ("juice_pct", "juice of the cane"),
    ("latitude", "degrees north"),
    ("least_cents", "least charge"),
    ("least_ml", "least juice"),
    ("left_at", "left"),
    ("longitude", "degrees east"),
    ("loss", "who bears a lost boil"),
    ("lots_repay_pct", "part of a lot that repays others"),
    ("made_at", "made"),
    ("made_by", "made by"),
    ("maturity_days", "days until it is ripe"),
    ("member_id", "belongs to"),
    ("mill_g_per_h", "cane pressed in an hour"),
    ("mill_mends", "the mill makes good what breaks"),
    ("most_ml", "most juice"),
    ("named", "agrees to be named"),
    ("net_g", "net weight"),
    ("net_lb", "net weight in pounds"),
    ("no_show_at", "did not come"),
    ("offer_min", "an offer stands for"),
    ("part", "part-jar"),
    ("passphrase_hash", "passphrase"),
    ("patronage", "the margin goes back"),
    ("phone", "telephone"),
    ("pin_hash", "PIN"),
    ("pools", "boils with others"),
    ("price_cents", "price of an empty jar"),
    ("rates_in", "rates are per pound or kilogram"),
    ("read_again_one_in", "tickets read again, one in"),
    ("recovery_pct", "sugar that reaches the syrup"),
    ("retired_at", "taken out of use"),
    ("row_kg_per_m", "cane of a metre of row"),
    ("row_m", "length of the rows"),
    ("sample_c", "temperature of the sample"),
    ("second_signature", "a second person signs"),
    ("sign_in", "name to sign in with"),
    ("size_name", "size"),
    ("solids_g", "dissolved solids"),
    ("solo_member_id", "boiled alone for"),
    ("stalk_g", "weight of a stalk"),
    ("stripped_said", "looked at whether leaves are off"),
    ("syrup_mc", "price of carried syrup"),
    ("target_bx", "finish target, °Bx"),
    ("temp_c", "temperature"),
    ("to_min", "until"),
    ("token_hash", "key"),
    ("told_amount", "amount told"),
    ("told_as", "told by"),
    ("toll_bp", "toll"),
    ("trash_off", "trash is taken off"),
    ("unpressed", "not pressed"),
    ("used_at", "used"),
    ("void", "crossed out"),
    ("water_boil_c", "boiling point of water"),
    ("whole", "all of it"),
    ("yield_amber_pct", "yield of juice is amber from"),
    ("yield_red_pct", "yield of juice is red from"),
];

/// Columns that hold something else than their name says, by table.
const OF_TABLES: [(&str, &str, &str); 5] = [
    ("coop", "way", "way to the mill"),
    ("divisions", "way", "way of dividing"),
    ("hand_overs", "signed_by", "given to"),
    ("recall_ends", "signed_by", "answers for it"),
    ("shares", "weight", "brought"),
];

/// Columns that say yes (1) or no (0).
const YES_OR_NO: [&str; 27] = [
    "acts",
    "brings",
    "by_mistake",
    "clean",
    "counted",
    "copied",
    "drill",
    "forbidden",
    "frosted",
    "good",
    "headed",
    "held",
    "helps",
    "in_queue",
    "letters",
    "locked",
    "mill_mends",
    "named",
    "part",
    "patronage",
    "pools",
    "second_signature",
    "stripped",
    "trash_off",
    "unpressed",
    "void",
    "whole",
];

/// Columns of minutes after midnight.
const TIMES: [&str; 5] = ["opens_min", "closes_min", "start_min", "from_min", "to_min"];

/// Endings of columns, and the unit that they say.
const UNITS: [(&str, &str); 11] = [
    ("_kg_per_m", "kg per m"),
    ("_g_per_h", "g"),
    ("_l_per_m2_h", "L per m² and hour"),
    ("_pct", "%"),
    ("_min", "min"),
    ("_ml", "mL"),
    ("_m2", "m²"),
    ("_g", "g"),
    ("_c", "°C"),
    ("_h", "h"),
    ("_m", "m"),
];

/// A column of a table in words.
pub(super) fn column(table: &str, column: &str) -> String {
    let own = OF_TABLES
        .iter()
        .find(|(of, name, _)| (*of, *name) == (table, column));
    if let Some((_, _, says)) = own {
        return (*says).to_owned();
    }
    if let Some((_, name)) = NAMES.iter().find(|(of, _)| *of == column) {
        return (*name).to_owned();
    }
    let unit = UNITS.iter().find_map(|(end, _)| column.strip_suffix(end));
    let bare = unit.unwrap_or(column);
    ["_id", "_cents", "_bp", "_mc", "_hash"]
        .iter()
        .fold(bare, |name, end| name.strip_suffix(end).unwrap_or(name))
        .replace('_', " ")
}

/// A figure with its unit, by its column; `None`: the column says no unit.
pub(super) fn figure(column: &str, value: &Value) -> Option<String> {
    if !value.is_number() {
        return None;
    }
    if let Some(n) = value.as_i64() {
        if YES_OR_NO.contains(&column) {
            return Some(if n == 0 { "no" } else { "yes" }.to_owned());
        }
        if TIMES.contains(&column) {
            return Some(format!("{:02}:{:02}", n / 60, n % 60));
        }
        if column.ends_with("cents") {
            return Some(Cents::new(n).show());
        }
        if column.ends_with("_mc") {
            return Some(MilliCents::new(n).show());
        }
        if column.ends_with("_bp") {
            return BasisPoints::new(n).ok().map(BasisPoints::show);
        }
        if column == "grams" {
            return Some(format!("{n} g"));
        }
        if column == "net_lb" {
            return Some(Pounds::new(n).show());
        }
    }
    let (_, unit) = UNITS.iter().find(|(end, _)| column.ends_with(end))?;
    Some(format!("{value} {unit}"))
}

/// Columns that hold a word of the program's own.
const OWN_WORDS: [&str; 11] = [
    "amount_kind",
    "basis",
    "fuel_kind",
    "instrument",
    "item",
    "kind",
    "loss",
    "outcome",
    "state",
    "task",
    "told_as",
];

/// A word of the program's own as people say it: "fee for cane", "juice mass"; `None`: the column holds none.
pub(super) fn own_word(column: &str, word: &str) -> Option<String> {
    if !OWN_WORDS.contains(&column) {
        return None;
    }
    let of_ledger = || Entry::parse(word).ok().map(Entry::says);
    let known = match column {
        "kind" => of_ledger(),
        "basis" => Basis::parse(word).ok().map(Basis::label),
        "item" => Item::parse(word).map(Item::name),
        _ => None,
    };
    Some(known.map_or_else(|| word.replace('_', " "), str::to_owned))
}

/// A rule of a season by the column that holds it, in words.
pub(super) fn rule(word: &str) -> String {
    column("season_rules", word)
}

/// A time in words with its seconds: "Sat 3 Oct 2026 10:20:07".
pub(super) fn with_seconds(shown: &str, second: i64) -> String {
    let minute = shown.trim_end_matches(|c: char| !c.is_ascii_digit());
    format!(
        "{minute}:{:02}{}",
        second.rem_euclid(60),
        &shown[minute.len()..]
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_and_figures_are_said_as_people_say_them() {
        assert_eq!(column("season_rules", "toll_bp"), "toll");
        assert_eq!(column("coop", "altitude_m"), "height above the sea");
        assert_eq!(column("pans", "retired_at"), "taken out of use");
        assert_eq!(column("scales", "graduation_g"), "graduation");
        assert_eq!(column("payments", "paid_on"), "paid on");
        assert_eq!(column("divisions", "signed_by"), "signed by");
        assert_eq!(column("hand_overs", "signed_by"), "given to");
        let said = |column, value: Value| figure(column, &value);
        assert_eq!(said("toll_bp", 1250.into()).as_deref(), Some("12.5 %"));
        assert_eq!(
            said("altitude_m", 289.56.into()).as_deref(),
            Some("289.56 m")
        );
        assert_eq!(said("opens_min", 425.into()).as_deref(), Some("07:05"));
        assert_eq!(said("void", 1.into()).as_deref(), Some("yes"));
        assert_eq!(column("boil_fills", "part"), "part-jar");
        assert_eq!(said("part", 0.into()).as_deref(), Some("no"));
        assert_eq!(said("number", 3.into()), None);
        assert_eq!(
            with_seconds("Sat 3 Oct 2026 10:20", 67),
            "Sat 3 Oct 2026 10:20:07"
        );
        assert_eq!(
            with_seconds("Sat 3 Oct 2026 10:20 am", 59),
            "Sat 3 Oct 2026 10:20:59 am"
        );
    }
}
