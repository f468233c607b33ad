//! The ledger: numbered lines of grams and cents. A line is never changed, only answered by another.

use crate::calc::shares::ledger::Entry;
use crate::store::question::question;
use crate::store::{Conn, Question, StoreError, Stored, Together};
use crate::units::{
    BoilId, Cents, DivisionId, Grams, LotCode, MemberId, MemberName, PressDate, SeasonId,
    UtcSecond, by_name,
};

/// A line to be written.
#[derive(Debug, Clone)]
pub struct NewLine {
    /// Number of the line.
    pub number: i64,
    /// The season it belongs to.
    pub season_id: SeasonId,
    /// The member whose line it is; `None`: the mill.
    pub member_id: Option<MemberId>,
    /// What the line is for.
    pub kind: Entry,
    /// Syrup; plus: owed to the sharer.
    pub grams: Grams,
    /// Money; plus: owed by the sharer.
    pub cents: Cents,
    /// The boil it comes from.
    pub boil_id: Option<BoilId>,
    /// The division that writes it.
    pub division_id: Option<DivisionId>,
    /// The line as it is printed.
    pub says: String,
    /// The line that it takes back, if it takes one back.
    pub answers: Option<i64>,
    /// Number of the entry about broken, missing or found jars that it belongs to.
    pub jar_move: Option<i64>,
    /// The member who writes it.
    pub by_id: MemberId,
    /// When it is written.
    pub at: UtcSecond,
}

/// A line as it stands.
#[derive(Debug, Clone)]
pub struct LedgerLine {
    /// Number of the line.
    pub number: i64,
    /// The season it belongs to.
    pub season_id: SeasonId,
    /// The member whose line it is; `None`: the mill.
    pub member_id: Option<MemberId>,
    /// That member's name.
    pub member_name: Option<MemberName>,
    /// What the line is for.
    pub kind: Entry,
    /// Syrup; plus: owed to the sharer.
    pub grams: Grams,
    /// Money; plus: owed by the sharer.
    pub cents: Cents,
    /// Lot code of the boil it comes from, or of the jars that it is about.
    pub lot: Option<LotCode>,
    /// The boil it comes from.
    pub boil_id: Option<BoilId>,
    /// The version of the division that wrote it.
    pub version: Option<i64>,
    /// The line as it is printed.
    pub says: String,
    /// The line that it takes back, if it takes one back.
    pub answers: Option<i64>,
    /// The line that takes it back, if one does.
    pub answered_by: Option<i64>,
    /// The day of a payment; `None`: it is none, or it takes one back.
    pub paid_on: Option<PressDate>,
    /// Name of who wrote it.
    pub by_name: MemberName,
    /// When it was written.
    pub at: UtcSecond,
}

/// A sharer's balance on the books.
#[derive(Debug, Clone)]
pub struct Balance {
    /// The member whose balance it is; `None`: the mill.
    pub member_id: Option<MemberId>,
    /// That member's name.
    pub name: Option<MemberName>,
    /// Syrup over all seasons; plus: owed to the sharer.
    pub grams: Grams,
    /// Money over all seasons; plus: owed by the sharer.
    pub cents: Cents,
    /// Money of the season asked for.
    pub season_cents: Cents,
}

struct LineColumns {
    number: i64,
    season_id: SeasonId,
    member_id: Option<MemberId>,
    member_name: Option<MemberName>,
    kind: String,
    grams: Grams,
    cents: Cents,
    lot: Option<LotCode>,
    boil_id: Option<BoilId>,
    version: Option<i64>,
    says: String,
    answers: Option<i64>,
    answered_by: Option<i64>,
    paid_on: Option<PressDate>,
    by_name: MemberName,
    at: UtcSecond,
}

impl LineColumns {
    fn read(self) -> Stored<LedgerLine> {
        let kind = Entry::parse(&self.kind).map_err(|_| StoreError::Corrupt {
            what: "ledger.kind",
            found: self.kind,
        })?;
        Ok(LedgerLine {
            number: self.number,
            season_id: self.season_id,
            member_id: self.member_id,
            member_name: self.member_name,
            kind,
            grams: self.grams,
            cents: self.cents,
            lot: self.lot,
            boil_id: self.boil_id,
            version: self.version,
            says: self.says,
            answers: self.answers,
            answered_by: self.answered_by,
            paid_on: self.paid_on,
            by_name: self.by_name,
            at: self.at,
        })
    }
}

/// Ledger lines; what follows `where` is the caller’s.
macro_rules! lines {
    ($rest:literal, $($bound:expr),*) => {
        question!(
            LineColumns,
            r#"select l.number as "number!", l.season_id as "season_id: SeasonId", l.member_id as "member_id: MemberId",
            m.name as "member_name?: MemberName", l.kind, l.grams as "grams: Grams", l.cents as "cents: Cents",
            coalesce(b.lot_code, j.lot_code) as "lot?: LotCode", l.boil_id as "boil_id: BoilId", d.version as "version?", l.says, l.answers,
            (select a.number from ledger a where a.answers = l.number) as "answered_by: i64",
            (select p.paid_on from payments p where p.line = l.number) as "paid_on: PressDate",
            w.name as "by_name: MemberName", l.at as "at: UtcSecond"
            from ledger l join members w on w.id = l.by_id left join members m on m.id = l.member_id
            left join boils b on b.id = l.boil_id
            left join divisions d on d.id = l.division_id
            left join jar_moves v on v.number = coalesce(l.jar_move, (select o.jar_move from ledger o where o.number = l.answers))
            left join boils j on j.id = v.boil_id where "#
                + $rest,
            $($bound),*
        )
        .try_map(|rows| rows.into_iter().map(LineColumns::read).collect::<Stored<Vec<LedgerLine>>>())
    };
}

/// The line with this number.
pub fn find(number: i64) -> Question<Option<LedgerLine>> {
    lines!("l.number = ?1", number).first()
}

/// What the answers to a line moved so far, together.
pub fn taken_back(number: i64) -> Question<(Grams, Cents)> {
    question!(
        r#"select coalesce(sum(grams), 0) as "grams!: Grams", coalesce(sum(cents), 0) as "cents!: Cents"
        from ledger where answers = ?1"#,
        number
    )
    .one()
    .map(|row| (row.grams, row.cents))
}

/// All lines of a season, latest first.
pub fn of_season(season: SeasonId) -> Question<Vec<LedgerLine>> {
    lines!("l.season_id = ?1 order by l.number desc", season)
}

/// Some lines of a season, `most` of them after `skip` (both at least nought), and how many the season has in all.
pub fn part_of_season(
    season: SeasonId,
    (skip, most): (i64, i64),
    latest_first: bool,
) -> Question<(Vec<LedgerLine>, i64)> {
    let all = question!(
        r#"select count(*) as "n!: i64" from ledger where season_id = ?1"#,
        season
    );
    let lines = if latest_first {
        lines!(
            "l.season_id = ?1 order by l.number desc limit ?2 offset ?3",
            season,
            most,
            skip
        )
    } else {
        lines!(
            "l.season_id = ?1 order by l.number limit ?2 offset ?3",
            season,
            most,
            skip
        )
    };
    (lines, all.one().map(|all| all.n)).together()
}

/// The lines that the divisions of a boil wrote, in order.
pub fn of_boil(boil: BoilId) -> Question<Vec<LedgerLine>> {
    lines!(
        "l.boil_id = ?1 and l.division_id is not null order by l.number",
        boil
    )
}

/// A member's lines of a season, in order.
pub fn of_member(season: SeasonId, member: MemberId) -> Question<Vec<LedgerLine>> {
    lines!(
        "l.season_id = ?1 and l.member_id = ?2 order by l.number",
        season,
        member
    )
}

/// What the ledger of a season says of a member's syrup.
#[derive(Debug, Clone, Copy)]
pub struct SeasonSyrup {
    /// What the season's divisions gave.
    pub entitled: Grams,
    /// What of it was set aside in jars.
    pub jarred: Grams,
    /// What was made good where the season bore a loss.
    pub made_good: Grams,
    /// What was given up for that.
    pub gave_up: Grams,
    /// Of the season's jars those that broke on the mill's shelf, or are missing there.
    pub off_shelf: Grams,
}

/// A member's syrup of a season.
pub fn syrup_of(season: SeasonId, member: MemberId) -> Question<SeasonSyrup> {
    question!(
        SeasonSyrup,
        r#"select coalesce(sum(case kind when 'entitled' then grams end), 0) as "entitled!: Grams",
        coalesce(-sum(case kind when 'jarred' then grams end), 0) as "jarred!: Grams",
        coalesce(sum(case when kind = 'loss' and boil_id is not null and grams > 0 then grams end), 0) as "made_good!: Grams",
        coalesce(-sum(case when kind = 'loss' and boil_id is not null and grams < 0 then grams end), 0) as "gave_up!: Grams",
        coalesce((select sum(v.count * v.net_g * case v.kind when 'found' then -1 else 1 end)
          from jar_moves v join boils b on b.id = v.boil_id
          where v.member_id = ?1 and b.season_id = ?2 and v.kind in ('broken', 'missing', 'found')), 0) as "off_shelf!: Grams"
        from ledger where member_id = ?1 and season_id = ?2"#,
        member,
        season
    )
    .one()
}

/// Syrup and money that a member brought forward from the seasons before a year.
pub fn before_year(member: MemberId, year: i64) -> Question<(Grams, Cents)> {
    question!(r#"select coalesce(sum(l.grams), 0) as "grams!: Grams", coalesce(sum(l.cents), 0) as "cents!: Cents"
        from ledger l join seasons s on s.id = l.season_id where l.member_id = ?1 and s.year < ?2"#,
        member,
        year).one().map(|row| (row.grams, row.cents))
}

/// Syrup in jars set aside in a season, the mill's own included.
pub fn jarred(season: SeasonId) -> Question<Grams> {
    question!(r#"select coalesce(-sum(grams), 0) as "g!: Grams" from ledger where season_id = ?1 and kind = 'jarred'"#,
        season).one().map(|row| row.g)
}

/// Members with a ticket or a line in a season, by name.
pub fn with_season(season: SeasonId) -> Question<Vec<MemberId>> {
    question!(
        r#"select m.id as "id: MemberId", m.name as "name: MemberName" from members m
        where exists (select 1 from tickets d where d.season_id = ?1 and d.member_id = m.id)
        or exists (select 1 from ledger l where l.season_id = ?1 and l.member_id = m.id)
        order by m.number"#,
        season
    )
    .map(|rows| {
        by_name(rows, |row| ((), row.name.as_str()))
            .into_iter()
            .map(|row| row.id)
            .collect()
    })
}

/// Syrup owed to a member and money owed by the member, over all seasons.
pub fn balance_of(member: MemberId) -> Question<(Grams, Cents)> {
    question!(r#"select coalesce(sum(grams), 0) as "grams!: Grams", coalesce(sum(cents), 0) as "cents!: Cents"
        from ledger where member_id = ?1"#,
        member).one().map(|row| (row.grams, row.cents))
}

/// What stands for everybody with a line, by name, the mill first; money also of one season.
pub fn balances(season: SeasonId) -> Question<Vec<Balance>> {
    question!(
        Balance,
        r#"select l.member_id as "member_id: MemberId", m.name as "name?: MemberName",
        l.grams as "grams!: Grams", l.cents as "cents!: Cents", l.season_cents as "season_cents!: Cents"
        from (select member_id, sum(grams) as grams, sum(cents) as cents,
          sum(case when season_id = ?1 then cents else 0 end) as season_cents from ledger group by member_id) l
        left join members m on m.id = l.member_id order by m.number"#,
        season
    )
    .map(|all| {
        by_name(all, |row| {
            (
                row.name.is_some(),
                row.name.as_ref().map_or("", MemberName::as_str),
            )
        })
    })
}

/// The balances of members that are not even: syrup to come or had in advance, money owed or in credit.
pub fn unsettled(season: SeasonId) -> Question<Vec<Balance>> {
    balances(season).map(|all| {
        let uneven = |b: &Balance| b.grams != Grams::ZERO || b.cents != Cents::ZERO;
        let own = all.into_iter().filter(|b| b.member_id.is_some());
        own.filter(uneven).collect()
    })
}

/// Everybody's balances together.
#[derive(Debug, Clone, Copy, Default)]
pub struct AllBalances {
    /// How many balances there are.
    pub count: i64,
    /// Money over all seasons; plus: owed to the mill.
    pub cents: Cents,
}

/// So many balances, those of the most money first, and all of them together.
pub fn largest_balances(season: SeasonId, most: i64) -> Question<(Vec<Balance>, AllBalances)> {
    question!(
        r#"select l.member_id as "member_id: MemberId", m.name as "name?: MemberName",
        l.grams as "grams!: Grams", l.cents as "cents!: Cents", l.season_cents as "season_cents!: Cents",
        count(*) over () as "count!: i64", sum(l.cents) over () as "together!: Cents"
        from (select member_id, sum(grams) as grams, sum(cents) as cents,
          sum(case when season_id = ?1 then cents else 0 end) as season_cents from ledger group by member_id) l
        left join members m on m.id = l.member_id
        order by abs(l.cents) desc, m.name is not null, m.number limit ?2"#,
        season,
        most
    )
    .try_map(|rows| {
        let all = rows
            .first()
            .map_or_else(AllBalances::default, |row| AllBalances {
                count: row.count,
                cents: row.together,
            });
        let balances = rows.into_iter().map(|row| Balance {
            member_id: row.member_id,
            name: row.name,
            grams: row.grams,
            cents: row.cents,
            season_cents: row.season_cents,
        });
        Ok((balances.collect(), all))
    })
}

/// The syrup carried by every sharer whose balance is not nought; `None`: the mill.
pub fn carries() -> Question<Vec<(Option<MemberId>, Grams)>> {
    question!(
        r#"select member_id as "member_id: MemberId", sum(grams) as "grams!: Grams"
        from ledger group by member_id having sum(grams) <> 0"#
    )
    .map(|rows| rows.into_iter().map(|r| (r.member_id, r.grams)).collect())
}

/// A line as far as its sums go.
#[derive(Debug, Clone)]
pub struct SumLine {
    /// Number of the line.
    pub number: i64,
    /// The member whose line it is; `None`: the mill.
    pub member_id: Option<MemberId>,
    /// What the line is for, by the stored word.
    pub kind: String,
    /// Syrup; plus: owed to the sharer.
    pub grams: Grams,
    /// Money; plus: owed by the sharer.
    pub cents: Cents,
    /// The boil it comes from.
    pub boil_id: Option<BoilId>,
    /// Whether a division wrote it.
    pub divided: bool,
    /// The line it answers.
    pub answers: Option<i64>,
}

/// Every line there is, in order, as far as its sums go.
pub fn sum_lines() -> Question<Vec<SumLine>> {
    question!(
        SumLine,
        r#"select number, member_id as "member_id: MemberId", kind, grams as "grams: Grams",
        cents as "cents: Cents", boil_id as "boil_id: BoilId", division_id is not null as "divided!: bool", answers
        from ledger order by number"#
    )
}

/// The syrup carried by every sharer up to a line, that one included.
pub fn carries_until(line: i64) -> Question<Vec<(Option<MemberId>, Grams)>> {
    question!(
        r#"select member_id as "member_id: MemberId", sum(grams) as "grams!: Grams"
        from ledger where number <= ?1 group by member_id having sum(grams) <> 0"#,
        line
    )
    .map(|rows| rows.into_iter().map(|r| (r.member_id, r.grams)).collect())
}

/// The number of the next line. Numbers run on without gaps: there is one writer.
pub fn next_number() -> Question<i64> {
    question!(r#"select coalesce(max(number), 0) + 1 as "n!: i64" from ledger"#)
        .one()
        .map(|row| row.n)
}

/// Adds a line.
pub async fn insert(conn: &mut Conn, l: &NewLine) -> Stored<()> {
    let kind = l.kind.word();
    sqlx::query!(
        r#"insert into ledger (number, season_id, member_id, kind, grams, cents, boil_id, division_id, says, answers,
        by_id, at, jar_move) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)"#,
        l.number,
        l.season_id,
        l.member_id,
        kind,
        l.grams,
        l.cents,
        l.boil_id,
        l.division_id,
        l.says,
        l.answers,
        l.by_id,
        l.at,
        l.jar_move
    )
    .execute(conn)
    .await?;
    Ok(())
}
