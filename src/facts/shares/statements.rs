//! A member's season: tickets, lots with the member's part, the ledger's lines, receipts, jars waiting.

use super::frozen_division::Frozen;
use super::poured_juice::{Behind, PouredJuice};
use super::statement_own::{MEMBERS_A_MESSAGE, Own, Weighed};
use super::syrup_lost::SyrupLost;
use crate::calc::cane::trash::Sample;
use crate::calc::shares::division::Division;
use crate::calc::shares::split::Sharer;
use crate::facts::boil::boil_sums;
use crate::facts::rules_versions;
use crate::store::boil::boils::{self, BoilRow};
use crate::store::boil::boils_rules::{self, Moved};
use crate::store::cane::juice::JuiceRow;
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::cane::trash;
use crate::store::cane::yard::LostPart;
use crate::store::people::members::{self, Member};
use crate::store::season::season_close;
use crate::store::season::seasons::{self, Rules, Season};
use crate::store::shares::divisions::{self, DivisionRow};
use crate::store::shares::hand_overs::{AsideRow, HandOverJar, HandOverRow};
use crate::store::shares::jar_moves::JarMove;
use crate::store::shares::ledger::{self, LedgerLine};
use crate::store::shares::lot_losses;
use crate::store::{Conn, Question, StoreError, Stored, Together, in_json};
use crate::units::{BoilId, Cents, Grams, LotCode, PressDate, RulesId, UtcSecond};
use std::collections::{BTreeMap, BTreeSet};

/// A ticket with its loads and juices.
#[derive(Debug, Clone)]
pub struct TicketWithJuices {
    /// The ticket.
    pub ticket: Ticket,
    /// Every version of its loads, the latest of each first.
    pub loads: Vec<LoadRow>,
    /// Net cane: the loads that count, added up.
    pub net: Grams,
    /// A sample that was stripped, and whether the rules of its day take the trash off.
    pub sample: Option<(Sample, bool)>,
    /// Its juices.
    pub juices: Vec<JuiceRow>,
    /// What was spilt or spoilt of them, or measured twice.
    pub lost: Vec<LostPart>,
}

/// A lot, with the juices of one member or of all.
#[derive(Debug, Clone)]
pub struct LotPart {
    /// The boil.
    pub boil: BoilRow,
    /// The rules that it is divided by.
    pub rules: Rules,
    /// The move to those rules, when it was lit under others.
    pub moved: Option<Moved>,
    /// The juices in it.
    pub pours: Vec<PouredJuice>,
    /// The division of the lot, once there is one.
    pub divided: Option<(DivisionRow, Division)>,
    /// All that was lost of its syrup, and what of each would have been the member's: nought where all juices are here.
    pub lost: Vec<(SyrupLost, Grams)>,
}

impl LotPart {
    /// Whether it was divided and is open to be put right: it will be divided again.
    pub fn is_reopened(&self) -> bool {
        self.divided.is_some() && self.boil.divided_at.is_none()
    }
}

/// A receipt with its jars.
#[derive(Debug, Clone)]
pub struct Receipt {
    /// The hand-over.
    pub row: HandOverRow,
    /// The jars on it.
    pub jars: Vec<HandOverJar>,
}

/// All that a statement is made of.
#[derive(Debug, Clone)]
pub struct Statement {
    /// The member whose statement it is.
    pub member: Member,
    /// The season.
    pub season: Season,
    /// The years of all seasons.
    pub years: Vec<i64>,
    /// The season's rules in force.
    pub rules: Rules,
    /// The member's tickets.
    pub tickets: Vec<TicketWithJuices>,
    /// The lots with a part of the member's.
    pub lots: Vec<LotPart>,
    /// Syrup and money brought forward from earlier seasons.
    pub before: (Grams, Cents),
    /// The member's lines of the ledger.
    pub lines: Vec<LedgerLine>,
    /// Receipts for jars of the season's lots.
    pub receipts: Vec<Receipt>,
    /// All jars ever set aside for the member.
    pub aside: Vec<AsideRow>,
    /// What became of the member's jars at the mill.
    pub moves: Vec<JarMove>,
    /// Cane and syrup in jars of the whole season.
    pub whole: (Grams, Grams),
}

/// What all statements of a season have in common, each boil with everybody's part.
#[derive(Debug)]
pub struct SeasonStatements {
    season: Season,
    /// When the season is or was over.
    over: UtcSecond,
    years: Vec<i64>,
    rules: Rules,
    /// Every version of the season's rules.
    versions: Vec<Rules>,
    whole: (Grams, Grams),
    lots: BTreeMap<LotCode, LotPart>,
}

impl SeasonStatements {
    /// Reads what all statements of a season share, as they stand today.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, season: Season, today: PressDate) -> Stored<Self> {
        let nothing = Question::answered(());
        let (shared, ()) = Self::read_with(conn, season, today, nothing).await?;
        Ok(shared)
    }

    /// As [`Self::read`], and what is asked besides, in the same message.
    async fn read_with<T: Send + 'static>(
        conn: &mut Conn,
        season: Season,
        today: PressDate,
        besides: Question<T>,
    ) -> Stored<(Self, T)> {
        let found = (
            tickets::nets(season.id),
            season_close::locked_and_last_day(season.id),
            seasons::list(),
            seasons::rules_list(season.id),
            ledger::jarred(season.id),
            besides,
        );
        let (cane, (locked, last_day), all, versions, jarred, besides) =
            found.together().ask(conn).await?;
        // Of a season that is over those of its last day; else those of today.
        let on = last_day.map_or(today, |last| last.min(today));
        let shared = Self {
            over: locked.unwrap_or_else(|| season_over(season.year, last_day)),
            years: all.iter().map(|s| s.year).collect(),
            rules: rules_versions::holding(&versions, on)?,
            versions,
            whole: (cane.iter().map(|row| row.net).sum(), jarred),
            lots: BTreeMap::new(),
            season,
        };
        Ok((shared, besides))
    }

    /// The statement of one member.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_member(
        conn: &mut Conn,
        season: Season,
        member: Member,
        today: PressDate,
    ) -> Stored<Statement> {
        let (id, own) = (member.id, Own::of(&season, member.id));
        let (mut shared, own) = Self::read_with(conn, season, today, own).await?;
        let mut found = shared.statements(conn, vec![(member, own)]).await?;
        found.pop().ok_or_else(|| lost("members.id", &id))
    }

    /// Statements of what was read for each member, in their order.
    async fn statements(
        &mut self,
        conn: &mut Conn,
        all: Vec<(Member, Own)>,
    ) -> Stored<Vec<Statement>> {
        let codes: Vec<LotCode> = all.iter().flat_map(|(_, own)| own.lots.clone()).collect();
        let names = all.iter().map(|(m, _)| members::name_at(m.id, self.over));
        let found = (
            Weighed::of(all.iter().flat_map(|(_, own)| &own.tickets)),
            Question::all(names),
        );
        let found = self.read_lots(conn, &codes, found.together()).await?;
        let (mut weighed, names) = found;
        let mut out = Vec::with_capacity(all.len());
        for ((mut member, own), then) in all.into_iter().zip(names) {
            // The statement of a season that is over keeps the name of then.
            member.name = then.unwrap_or(member.name);
            out.push(self.statement(member, own, &mut weighed)?);
        }
        Ok(out)
    }

    /// A statement of what was read for it.
    fn statement(&self, member: Member, own: Own, weighed: &mut Weighed) -> Stored<Statement> {
        let mut lots = Vec::with_capacity(own.lots.len());
        for code in own.lots {
            let whole = self.lots.get(&code);
            let whole = whole.ok_or_else(|| lost("boils.lot_code", &code))?;
            let pours = whole.pours.iter();
            let pours = pours.filter(|p| p.draw.member_id == member.id);
            let sharer = Sharer::Member(member.id);
            let lost = whole.lost.iter().map(|(lost, _)| {
                let part = lost.part_of(sharer, &whole.rules, &whole.pours);
                (lost.clone(), part)
            });
            lots.push(LotPart {
                boil: whole.boil.clone(),
                rules: whole.rules.clone(),
                moved: whole.moved.clone(),
                pours: pours.cloned().collect(),
                divided: whole.divided.clone(),
                lost: lost.collect(),
            });
        }
        Ok(Statement {
            rules: self.rules.clone(),
            years: self.years.clone(),
            before: own.before,
            lines: own.lines,
            aside: own.aside,
            moves: own.moves,
            tickets: self.tickets(own.tickets, &own.juices, weighed)?,
            receipts: receipts(own.jars, own.hand_overs)?,
            member,
            season: self.season.clone(),
            lots,
            whole: self.whole,
        })
    }

    /// Tickets with their loads and juices.
    fn tickets(
        &self,
        tickets: Vec<Ticket>,
        juices: &[JuiceRow],
        weighed: &mut Weighed,
    ) -> Stored<Vec<TicketWithJuices>> {
        let with_all = |ticket: Ticket| {
            let cane = weighed.counted.get(&ticket.id);
            let sample = match cane.and_then(trash::Counted::sample) {
                Some(sample) => {
                    let rules = rules_versions::holding(&self.versions, ticket.date)?;
                    Some((sample, rules.trash_off))
                }
                None => None,
            };
            let own = juices.iter().filter(|j| j.ticket_id == ticket.id);
            let of_own = |lost: &&LostPart| own.clone().any(|juice| juice.id == lost.juice_id);
            let lost = weighed.lost.iter().filter(of_own).copied().collect();
            Ok(TicketWithJuices {
                lost,
                net: cane.map_or(Grams::ZERO, |row| row.net),
                sample,
                juices: own.cloned().collect(),
                loads: weighed.loads.remove(&ticket.id).unwrap_or_default(),
                ticket,
            })
        };
        tickets.into_iter().map(with_all).collect()
    }

    /// The statements of everybody with a ticket or a line of the ledger in the season, by name.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_everybody(&mut self, conn: &mut Conn) -> Stored<Vec<Statement>> {
        let found = (
            boils::of_season(self.season.id),
            ledger::with_season(self.season.id),
        );
        let (all, ids) = found.together().ask(conn).await?;
        let codes: Vec<LotCode> = all.into_iter().map(|boil| boil.lot).collect();
        let members = Question::all(ids.iter().map(|id| members::find(*id)));
        let members = self.read_lots(conn, &codes, members).await?;
        let members: Vec<Member> = members.into_iter().flatten().collect();
        let mut own = Vec::with_capacity(members.len());
        for some in members.chunks(MEMBERS_A_MESSAGE) {
            let some = some.iter().map(|m| Own::of(&self.season, m.id));
            own.extend(Question::all(some).ask(conn).await?);
        }
        let all = members.into_iter().zip(own).collect();
        self.statements(conn, all).await
    }

    /// Boils with everybody's part, those that were not read yet, each read once for all statements; and what is asked
    /// besides, in the first message.
    async fn read_lots<T: Send + 'static>(
        &mut self,
        conn: &mut Conn,
        codes: &[LotCode],
        besides: Question<T>,
    ) -> Stored<T> {
        let missing = codes.iter().filter(|code| !self.lots.contains_key(*code));
        let missing: BTreeSet<&str> = missing.map(LotCode::as_str).collect();
        if missing.is_empty() {
            return besides.ask(conn).await;
        }
        let found = (boils::of_codes(&in_json(missing)), besides).together();
        let (boils, besides) = found.ask(conn).await?;
        for lot in LotPart::read(conn, boils, &self.versions).await? {
            self.lots.insert(lot.boil.lot.clone(), lot);
        }
        Ok(besides)
    }
}

impl LotPart {
    /// Some boils, each by its version of the season's rules.
    async fn read(conn: &mut Conn, all: Vec<BoilRow>, versions: &[Rules]) -> Stored<Vec<Self>> {
        let ids: Vec<BoilId> = all.iter().map(|boil| boil.id).collect();
        let found = (
            divisions::of_boils(&in_json(&ids)),
            boil_sums::in_pans(&ids),
            boils_rules::latest_of(&in_json(&ids)),
            lot_losses::of_boils(&in_json(&ids)),
        );
        let (rows, pans, mut moved, losses) = found.together().ask(conn).await?;
        let found = (
            Frozen::of(rows.iter().map(|row| row.id)),
            Behind::of(pans.values().flatten()),
        );
        let (mut frozen, behind) = found.together().ask(conn).await?;
        let mut rows: BTreeMap<BoilId, DivisionRow> =
            rows.into_iter().map(|row| (row.boil_id, row)).collect();
        let rules: BTreeMap<RulesId, &Rules> = versions.iter().map(|r| (r.id, r)).collect();
        let off = |boil: &BoilRow| rules.get(&boil.rules_id).is_some_and(|r| r.trash_off);
        let wanted: Vec<(BoilId, bool)> = all.iter().map(|boil| (boil.id, off(boil))).collect();
        let mut pours = behind.pours(pans, &wanted)?;
        let mut out = Vec::with_capacity(all.len());
        for boil in all {
            let rules = rules.get(&boil.rules_id).copied().cloned();
            let divided = rows.remove(&boil.id).map(|row| {
                let division = frozen.recall(&boil, &row);
                (row, division)
            });
            out.push(Self {
                rules: rules.ok_or_else(|| lost("boils.rules_id", &boil.rules_id))?,
                pours: pours.remove(&boil.id).unwrap_or_default(),
                moved: moved.remove(&boil.id),
                lost: (SyrupLost::all_of(&boil, &losses).into_iter())
                    .map(|lost| (lost, Grams::ZERO))
                    .collect(),
                divided,
                boil,
            });
        }
        Ok(out)
    }
}

/// When a season is over everywhere that nobody has locked: after its last press day, and not before the end of its year. A
/// co-op's own midnight is within half a day of it.
fn season_over(year: i64, last_day: Option<PressDate>) -> UtcSecond {
    let of_year = PressDate::parse(&format!("{year:04}-12-31")).ok();
    of_year
        .max(last_day)
        .map_or(UtcSecond::new(i64::MAX), |last| {
            UtcSecond::new(last.date().midnight().assume_utc().unix_timestamp()).plus(36 * 3600)
        })
}

/// The error for a record that another one names and that is not there: a foreign key keeps that from happening.
fn lost(what: &'static str, found: &impl ToString) -> StoreError {
    StoreError::Corrupt {
        what,
        found: found.to_string(),
    }
}

/// The receipts of some jars that were handed over.
fn receipts(jars: Vec<HandOverJar>, rows: Vec<HandOverRow>) -> Stored<Vec<Receipt>> {
    let mut rows: BTreeMap<i64, HandOverRow> =
        rows.into_iter().map(|row| (row.number, row)).collect();
    let mut out: Vec<Receipt> = Vec::new();
    for jar in jars {
        match out.last_mut() {
            Some(last) if last.row.number == jar.number => last.jars.push(jar),
            _ => {
                let row = rows.remove(&jar.number);
                out.push(Receipt {
                    row: row.ok_or_else(|| lost("hand_overs.number", &jar.number))?,
                    jars: vec![jar],
                });
            }
        }
    }
    Ok(out)
}
