//! Recalls, drills or real ones: begun, ticked off call by call, ended.

use crate::actions::{Act, Answer, Done, ReadBefore, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::shares::recall::{Said, calls};
use crate::facts::shares::recall_start::Sought;
use crate::facts::shares::recalls::{RecallRecord, Touched};
use crate::store::restores;
use crate::store::shares::holds;
use crate::store::shares::recalls::{
    self, FoundRow, JarRow, LineRow, NewCallRow, NewLine, NewRecallRow, RecallRow,
};
use crate::store::{Conn, Together, WriteTx};
use crate::units::{MemberName, RecallId};
use std::collections::BTreeSet;

/// A recall as the form has it.
#[derive(Debug, Clone)]
pub struct NewRecall {
    /// Whether it is a drill, to practise: no lot is held then.
    pub drill: bool,
    /// The code, number or name the recall starts from.
    pub sought: Sought,
    /// The reason for the recall.
    pub why: String,
}

/// The number of a recall, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RecallNumber(pub i64);

impl Answer for RecallNumber {
    fn keep(&self) -> String {
        self.0.to_string()
    }
    fn read(text: &str) -> Option<Self> {
        text.parse().ok().map(Self)
    }
}

/// Begins a recall: finds every jar that is touched, and holds their lots unless it is a drill.
pub async fn begin(act: &Act, new: NewRecall) -> Done<RecallNumber> {
    act.crew()?;
    let before = {
        let mut now = act.reader.snapshot().await?;
        let found = found(&new.sought, &mut now).await?;
        ReadBefore::new(found, &mut now).await?
    };
    let mut tx = begin!(act, "begin_recall");
    let (which, touched) = match before.if_it_stands(&tx) {
        Some(found) => found,
        None => found(&new.sought, &mut tx).await?,
    };
    let numbered = (recalls::list(), restores::given("recalls"));
    let (all, given) = numbered.together().ask(&mut tx).await?;
    let same = |r: &&RecallRow| r.ended_at.is_none() && r.which == which && r.drill == new.drill;
    if let Some(open) = all.iter().find(same) {
        return Err(RuleRefusal::new(
            "recall-open",
            format!(
                "Recall {} from {which} is open already, begun by {}. Please go on there.",
                open.number, open.by_name
            ),
        )
        .into());
    }
    if touched.lots.is_empty() {
        return Err(RuleRefusal::beside(
            "which",
            "nothing-touched",
            "Nothing of it went into a boil, so no jar holds it.",
        )
        .into());
    }
    let row = NewRecallRow {
        id: RecallId::new(act.id()),
        number: all.first().map_or(0, |last| last.number).max(given) + 1,
        drill: new.drill,
        start: new.sought.kind.word(),
        which,
        why: new.why,
        by: act.actor.id,
        at: act.at,
    };
    recalls::insert(&mut tx, &row).await?;
    keep_lines(&mut tx, row.id, &touched).await?;
    if !new.drill {
        hold_all(act, &mut tx, &touched, row.number).await?;
    }
    act.finish(tx, "begin_recall", RecallNumber(row.number))
        .await
}

/// What is meant, in words, and every lot and jar that it touches: the longer to read, the more seasons there were.
async fn found(sought: &Sought, conn: &mut Conn) -> Done<(String, Touched)> {
    let (start, which) = sought.start(conn).await??;
    Ok((which, Touched::read(conn, &start).await?))
}

async fn keep_lines(tx: &mut WriteTx, recall: RecallId, touched: &Touched) -> Done<()> {
    let mut line = 0;
    for (call, (_, jars)) in (1..).zip(calls(&touched.jars)) {
        for one in jars {
            line += 1;
            let kind = &one.kind;
            let new = NewLine {
                line,
                call,
                jars: JarRow {
                    boil: kind.boil,
                    size_name: kind.size_name.clone(),
                    net: kind.net,
                    part: kind.part,
                    member: one.member,
                    receipt: one.receipt,
                    count: one.count,
                },
                place: one.place.word(),
            };
            recalls::insert_line(tx, recall, &new).await?;
        }
    }
    Ok(())
}

async fn hold_all(act: &Act, tx: &mut WriteTx, touched: &Touched, number: i64) -> Done<()> {
    let held = holds::held().ask(tx).await?;
    let held: BTreeSet<_> = held.iter().map(|h| h.boil).collect();
    let why = format!("Recall {number}");
    for lot in touched.lots.iter().filter(|l| !held.contains(&l.boil)) {
        holds::insert(tx, lot.boil, true, &why, act.actor.id, act.at).await?;
    }
    Ok(())
}

/// A call as the form has it.
#[derive(Debug, Clone)]
pub struct NewCall {
    /// How many times the call had been noted when the form was opened.
    pub seen: i64,
    /// Whether somebody was reached, or the shelf was looked through.
    pub reached: bool,
    /// Remark.
    pub note: String,
    /// What was said of each line, by its number.
    pub said: Vec<(i64, Said)>,
}

async fn open_recall(tx: &mut WriteTx, number: i64) -> Done<RecallRecord> {
    let recall = RecallRecord::read(tx, number).await?;
    let recall = recall.ok_or(Stop::Missing)?;
    if recall.end.is_some() {
        return Err(RuleRefusal::new(
            "recall-ended",
            "This recall is ended; what it came to stands.",
        )
        .into());
    }
    Ok(recall)
}

/// Notes a call, or a look at the shelf.
pub async fn note_call(act: &Act, number: i64, call: i64, new: NewCall) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "note_call");
    let recall = open_recall(&mut tx, number).await?;
    let of = recall.calls.iter().find(|c| c.call == call);
    let of = of.ok_or(Stop::Missing)?;
    let before = of.noted.as_ref().map_or(0, |n| n.number);
    if before != new.seen {
        let who = of.noted.as_ref().map_or("Somebody", |n| n.by_name.as_str());
        return Err(RuleRefusal::new(
            "noted-meanwhile",
            format!("{who} noted this call meanwhile. Please open the recall again to see what was said."),
        )
        .into());
    }
    let row = NewCallRow {
        recall: recall.row.id,
        call,
        number: before + 1,
        reached: new.reached,
        note: &new.note,
        by: act.actor.id,
        at: act.at,
    };
    recalls::insert_call(&mut tx, &row).await?;
    for (line, _) in &of.lines {
        let said = new.said.iter().find(|(n, _)| *n == line.line);
        let said = said.map_or_else(Said::default, |(_, said)| *said);
        fits(line, said)?;
        let found = FoundRow {
            line: line.line,
            back: said.back,
            gone: said.gone,
        };
        recalls::insert_found(&mut tx, &row, &found).await?;
    }
    act.finish(tx, "note_call", ()).await
}

/// Never more jars there and gone than were asked for.
fn fits(line: &LineRow, said: Said) -> Result<(), RuleRefusal> {
    if said.back + said.gone <= line.count {
        return Ok(());
    }
    Err(RuleRefusal::new(
        "more-than-there-were",
        format!(
            "Of lot {}, {} × {} were asked for; {} there and {} gone are more. Please count again.",
            line.lot, line.count, line.size_name, said.back, said.gone
        ),
    ))
}

/// Ends a recall; `answers` is the name of whoever answers for it, as typed. What nobody accounted for stays so, and stands in the record.
pub async fn end(act: &Act, number: i64, answers: MemberName, says: String) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "end_recall");
    let recall = open_recall(&mut tx, number).await?;
    let end = (&answers, says.as_str());
    recalls::insert_end(&mut tx, recall.row.id, end, act.actor.id, act.at).await?;
    act.finish(tx, "end_recall", ()).await
}
