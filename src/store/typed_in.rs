//! What was written on paper first and typed in later: who typed it in, and when. Rows are read with the records
//! that they belong to.

use crate::store::Question;
use crate::store::question::{change, question};
use crate::units::{FormKey, MemberId, MemberName, UtcSecond};

/// A form that was typed in from paper.
#[derive(Debug, Clone, Copy)]
pub struct NewTypedRow<'a> {
    /// Key of the form.
    pub key: FormKey,
    /// Name of the action that was done.
    pub action: &'a str,
    /// The address it was sent to.
    pub target: &'a str,
    /// The id that the action answered with.
    pub record: &'a str,
    /// Who wrote it on paper.
    pub measured_by: MemberId,
    /// Who typed it in.
    pub typed_by: MemberId,
    /// When it was typed in.
    pub typed_at: UtcSecond,
}

/// Keeps that a form was typed in from paper, with the form.
pub fn insert(t: &NewTypedRow<'_>) -> Question<()> {
    change!(
        r"insert into typed_in (form_key, action, target, record, measured_by, typed_by, typed_at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        t.key,
        t.action,
        t.target,
        t.record,
        t.measured_by,
        t.typed_by,
        t.typed_at
    )
}

/// Who typed something in, and when.
#[derive(Debug, Clone)]
pub struct TypedRow {
    /// Name of the person who typed it in.
    pub by_name: MemberName,
    /// When it was typed in.
    pub at: UtcSecond,
}

/// Who typed in what made a record, such as the boil of a lot code; `None`: it was not on paper.
pub fn made(record: &str, action: &str) -> Question<Option<TypedRow>> {
    question!(
        TypedRow,
        r#"select m.name as "by_name: MemberName", t.typed_at as "at: UtcSecond" from typed_in t
        join members m on m.id = t.typed_by where t.record = ?1 and t.action = ?2 order by t.typed_at limit 1"#,
        record,
        action
    )
    .first()
}
