//! Ticket numbers that no ticket bears, named, so that nobody looks for a ticket that never was.

/// A number that a phone holds, and whose phone it is.
pub type NumberHeld = (i64, String);

/// The gaps below the highest number, in words; empty when there are none. `borne` are the numbers of the
/// tickets of a season in their order, `held` those that phones hold.
pub fn gaps_in_words(borne: &[i64], held: &[NumberHeld]) -> String {
    let top = borne.last().copied().unwrap_or(0);
    let mut said = Vec::new();
    let mut names: Vec<&str> = held.iter().map(|(_, name)| name.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    for name in names {
        let own: Vec<i64> = held
            .iter()
            .filter(|(_, of)| of == name)
            .map(|(number, _)| *number)
            .collect();
        said.push(format!("held by a phone of {name}: {}", runs(&own)));
    }
    let free = |number: &i64| {
        borne.binary_search(number).is_err() && !held.iter().any(|(held, _)| held == number)
    };
    let never: Vec<i64> = (1..top).filter(free).collect();
    if !never.is_empty() {
        said.push(format!("used by no ticket: {}", runs(&never)));
    }
    if said.is_empty() {
        String::new()
    } else {
        format!("Ticket numbers {}.", said.join("; "))
    }
}

/// “7, 9–12”, of numbers in order.
fn runs(numbers: &[i64]) -> String {
    let mut out: Vec<(i64, i64)> = Vec::new();
    for &number in numbers {
        match out.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => out.push((number, number)),
        }
    }
    let words = out.iter().map(|&(first, last)| match last - first {
        0 => first.to_string(),
        _ => format!("{first}–{last}"),
    });
    words.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn held(numbers: &[i64], name: &str) -> Vec<NumberHeld> {
        numbers.iter().map(|n| (*n, name.to_owned())).collect()
    }

    #[test]
    fn no_gap_is_no_word() {
        assert_eq!(gaps_in_words(&[1, 2, 3], &[]), "");
        assert_eq!(gaps_in_words(&[], &[]), "");
    }

    #[test]
    fn what_phones_hold_and_what_was_never_used_are_named_apart() {
        let mut all = held(&[6, 7, 8, 10], "Cora Pell");
        all.extend(held(&[5], "Ruth Bell"));
        assert_eq!(
            gaps_in_words(&[1, 4, 9], &all),
            "Ticket numbers held by a phone of Cora Pell: 6–8, 10; held by a phone of Ruth Bell: 5; used \
             by no ticket: 2–3."
        );
    }
}
