//! What the pages along the way of some cane are made of, with the words that name them.

use crate::calc::shares::cane_way::JuiceWay;
use crate::calc::shares::my_cane::Step;
use crate::store::boil::boils::{self, BoilRow, DrawRow};
use crate::store::cane::juice::JuiceRow;
use crate::store::season::seasons;
use crate::store::{Question, Together};
use crate::units::{MemberName, SeasonId};

/// A strand with the words that name its pages.
#[derive(Debug, Clone)]
pub struct OnTheWay {
    /// The strand.
    pub strand: JuiceWay,
    /// Number of the ticket.
    pub ticket: i64,
    /// Name of the member whose cane it is.
    pub name: MemberName,
    /// The vessel of the juice; empty while there is none.
    pub vessel: String,
}

/// Strands, and the season whose statements they end on.
#[derive(Debug, Clone)]
pub struct CaneWay {
    /// The strands, by ticket.
    pub strands: Vec<OnTheWay>,
    /// The season's year.
    pub year: i64,
}

impl OnTheWay {
    /// A juice that was poured nowhere yet.
    pub fn of_juice(row: &JuiceRow) -> Self {
        Self {
            strand: JuiceWay {
                ticket: row.ticket_id,
                member: row.member_id,
                juice: Some(row.id),
                lot: None,
            },
            ticket: row.ticket,
            name: row.member_name.clone(),
            vessel: row.vessel.clone(),
        }
    }

    /// A juice that was poured into a lot, which has come to that step.
    pub fn of_draw(draw: &DrawRow, step: Step) -> Self {
        Self {
            strand: JuiceWay {
                ticket: draw.ticket_id,
                member: draw.member_id,
                juice: Some(draw.juice_id),
                lot: Some((draw.lot.clone(), step)),
            },
            ticket: draw.ticket,
            name: draw.member_name.clone(),
            vessel: draw.vessel.clone(),
        }
    }
}

impl CaneWay {
    /// The way of strands in a season.
    pub fn in_season(season: SeasonId, strands: Vec<OnTheWay>) -> Question<Self> {
        seasons::find(season).map(|season| Self {
            strands,
            year: season.map_or(0, |season| season.year),
        })
    }

    /// The way of other strands of the same season.
    pub fn through(self, strands: Vec<OnTheWay>) -> Self {
        Self { strands, ..self }
    }

    /// The way of all cane in a boil.
    pub fn of_boil(row: &BoilRow) -> Question<Self> {
        let step = match (row.divided_at, &row.finish) {
            // A lost boil has an end, but nothing was shared.
            _ if row.lost => Step::InPan,
            (Some(_), _) => Step::ShareKnown,
            (None, Some(_)) => Step::InJars,
            (None, None) => Step::InPan,
        };
        let found = (
            boils::draws(row.id),
            Self::in_season(row.season_id, Vec::new()),
        );
        found.together().map(move |(draws, way)| Self {
            strands: draws
                .iter()
                .map(|draw| OnTheWay::of_draw(draw, step))
                .collect(),
            ..way
        })
    }
}
