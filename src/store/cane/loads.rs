//! Loads as they were weighed on tickets, every version.

use crate::store::{Conn, Stored};
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
    /// With cane on it.
    pub gross: Grams,
    /// Without.
    pub tare: Grams,
    /// Gross less tare, as it counts; also of what is crossed out.
    pub kept_net: Grams,
    /// The same in pounds, when that is what the scale showed.
    pub net_lb: Option<Pounds>,
    /// Crossed out: does not count.
    pub void: bool,
    /// Why it was corrected; empty for the first version.
    pub why: String,
    /// Name of the trailer, cart or basket; empty: none.
    pub trailer: String,
    /// Who weighed, or corrected.
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

macro_rules! loads {
    ($conn:expr, $rest:literal, $($bound:expr),*) => {{
        let rows = sqlx::query!(
            r#"select l.ticket_id as "ticket_id: TicketId", l.number, l.version, l.scale_id as "scale_id: ScaleId",
            s.name as scale, l.graduation_g, l.gross_g as "gross: Grams", l.tare_g as "tare: Grams",
            coalesce(l.net_g, l.gross_g - l.tare_g) as "kept_net!: Grams", l.net_lb as "net_lb: Pounds", l.void as "void: bool", l.why,
            l.trailer, l.by_id as "by: MemberId", b.name as "by_name: MemberName", l.at as "at: UtcSecond", l.weighed_at as "weighed_at: UtcSecond",
            (select m.name from typed_in t join members m on m.id = t.typed_by where t.record = l.ticket_id
              and t.typed_at = l.at limit 1) as "typed_by?: MemberName"
            from loads l join scales s on s.id = l.scale_id join members b on b.id = l.by_id where "#
                + $rest,
            $($bound),*
        )
        .fetch_all($conn)
        .await?;
        rows.into_iter().map(|r| {
            let load = LoadRow {
                number: r.number,
                version: r.version,
                scale_id: r.scale_id,
                scale: r.scale,
                graduation_g: r.graduation_g,
                gross: r.gross,
                tare: r.tare,
                kept_net: r.kept_net,
                net_lb: r.net_lb,
                void: r.void,
                why: r.why,
                trailer: r.trailer,
                by: r.by,
                by_name: r.by_name,
                typed_by: r.typed_by,
                at: r.at,
                weighed_at: r.weighed_at,
            };
            (r.ticket_id, load)
        })
    }};
}

/// All versions of all loads of a ticket: by number, latest version first.
pub async fn loads(conn: &mut Conn, ticket: TicketId) -> Stored<Vec<LoadRow>> {
    let all = loads!(
        conn,
        "l.ticket_id = ?1 order by l.number, l.version desc",
        ticket
    );
    Ok(all.map(|(_, load)| load).collect())
}

/// The same of the tickets of a JSON array of ids.
pub async fn loads_of(conn: &mut Conn, tickets: &str) -> Stored<Vec<(TicketId, LoadRow)>> {
    let all = loads!(
        conn,
        "l.ticket_id in (select value from json_each(?1)) order by l.ticket_id, l.number, l.version desc",
        tickets
    );
    Ok(all.collect())
}
