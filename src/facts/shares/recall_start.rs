//! What a recall starts from, as somebody typed it: which record is meant, and in which words it is kept.

use crate::calc::RuleRefusal;
use crate::calc::shares::recall::{From, Start, StartKind};
use crate::store::cane::{mill, tickets};
use crate::store::people::members;
use crate::store::shares::lots;
use crate::store::turns::press_days;
use crate::store::{Conn, Stored};
use crate::units::{LotCode, PressDate};

/// What was typed into the form of a new recall.
#[derive(Debug, Clone)]
pub struct Sought {
    /// The kind of thing it starts from.
    pub kind: StartKind,
    /// Which one, as typed: a code, number or name.
    pub which: String,
    /// The only press day to look at; `None`: all.
    pub day: Option<PressDate>,
}

fn nothing<T>(sentence: impl Into<String>) -> Result<T, RuleRefusal> {
    Err(RuleRefusal::beside("which", "no-such", sentence))
}

impl Sought {
    /// The start that is meant, and its words.
    ///
    /// # Errors
    /// Outer: the store failed. Inner: there is no such thing, in words beside the box.
    pub async fn start(&self, conn: &mut Conn) -> Stored<Result<(Start, String), RuleRefusal>> {
        let found = match self.kind {
            StartKind::Lot => self.lot(conn).await?,
            StartKind::Ticket | StartKind::Load => self.ticket(conn).await?,
            StartKind::Vessel => self.vessel(conn).await?,
            StartKind::Pack => Ok((
                From::Pack(self.which.clone()),
                format!("pack {}", self.which),
            )),
            StartKind::Member => self.member(conn).await?,
            StartKind::Day => return self.whole_day(conn).await,
        };
        // A lot and a ticket have their own day already.
        let dated = !matches!(
            self.kind,
            StartKind::Lot | StartKind::Ticket | StartKind::Load
        );
        let day = self.day.filter(|_| dated);
        Ok(found.map(|(from, words)| {
            let words = match day {
                Some(day) => format!("{words}, on {}", day.show()),
                None => words,
            };
            (Start { from, day }, words)
        }))
    }

    async fn lot(&self, conn: &mut Conn) -> Stored<Result<(From, String), RuleRefusal>> {
        let lot = match LotCode::parse(&self.which) {
            Ok(code) => lots::find_id(&code).ask(conn).await?.map(|id| (id, code)),
            Err(_) => None,
        };
        if let Some((id, code)) = lot {
            return Ok(Ok((From::Lot(id), format!("lot {code}"))));
        }
        let near = LotCode::near(&self.which, &lots::codes().ask(conn).await?);
        let near: Vec<String> = near.iter().map(LotCode::to_string).collect();
        let hint = if near.is_empty() {
            "Please look at the label again.".to_owned()
        } else {
            format!("One slip of the pen away: {}.", near.join(", "))
        };
        Ok(nothing(format!("No lot here has this code. {hint}")))
    }

    async fn ticket(&self, conn: &mut Conn) -> Stored<Result<(From, String), RuleRefusal>> {
        let typed = self.which.trim_start_matches('#');
        let (number, load) = match typed.split_once('/') {
            Some((ticket, load)) => (ticket.trim(), load.trim().parse::<i64>().ok()),
            None => (typed.trim(), None),
        };
        let of_load = self.kind == StartKind::Load;
        if of_load && load.is_none() {
            return Ok(nothing(
                "Please write the ticket’s number, a stroke, and the load’s, like 12/2.",
            ));
        }
        let Ok(number) = number.parse::<i64>() else {
            return Ok(nothing("Please write the number on the ticket."));
        };
        let all = lots::tickets_numbered(number).ask(conn).await?;
        let meant = |t: &&lots::NumberedTicket| self.day.is_none_or(|day| day == t.date);
        let Some(ticket) = all.iter().find(meant) else {
            return Ok(nothing(format!("There is no ticket {number} there.")));
        };
        let words = format!(
            "ticket {number} of {}, {}",
            ticket.member_name,
            ticket.date.show()
        );
        let Some(load) = load.filter(|_| of_load) else {
            return Ok(Ok((From::Ticket(ticket.id), words)));
        };
        let loads = tickets::loads(ticket.id).ask(conn).await?;
        if !loads.iter().any(|l| l.number == load) {
            return Ok(nothing(format!("Ticket {number} has no load {load}.")));
        }
        Ok(Ok((
            From::Ticket(ticket.id),
            format!("load {load} of {words}"),
        )))
    }

    async fn vessel(&self, conn: &mut Conn) -> Stored<Result<(From, String), RuleRefusal>> {
        let wanted = self.which.to_lowercase();
        let all = mill::vessels().ask(conn).await?;
        if let Some(vessel) = all.iter().find(|v| v.name.to_lowercase() == wanted) {
            return Ok(Ok((From::Vessel(vessel.id), vessel.name.clone())));
        }
        let names: Vec<&str> = all.iter().map(|v| v.name.as_str()).take(12).collect();
        Ok(nothing(format!(
            "No vessel is called that. There are: {}.",
            names.join(", ")
        )))
    }

    async fn member(&self, conn: &mut Conn) -> Stored<Result<(From, String), RuleRefusal>> {
        let wanted = self.which.to_lowercase();
        let number = self.which.parse::<i64>().ok();
        let all = members::list().ask(conn).await?;
        let same = |m: &&members::MemberLine| {
            Some(m.number) == number || m.name.to_string().to_lowercase() == wanted
        };
        let found: Vec<_> = all.iter().filter(same).collect();
        match found[..] {
            [one] => {
                let words = format!("the cane of {}, member {}", one.name, one.number);
                Ok(Ok((From::Member(one.id), words)))
            }
            [] => Ok(nothing(
                "No member has this name or number. Please write the whole name as on the card.",
            )),
            _ => Ok(nothing(
                "More than one member is called that. Please write the member’s number.",
            )),
        }
    }

    async fn whole_day(&self, conn: &mut Conn) -> Stored<Result<(Start, String), RuleRefusal>> {
        let date = match PressDate::parse(&self.which) {
            Ok(date) => date,
            Err(refused) => return Ok(nothing(refused.sentence())),
        };
        if press_days::of_date(date).ask(conn).await?.is_none() {
            return Ok(nothing("There was no press day on this date."));
        }
        let start = Start {
            from: From::Day,
            day: Some(date),
        };
        Ok(Ok((start, format!("press day {}", date.show()))))
    }
}
