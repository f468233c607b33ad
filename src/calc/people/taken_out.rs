//! Which words were taken out of a text when somebody was forgotten, by the text as it was and as it was left.

use super::forgetting::KnownBy;

/// The words that gave way to members' numbers: each with the number of the member. `numbers`: of everybody who was forgotten. Empty
/// where the two texts do not fit together otherwise.
pub fn words_taken_out(was: &str, is: &str, numbers: &[i64]) -> Vec<(i64, String)> {
    let (between, whose) = parts(is, numbers);
    let mut out = Vec::new();
    let Some(mut rest) = between.first().and_then(|first| was.strip_prefix(*first)) else {
        return out;
    };
    for (at, (number, after)) in whose.iter().zip(between.iter().skip(1)).enumerate() {
        let last = at + 1 == whose.len();
        let end = match rest.strip_suffix(*after) {
            Some(word) if last => Some(word.len()),
            // What came out longer than a box holds was cut off at its end.
            _ => rest.find(*after).filter(|_| !after.is_empty()),
        };
        let Some((word, left)) = end.and_then(|end| rest.split_at_checked(end)) else {
            return Vec::new();
        };
        if !word.trim().is_empty() && word != KnownBy::new(*number).in_place() {
            out.push((*number, word.trim().to_owned()));
        }
        rest = left.get(after.len()..).unwrap_or_default();
    }
    out
}

/// The texts before, between and after the places where members' numbers stand, and those numbers.
fn parts<'a>(is: &'a str, numbers: &[i64]) -> (Vec<&'a str>, Vec<i64>) {
    let (mut between, mut whose) = (Vec::new(), Vec::new());
    let (mut from, mut at) = (0, 0);
    while let Some(rest) = is.get(at..).filter(|rest| !rest.is_empty()) {
        let fresh = !is
            .get(..at)
            .unwrap_or_default()
            .ends_with(char::is_alphanumeric);
        let found = numbers.iter().find_map(|number| {
            let borne = KnownBy::new(*number);
            let after = rest.strip_prefix(borne.in_place())?;
            let ends = fresh && !after.starts_with(char::is_alphanumeric);
            ends.then(|| (*number, borne.in_place().len()))
        });
        if let Some((number, long)) = found {
            between.push(is.get(from..at).unwrap_or_default());
            whose.push(number);
            at += long;
            from = at;
        } else {
            at += rest.chars().next().map_or(1, char::len_utf8);
        }
    }
    between.push(is.get(from..).unwrap_or_default());
    (between, whose)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nickname_is_found_where_a_number_took_its_place() {
        let taken = |was, is| words_taken_out(was, is, &[9, 12]);
        let one = |number: i64, word: &str| vec![(number, word.to_owned())];
        assert_eq!(taken("from Stubby", "from Member 9"), one(9, "Stubby"));
        assert_eq!(taken("Stubby’s jars", "Member 9’s jars"), one(9, "Stubby"));
        let two = taken("Stubby and Pip, both", "Member 9 and Member 12, both");
        assert_eq!(two, [one(9, "Stubby"), one(12, "Pip")].concat());
        // Nothing was taken out, or the texts are of two things.
        assert!(taken("Member 9 paid", "Member 9 paid").is_empty());
        assert!(taken("paid in coin", "by Member 9").is_empty());
        assert!(taken("from Stubby", "").is_empty());
        // Member 123 is another member.
        assert!(taken("from Stubby", "from Member 123").is_empty());
    }
}
