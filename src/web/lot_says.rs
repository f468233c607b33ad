//! Where a lot is for a member whose juice is in it, in a sentence or two, with what was lost of its syrup.

use crate::calc::shares::my_cane::LotState;
use crate::facts::shares::my_cane::{FinishFrom, MyLot};
use crate::store::shares::hand_overs::AsideRow;
use crate::web::boil::boil_words::count_words;
use crate::web::reader::Reader;
use std::iter;

/// Where a lot is, in a sentence or two.
pub(super) fn lot_says(lot: &MyLot, reader: Reader<'_>) -> String {
    let code = &lot.row.lot;
    let again = if lot.marks.reopened {
        " Something in it is being put right; it will be divided again."
    } else {
        ""
    };
    let says = match lot.state() {
        LotState::OnFire => {
            let poured = reader.when(lot.marks.poured_at);
            let with = with(lot);
            format!(
                "In the pan since {poured}, lot {code}{with}. {}",
                done(lot, reader)
            )
        }
        LotState::DrawnOff => {
            let at = lot.marks.finished_at.unwrap_or(lot.marks.poured_at);
            format!(
                "Lot {code} was drawn off at {} and is put in jars next.",
                reader.when(at)
            )
        }
        LotState::BeingJarred => format!("Lot {code} is being put in jars. It is divided next."),
        LotState::InJars => format!("Lot {code} is in jars. It is divided next."),
        LotState::ToFetch(_) if lot.marks.handed > 0 => format!(
            "Lot {code} is divided: {}{} still to fetch; {} fetched{}.",
            jar_words(&lot.jars),
            reader.says("", " of this card’s"),
            count_words(lot.marks.handed, "jar"),
            fetched_by(lot, reader)
        ),
        LotState::ToFetch(_) => format!(
            "Lot {code} is divided: {} {} at the mill.",
            jar_words(&lot.jars),
            reader.says("of yours", "of this card’s")
        ),
        LotState::Shared => format!(
            "Lot {code} is divided. No jar of it is {}.",
            reader.says(
                "yours; what you are owed of it is carried to your next lot",
                "this card’s; what it is owed of it is carried to its next lot"
            )
        ),
        LotState::Fetched => {
            let at = lot.marks.handed_at.unwrap_or(lot.marks.poured_at);
            format!(
                "Lot {code} is divided, and {} jars were handed over on {}.",
                reader.says("your", "this card’s"),
                reader.zone.show(at)
            )
        }
        LotState::Lost => String::new(),
    };
    let gone = lot.syrup_lost.iter();
    let gone = gone.map(|gone| gone.says(reader.units, reader.zone));
    let told = iter::once(format!("{says}{again}")).chain(gone);
    let told: Vec<String> = told.filter(|words| !words.is_empty()).collect();
    told.join(" ")
}

/// " by Sat 10 Oct 2026 11:27", of the last jars that were handed over.
fn fetched_by(lot: &MyLot, reader: Reader<'_>) -> String {
    let at = lot.marks.handed_at.map(|at| reader.zone.show(at));
    at.map_or_else(String::new, |at| format!(" by {at}"))
}

/// When a boil on the fire should be done, and how sure that is.
fn done(lot: &MyLot, reader: Reader<'_>) -> String {
    let Some(done) = lot.done else {
        return "When it will be done cannot be told yet.".to_owned();
    };
    let about = reader.when(done.at);
    match (done.told, done.between) {
        (FinishFrom::Done, _) => {
            "By its readings it is done about now, and is drawn off next.".to_owned()
        }
        (FinishFrom::DrawnEarly(drawn), _) => format!(
            "Its fire was drawn at {}, and by its readings it is not done. When it will be is told once the fire burns again.",
            reader.when(drawn)
        ),
        (FinishFrom::DrawnUnread(drawn), _) => format!(
            "Its fire was drawn at {}, and no reading was noted before. When it will be done is told once the fire burns again.",
            reader.when(drawn)
        ),
        (_, Some((from, to))) => format!(
            "Done about {about}, most likely (4 chances in 5) between {} and {}.",
            reader.when(from),
            reader.when(to)
        ),
        (FinishFrom::ByPlan, None) => {
            format!("Done about {about} as planned; no reading has been noted yet.")
        }
        (_, None) => {
            "It is too early to tell when it will be done: too few readings have been noted."
                .to_owned()
        }
    }
}

/// ", with Bea Lund and 2 others".
fn with(lot: &MyLot) -> String {
    let (named, others) = &lot.with;
    let mut all: Vec<String> = named.iter().map(ToString::to_string).collect();
    match (others, all.is_empty()) {
        (0, _) => {}
        (1, true) => all.push("another member".to_owned()),
        (1, false) => all.push("one other".to_owned()),
        (n, true) => all.push(format!("{n} other members")),
        (n, false) => all.push(format!("{n} others")),
    }
    match all.split_last() {
        None => String::new(),
        Some((only, [])) => format!(", with {only}"),
        Some((last, rest)) => format!(", with {} and {last}", rest.join(", ")),
    }
}

/// "8 quarts, 1 pint" of those still at the mill.
fn jar_words(jars: &[AsideRow]) -> String {
    let left = jars.iter().filter(|jars| jars.left() > 0);
    let words: Vec<String> = left
        .map(|jars| {
            if jars.part && jars.left() == 1 {
                "a part-jar".to_owned()
            } else if jars.part {
                count_words(jars.left(), "part-jar")
            } else {
                count_words(jars.left(), &jars.size_name)
            }
        })
        .collect();
    words.join(", ")
}
