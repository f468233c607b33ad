//! The seasons in the order that somebody looks for them.

use super::seasons::Season;
use crate::store::Question;
use crate::store::question::question;
use crate::units::{MemberId, SeasonId};

/// The seasons, those first in which cane was weighed in, the latest of these first: one that is only opened moves nobody out
/// of sight.
pub fn by_use() -> Question<Vec<Season>> {
    question!(
        Season,
        r#"select s.id as "id: SeasonId", s.year from seasons s
        order by exists (select 1 from tickets t where t.season_id = s.id) desc, s.year desc"#
    )
}

/// The seasons as a member pays for them: while anything is to pay, the first in which something is comes first; the others by
/// use, as with [`by_use`].
pub fn to_pay_for(member: MemberId) -> Question<Vec<Season>> {
    question!(
        Season,
        r#"select s.id as "id: SeasonId", s.year from seasons s
        order by case when (select coalesce(sum(l.cents), 0) from ledger l where l.member_id = ?1) > 0
          and (select coalesce(sum(l.cents), 0) from ledger l where l.member_id = ?1 and l.season_id = s.id) > 0
          then s.year else 10000 end,
        exists (select 1 from tickets t where t.season_id = s.id) desc, s.year desc"#,
        member
    )
}
