//! A member's season: tickets, lots with the member's part, the ledger's lines, receipts, jars waiting.

use super::division_inputs::{self, PouredJuice};
use super::frozen_division::Frozen;
use crate::calc::cane::trash::Sample;
use crate::calc::shares::division::Division;
use crate::store::boil::boils::{self, BoilRow};
use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::cane::trash;
use crate::store::people::members::{self, Member};
use crate::store::season::seasons::{self, Rules, Season};
use crate::store::shares::divisions::{self, DivisionRow};
use crate::store::shares::hand_overs::{self, AsideRow, HandOverJar, HandOverRow};
use crate::store::shares::ledger::{self, LedgerLine};
use crate::store::{Conn, StoreError, Stored, in_json};
use crate::units::{BoilId, Cents, Grams, LotCode, PressDate, UtcSecond};
use std::collections::BTreeMap;

/// A ticket with its loads and juices.
#[derive(Debug, Clone)]
pub struct TicketWithJuices {
    /// The ticket.
    pub ticket: Ticket,
    /// Its loads, every version, the latest of each first.
    pub loads: Vec<LoadRow>,
    /// Its cane: the loads that count, added up.
    pub net: Grams,
    /// A sample that was stripped, and whether the rules of its day take the trash off.
    pub sample: Option<(Sample, bool)>,
    /// Its juices.
    pub juices: Vec<JuiceRow>,
}

/// A lot, with the juices of one member or of all.
#[derive(Debug, Clone)]
pub struct LotPart {
    /// The boil.
    pub boil: BoilRow,
    /// The rules in force when it was lit.
    pub rules: Rules,
    /// The juices in it.
    pub pours: Vec<PouredJuice>,
    /// Its division, once it is divided.
    pub divided: Option<(DivisionRow, Division)>,
}

/// A receipt with its jars.
#[derive(Debug, Clone)]
pub struct Receipt {
    /// The hand-over.
    pub row: HandOverRow,
    /// The jars.
    pub jars: Vec<HandOverJar>,
}

/// All that a statement is made of.
#[derive(Debug, Clone)]
pub struct Statement {
    /// Whose.
    pub member: Member,
    /// The season.
    pub season: Season,
    /// Every season's year.
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
    /// What was handed over of the season's lots.
    pub receipts: Vec<Receipt>,
    /// All jars ever set aside for the member.
    pub aside: Vec<AsideRow>,
    /// Cane and syrup in jars of the whole season.
    pub whole: (Grams, Grams),
}

/// What the statements of a season share: read once, each boil with everybody's part.
#[derive(Debug)]
pub struct SeasonStatements {
    season: Season,
    years: Vec<i64>,
    rules: Rules,
    whole: (Grams, Grams),
    lots: BTreeMap<LotCode, LotPart>,
}

impl SeasonStatements {
    /// Reads what all statements of a year's season share. `None`: there is no such season.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, year: i64) -> Stored<Option<Self>> {
        let Some(season) = seasons::of_year(year).ask(conn).await? else {
            return Ok(None);
        };
        let cane = tickets::nets(season.id).ask(conn).await?;
        Ok(Some(Self {
            years: seasons::list()
                .ask(conn)
                .await?
                .iter()
                .map(|s| s.year)
                .collect(),
            rules: seasons::rules_in_force(season.id).ask(conn).await?,
            whole: (
                cane.iter().map(|row| row.net).sum(),
                ledger::jarred(season.id).ask(conn).await?,
            ),
            lots: BTreeMap::new(),
            season,
        }))
    }

    /// The statement of a member.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_member(&mut self, conn: &mut Conn, mut member: Member) -> Stored<Statement> {
        let (id, season) = (member.id, self.season.id);
        // A season that is over keeps the name of its day.
        if let Some(then) = members::name_at(id, year_over(self.season.year))
            .ask(conn)
            .await?
        {
            member.name = then;
        }
        let mut lots = Vec::new();
        let codes = divisions::lots_of_member(season, id).ask(conn).await?;
        self.read_lots(conn, &codes).await?;
        for code in codes {
            let whole = self.lots.get(&code);
            let whole = whole.ok_or_else(|| lost("boils.lot_code", &code))?;
            let own = whole.pours.iter().filter(|p| p.draw.member_id == id);
            lots.push(LotPart {
                boil: whole.boil.clone(),
                rules: whole.rules.clone(),
                pours: own.cloned().collect(),
                divided: whole.divided.clone(),
            });
        }
        Ok(Statement {
            rules: self.rules.clone(),
            years: self.years.clone(),
            before: ledger::before_year(id, self.season.year).ask(conn).await?,
            lines: ledger::of_member(season, id).ask(conn).await?,
            aside: hand_overs::jars_set_aside(Some(id)).ask(conn).await?,
            tickets: tickets_of(conn, &self.season, &member).await?,
            receipts: receipts_of(conn, &self.season, &member).await?,
            member,
            season: self.season.clone(),
            lots,
            whole: self.whole,
        })
    }

    /// The statements of everybody with a ticket or a line of the ledger in the season, by name.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_everybody(&mut self, conn: &mut Conn) -> Stored<Vec<Statement>> {
        let mut out = Vec::new();
        let all = boils::of_season(self.season.id).ask(conn).await?;
        let codes: Vec<LotCode> = all.into_iter().map(|boil| boil.lot).collect();
        self.read_lots(conn, &codes).await?;
        for id in ledger::with_season(self.season.id).ask(conn).await? {
            let member = members::find(id).ask(conn).await?;
            let member = member.ok_or_else(|| lost("members.id", &id))?;
            out.push(self.of_member(conn, member).await?);
        }
        Ok(out)
    }

    /// Boils with everybody's part, those that were not read yet; each is read once for all statements.
    async fn read_lots(&mut self, conn: &mut Conn, codes: &[LotCode]) -> Stored<()> {
        let missing: Vec<&LotCode> = codes
            .iter()
            .filter(|code| !self.lots.contains_key(*code))
            .collect();
        if !missing.is_empty() {
            for lot in
                LotPart::read(conn, &in_json(missing.iter().map(|code| code.as_str()))).await?
            {
                self.lots.insert(lot.boil.lot.clone(), lot);
            }
        }
        Ok(())
    }
}

impl LotPart {
    /// The boils of a JSON array of lot codes.
    async fn read(conn: &mut Conn, codes: &str) -> Stored<Vec<Self>> {
        let all = boils::of_codes(codes).ask(conn).await?;
        let rows = divisions::of_boils(&in_json(all.iter().map(|boil| boil.id)))
            .ask(conn)
            .await?;
        let mut frozen = Frozen::read(conn, rows.iter().map(|row| row.id)).await?;
        let mut rows: BTreeMap<BoilId, DivisionRow> =
            rows.into_iter().map(|row| (row.boil_id, row)).collect();
        let rules = division_inputs::rules_of(conn, &all).await?;
        let off = |boil: &BoilRow| rules.get(&boil.rules_id).is_some_and(|r| r.trash_off);
        let wanted: Vec<(BoilId, bool)> = all.iter().map(|boil| (boil.id, off(boil))).collect();
        let mut pours = division_inputs::poured_into(conn, &wanted).await?;
        let mut out = Vec::with_capacity(all.len());
        for boil in all {
            let rules = rules.get(&boil.rules_id).cloned();
            let divided = rows.remove(&boil.id).map(|row| {
                let division = frozen.recall(&boil, &row);
                (row, division)
            });
            out.push(Self {
                rules: rules.ok_or_else(|| lost("boils.rules_id", &boil.rules_id))?,
                pours: pours.remove(&boil.id).unwrap_or_default(),
                divided,
                boil,
            });
        }
        Ok(out)
    }
}

/// When a year is over everywhere; a co-op's own midnight is within half a day of it.
fn year_over(year: i64) -> UtcSecond {
    let last = PressDate::parse(&format!("{year:04}-12-31"));
    last.map_or(UtcSecond::new(i64::MAX), |last| {
        UtcSecond::new(last.date().midnight().assume_utc().unix_timestamp()).plus(36 * 3600)
    })
}

/// A record that another one names and that is not there: a foreign key keeps that from happening.
fn lost(what: &'static str, found: &impl ToString) -> StoreError {
    StoreError::Corrupt {
        what,
        found: found.to_string(),
    }
}

async fn tickets_of(
    conn: &mut Conn,
    season: &Season,
    member: &Member,
) -> Stored<Vec<TicketWithJuices>> {
    let all = tickets::of_season_member(season.id, member.id)
        .ask(conn)
        .await?;
    if all.is_empty() {
        return Ok(Vec::new());
    }
    let juices = juice::of_season_member(season.id, member.id)
        .ask(conn)
        .await?;
    let ids = in_json(all.iter().map(|ticket| ticket.id));
    let loads = tickets::loads_of(&ids).ask(conn).await?;
    let counted = trash::counted(&ids).ask(conn).await?;
    let mut out = Vec::new();
    for ticket in all {
        let own = juices.iter().filter(|j| j.ticket_id == ticket.id);
        let cane = counted.iter().find(|row| row.ticket_id == ticket.id);
        let sample = match cane.and_then(trash::Counted::sample) {
            Some(sample) => {
                let rules = seasons::rules_on(ticket.season_id, ticket.date)
                    .ask(conn)
                    .await?;
                Some((sample, rules.trash_off))
            }
            None => None,
        };
        let weighed = loads.iter().filter(|(of, _)| *of == ticket.id);
        out.push(TicketWithJuices {
            loads: weighed.map(|(_, load)| load.clone()).collect(),
            net: cane.map_or(Grams::ZERO, |row| row.net),
            sample,
            juices: own.cloned().collect(),
            ticket,
        });
    }
    Ok(out)
}

async fn receipts_of(conn: &mut Conn, season: &Season, member: &Member) -> Stored<Vec<Receipt>> {
    let jars = hand_overs::jars_of_member(season.id, member.id)
        .ask(conn)
        .await?;
    if jars.is_empty() {
        return Ok(Vec::new());
    }
    let rows = hand_overs::of_member(member.id).ask(conn).await?;
    let mut out: Vec<Receipt> = Vec::new();
    for jar in jars {
        match out.last_mut() {
            Some(last) if last.row.number == jar.number => last.jars.push(jar),
            _ => {
                let row = rows.iter().find(|row| row.number == jar.number).cloned();
                out.push(Receipt {
                    row: row.ok_or_else(|| lost("hand_overs.number", &jar.number))?,
                    jars: vec![jar],
                });
            }
        }
    }
    Ok(out)
}
