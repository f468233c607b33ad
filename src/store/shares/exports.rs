//! Whole seasons for spreadsheets: shares and loads, one row each.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{Grams, LotCode, MemberName, PressDate, SeasonId, UtcSecond};

/// One share of a divided boil.
#[derive(Debug, Clone)]
pub struct ShareOut {
    /// The lot.
    pub lot: LotCode,
    /// Its press day.
    pub date: PressDate,
    /// Version of the division: the latest.
    pub version: i64,
    /// The basis that the syrup was divided by.
    pub basis: String,
    /// Number of the member; `None`: the mill.
    pub number: Option<i64>,
    /// That member's name.
    pub name: Option<MemberName>,
    /// What was brought, in the season's basis: g or mL.
    pub weight: i64,
    /// Dissolved solids that the sharer brought.
    pub solids: Grams,
    /// Grams owed to the sharer from before; below zero: had too much.
    pub carried: Grams,
    /// Grams that the boil entitled the sharer to.
    pub entitled: Grams,
    /// Syrup in jars set aside.
    pub jarred: Grams,
    /// Grams owed to the sharer afterwards; below zero: had too much.
    pub carry: Grams,
}

/// One version of a load.
#[derive(Debug, Clone)]
pub struct LoadOut {
    /// The ticket.
    pub ticket: i64,
    /// The press day.
    pub date: PressDate,
    /// Number of the member.
    pub member: i64,
    /// That member's name.
    pub name: MemberName,
    /// Number of the load on its ticket.
    pub number: i64,
    /// Version of the weighing; the highest counts.
    pub version: i64,
    /// The scale.
    pub scale: String,
    /// Gross weight.
    pub gross: Grams,
    /// Tare weight.
    pub tare: Grams,
    /// Net weight that counts.
    pub net: Grams,
    /// Whether it is crossed out.
    pub void: bool,
    /// Why it was corrected.
    pub why: String,
    /// Name of who weighed it.
    pub by_name: MemberName,
    /// When it was on the scale.
    pub weighed_at: UtcSecond,
    /// Who typed it in, when it was written on paper first.
    pub typed_by: Option<MemberName>,
    /// When it was written down.
    pub at: UtcSecond,
}

/// The shares of a season, lot by lot.
pub fn shares(season: SeasonId) -> Question<Vec<ShareOut>> {
    question!(
        ShareOut,
        r#"select b.lot_code as "lot: LotCode", p.date as "date: PressDate", d.version as "version!: i64",
        d.basis as "basis!: String", m.number as "number?: i64", m.name as "name?: MemberName", s.weight,
        s.solids_g as "solids: Grams", s.carried_g as "carried: Grams", s.entitled_g as "entitled: Grams",
        s.jarred_g as "jarred: Grams", s.carry_g as "carry: Grams"
        from shares s join latest_divisions d on d.id = s.division_id join boils b on b.id = d.boil_id
        join press_days p on p.id = b.press_day_id left join members m on m.id = s.member_id
        where b.season_id = ?1 order by b.lit_at, b.id, s.place"#,
        season
    )
}

/// Every version of every load of a season, by ticket.
pub fn loads(season: SeasonId) -> Question<Vec<LoadOut>> {
    question!(
        LoadOut,
        r#"select d.ticket, p.date as "date: PressDate", m.number as member, m.name as "name: MemberName",
        l.number, l.version, c.name as scale, l.gross_g as "gross: Grams", l.tare_g as "tare: Grams", coalesce(l.net_g, l.gross_g - l.tare_g) as "net!: Grams",
        l.void as "void: bool", l.why, w.name as "by_name: MemberName",
        coalesce(l.weighed_at, l.at) as "weighed_at!: UtcSecond",
        (select y.name from typed_in t join members y on y.id = t.typed_by where t.record = l.ticket_id
          and t.typed_at = l.at limit 1) as "typed_by?: MemberName", l.at as "at: UtcSecond"
        from loads l join tickets d on d.id = l.ticket_id join press_days p on p.id = d.press_day_id
        join members m on m.id = d.member_id join scales c on c.id = l.scale_id join members w on w.id = l.by_id
        where d.season_id = ?1 order by d.ticket, l.number, l.version"#,
        season
    )
}
