//! Plantings with what their season expects of a row, and the row that a turn starts from.

use crate::calc::season::plantings as rules;
use crate::calc::turns::row_left::row_left;
use crate::calc::turns::turn_cane::Yields;
use crate::facts::rules_versions;
use crate::facts::turns::turn_habit;
use crate::store::season::plantings::{self, Planting};
use crate::store::season::seasons;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::row_left as rows_taken;
use crate::store::{Conn, Stored, Together};
use crate::units::{MemberId, Metres, PressDate, SeasonId};

/// A planting as planning needs it.
pub fn planned(p: &Planting) -> rules::Planting {
    rules::Planting {
        planted: p.planted_on,
        days: p.maturity_days,
        row: p.row,
    }
}

/// A planting with what its season expects of a row: learned from turns enough, else the rules'.
#[derive(Debug, Clone)]
pub struct ExpectedPlanting {
    /// The planting.
    pub planting: Planting,
    /// Cane that a row brings.
    pub yields: Yields,
}

/// A member's plantings that stand, latest season first, then by date, with what the rules of today expect.
///
/// # Errors
/// The store failed.
pub async fn of_member(
    conn: &mut Conn,
    member: MemberId,
    today: PressDate,
) -> Stored<Vec<ExpectedPlanting>> {
    let mut all: Vec<ExpectedPlanting> = Vec::new();
    for planting in plantings::of_member(member).ask(conn).await? {
        let known = all
            .last()
            .filter(|last| last.planting.season_id == planting.season_id)
            .map(|last| last.yields);
        let yields = match known {
            Some(yields) => yields,
            None => yields_of(conn, planting.season_id, today).await?,
        };
        all.push(ExpectedPlanting { planting, yields });
    }
    Ok(all)
}

async fn yields_of(conn: &mut Conn, season: SeasonId, today: PressDate) -> Stored<Yields> {
    let rules = rules_versions::on(season, today).ask(conn).await?;
    let habit = turn_habit::of_season(conn, season).await?;
    Ok(turn_habit::yields_now(&rules, &habit))
}

/// Plantings of an earlier season as they would stand in the latest, on the same day of the year.
#[derive(Debug, Clone)]
pub struct Again {
    /// Year of the latest season.
    pub year: i64,
    /// Year of the season they are taken from.
    pub from: i64,
    /// The plantings as they would be written; none once the member has any planting in the latest season, one taken
    /// off the record included: what was taken over and then put right is not offered again.
    pub plantings: Vec<Planting>,
}

/// What a member's plantings of the season before the latest would be in the latest. `None`: there are none.
///
/// # Errors
/// The store failed.
pub async fn again(conn: &mut Conn, member: MemberId) -> Stored<Option<Again>> {
    let found = (seasons::latest(), plantings::of_member(member));
    let (latest, all) = found.together().ask(conn).await?;
    let Some(latest) = latest else {
        return Ok(None);
    };
    let before = all.iter().map(|p| p.year).filter(|y| *y < latest.year);
    let Some(from) = before.max() else {
        return Ok(None);
    };
    let begun = plantings::any_of(member, latest.id).ask(conn).await?;
    let moved = |p: &Planting| Planting {
        season_id: latest.id,
        year: latest.year,
        version: 1,
        planted_on: same_day(p.planted_on, latest.year),
        ..p.clone()
    };
    let old = all.iter().filter(|p| p.year == from && !begun);
    let plantings = old.map(moved).collect();
    Ok(Some(Again {
        year: latest.year,
        from,
        plantings,
    }))
}

/// The same day in another year; 29 February becomes the 28th where there is none.
fn same_day(day: PressDate, year: i64) -> PressDate {
    let Ok(year) = i32::try_from(year) else {
        return day;
    };
    let moved = day.date().replace_year(year);
    let moved = moved.or_else(|_| day.plus_days(-1).date().replace_year(year));
    moved.map_or(day, PressDate::new)
}

/// A member's row as a turn on some day would bring it.
#[derive(Debug, Clone, Copy)]
pub struct RowLeft {
    /// Length of row planted for that day.
    pub planted: Metres,
    /// Length of row left after the season's turns and tickets.
    pub left: Metres,
}

impl RowLeft {
    /// Reads it for a day; nothing: no planting is on record.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, member: MemberId, day: &PressDay) -> Stored<Option<Self>> {
        let season = day.season_id;
        let Some((planted, all)) = row_on_day(conn, member, season, day.date).await? else {
            return Ok(None);
        };
        let taken = rows_taken::of_member(conn, member, season).await?;
        let rules = rules_versions::on(season, day.date).ask(conn).await?;
        let habit = turn_habit::of_season(conn, season).await?;
        let kg_per_m = turn_habit::yields_now(&rules, &habit).row_kg_per_m;
        let left = row_left(all, &taken, kg_per_m);
        Ok(Some(Self {
            planted,
            left: if left.get() < planted.get() {
                left
            } else {
                planted
            },
        }))
    }
}

/// The row that a member's plantings of a season would bring on a day, and all of them together; `None`: none is
/// on record.
///
/// # Errors
/// The store failed.
async fn row_on_day(
    conn: &mut Conn,
    member: MemberId,
    season: SeasonId,
    date: PressDate,
) -> Stored<Option<(Metres, Metres)>> {
    let all = plantings::of_member(member).ask(conn).await?;
    let planted: Vec<rules::Planting> = all
        .iter()
        .filter(|p| p.season_id == season)
        .map(planned)
        .collect();
    let all = Metres::new(planted.iter().map(|p| p.row.get()).sum());
    Ok(rules::row_on(date, &planted).map(|row| (row, all.unwrap_or(row))))
}
