//! Who may take back what was just written, and for how long. Afterwards it is corrected, with why.

use crate::calc::RuleRefusal;
use crate::units::{MemberId, UtcSecond};

/// How long whoever wrote an entry may take it back without a reason, seconds.
pub const UNDO_S: i64 = 600;

/// The reason kept with an entry that was taken back.
pub const UNDONE: &str = "undone at once by who wrote it";

/// What stands as the reason on an entry that was put right meanwhile, and nobody gave one.
pub const AT_ONCE: &str = "put right at once by who wrote it";

/// The last version of an entry.
#[derive(Debug, Clone, Copy)]
pub struct Written<'a> {
    /// The person who wrote it.
    pub by: MemberId,
    /// That person's name.
    pub by_name: &'a str,
    /// When it was written.
    pub at: UtcSecond,
    /// Whether this version only takes an earlier one back.
    pub undone: bool,
}

/// The moment until which whoever wrote an entry may take it back.
pub const fn undo_ends(written: UtcSecond) -> UtcSecond {
    UtcSecond::new(written.get() + UNDO_S)
}

/// Whether somebody may take an entry back at a time.
///
/// # Errors
/// Somebody else wrote it, ten minutes are over, or it was taken back already.
pub fn may_undo(of: &Written<'_>, (who, at): (MemberId, UtcSecond)) -> Result<(), RuleRefusal> {
    let why = if of.undone {
        "It was undone already. Correct it instead, and say why.".to_owned()
    } else if of.by != who {
        format!(
            "{} wrote it, so only {} can undo it. Correct it instead, and say why.",
            of.by_name, of.by_name
        )
    } else if at > undo_ends(of.at) {
        "Ten minutes are over. Correct it instead, and say why.".to_owned()
    } else {
        return Ok(());
    };
    Err(RuleRefusal::new("not-undone", why))
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    #[test]
    fn who_wrote_it_may_undo_it_for_ten_minutes_and_once() {
        let (own, other) = (
            MemberId::new(Uuid::from_u128(1)),
            MemberId::new(Uuid::from_u128(2)),
        );
        let at = UtcSecond::new(1_000_000);
        let mut written = Written {
            by: own,
            by_name: "Cora Pell",
            at,
            undone: false,
        };
        assert!(may_undo(&written, (own, at.plus(600))).is_ok());
        let late = may_undo(&written, (own, at.plus(601))).unwrap_err();
        assert!(late.sentence.contains("Ten minutes are over"), "{late}");
        let others = may_undo(&written, (other, at)).unwrap_err();
        assert!(others.sentence.contains("Cora Pell wrote it"), "{others}");
        written.undone = true;
        assert!(may_undo(&written, (own, at)).is_err());
    }
}
