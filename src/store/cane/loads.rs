//! Loads as they were weighed on tickets, every version.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{Grams, MemberId, MemberName, Pounds, ScaleId, TicketId, UtcSecond};

/// One version of one load.
#[derive(Debug, Clone)]
pub struct LoadRow {
    /// Number on its ticket, from 1.
    pub number: i64,
    /// Version, from 1; the highest counts.
    pub version: i64,
    /// The scale.
    pub scale_id: ScaleId,
    /// Its name.
    pub scale: String,
    /// Its graduation at that time, g.
    pub graduation_g: f64,
    /// Weight with the cane on the trailer.
    pub gross: Grams,
    /// Weight of the empty trailer.
    pub tare: Grams,
    /// Gross less tare, as it counts; also of what is crossed out.
    pub kept_net: Grams,
    /// That net weight in pounds, when the scale showed pounds.
    pub net_lb: Option<Pounds>,
    /// Whether it is crossed out and does not count.
    pub void: bool,
    /// Why it was corrected; empty for the first version.
    pub why: String,
    /// Name of the trailer, cart or basket; empty: none.
    pub trailer: String,
    /// The member who weighed or corrected it.
    pub by: MemberId,
    /// That person's name.
    pub by_name: MemberName,
    /// Who typed it in, when it was written on paper first.
    pub typed_by: Option<MemberName>,
    /// When this was written down.
    pub at: UtcSecond,
    /// When it was on the scale; `None`: when it was written down.
    pub weighed_at: Option<UtcSecond>,
}

impl LoadRow {
    /// When the cane was on the scale.
    pub fn weighed(&self) -> UtcSecond {
        self.weighed_at.unwrap_or(self.at)
    }

    /// Net cane of this version; nothing when crossed out.
    pub fn net(&self) -> Grams {
        if self.void {
            Grams::ZERO
        } else {
            self.kept_net
        }
    }
}

struct LoadColumns {
    ticket_id: TicketId,
    number: i64,
    version: i64,
    scale_id: ScaleId,
    scale: String,
    graduation_g: f64,
    gross: Grams,
    tare: Grams,
    kept_net: Grams,
    net_lb: Option<Pounds>,
    void: bool,
    why: String,
    trailer: String,
    by: MemberId,
    by_name: MemberName,
    typed_by: Option<MemberName>,
    at: UtcSecond,
    weighed_at: Option<UtcSecond>,
}

impl LoadColumns {
    fn read(self) -> (TicketId, LoadRow) {
        let load = LoadRow {
            number: self.number,
            version: self.version,
            scale_id: self.scale_id,
            scale: self.scale,
            graduation_g: self.graduation_g,
            gross: self.gross,
            tare: self.tare,
            kept_net: self.kept_net,
            net_lb: self.net_lb,
            void: self.void,
            why: self.why,
            trailer: self.trailer,
            by: self.by,
            by_name: self.by_name,
            typed_by: self.typed_by,
            at: self.at,
            weighed_at: self.weighed_at,
        };
        (self.ticket_id, load)
    }
}

macro_rules! loads {
    ($rest:literal, $bound:expr) => {
        question!(
            LoadColumns,
            r#"select l.ticket_id as "ticket_id: TicketId", l.number, l.version, l.scale_id as "scale_id: ScaleId",
            s.name as scale, l.graduation_g, l.gross_g as "gross: Grams", l.tare_g as "tare: Grams",
            coalesce(l.net_g, l.gross_g - l.tare_g) as "kept_net!: Grams", l.net_lb as "net_lb: Pounds", l.void as "void: bool", l.why,
            l.trailer, l.by_id as "by: MemberId", b.name as "by_name: MemberName", l.at as "at: UtcSecond", l.weighed_at as "weighed_at: UtcSecond",
            (select m.name from typed_in t join members m on m.id = t.typed_by where t.record = l.ticket_id
              and t.typed_at = l.at limit 1) as "typed_by?: MemberName"
            from loads l join scales s on s.id = l.scale_id join members b on b.id = l.by_id where "#
                + $rest,
            $bound
        )
        .map(|rows| rows.into_iter().map(LoadColumns::read).collect::<Vec<_>>())
    };
}

/// All versions of all loads of a ticket: by number, latest version first.
pub fn loads(ticket: TicketId) -> Question<Vec<LoadRow>> {
    let all = loads!("l.ticket_id = ?1 order by l.number, l.version desc", ticket);
    all.map(|all| all.into_iter().map(|(_, load)| load).collect())
}

/// As [`loads`], for several tickets; `tickets`: a JSON array of their ids.
pub fn loads_of(tickets: &str) -> Question<Vec<(TicketId, LoadRow)>> {
    loads!(
        "l.ticket_id in (select value from json_each(?1)) order by l.ticket_id, l.number, l.version desc",
        tickets
    )
}
