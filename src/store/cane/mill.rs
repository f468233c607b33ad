//! What stands at the mill: scales and vessels.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored, one_row};
use crate::units::{Grams, Millilitres, ScaleId, UtcSecond, VesselId};

/// A scale.
#[derive(Debug, Clone)]
pub struct Scale {
    /// Id of the scale.
    pub id: ScaleId,
    /// What it is called at the mill.
    pub name: String,
    /// Graduation d: one step of its display, g.
    pub graduation_g: f64,
    /// The greatest weight that it can take.
    pub capacity: Grams,
    /// When it was taken out of use; `None` while in use.
    pub retired_at: Option<UtcSecond>,
}

/// A vessel that juice stands in.
#[derive(Debug, Clone)]
pub struct Vessel {
    /// Id of the vessel.
    pub id: VesselId,
    /// Name painted on it.
    pub name: String,
    /// Volume that it holds.
    pub capacity: Millilitres,
    /// When it was taken out of use; `None` while in use.
    pub retired_at: Option<UtcSecond>,
}

/// All scales, those in use first.
pub fn scales() -> Question<Vec<Scale>> {
    question!(
        Scale,
        r#"select id as "id: ScaleId", name, graduation_g, capacity_g as "capacity: Grams",
        retired_at as "retired_at: UtcSecond" from scales order by retired_at is not null, name"#
    )
}

/// The scale with this id.
pub fn scale(id: ScaleId) -> Question<Option<Scale>> {
    question!(
        Scale,
        r#"select id as "id: ScaleId", name, graduation_g, capacity_g as "capacity: Grams",
        retired_at as "retired_at: UtcSecond" from scales where id = ?1"#,
        id
    )
    .first()
}

/// Adds a scale.
pub async fn insert_scale(conn: &mut Conn, scale: &Scale) -> Stored<()> {
    sqlx::query!(
        "insert into scales (id, name, graduation_g, capacity_g) values (?1, ?2, ?3, ?4)",
        scale.id,
        scale.name,
        scale.graduation_g,
        scale.capacity
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Takes a scale out of use, or back into it.
pub async fn retire_scale(conn: &mut Conn, id: ScaleId, at: Option<UtcSecond>) -> Stored<()> {
    let done = sqlx::query!("update scales set retired_at = ?2 where id = ?1", id, at)
        .execute(conn)
        .await?;
    one_row(&done, "retire a scale")
}

/// All vessels, those in use first.
pub fn vessels() -> Question<Vec<Vessel>> {
    question!(
        Vessel,
        r#"select id as "id: VesselId", name, capacity_ml as "capacity: Millilitres",
        retired_at as "retired_at: UtcSecond" from vessels
        order by retired_at is not null, rtrim(name, '0123456789'), length(name), name"#
    )
}

/// The vessel with this id.
pub fn vessel(id: VesselId) -> Question<Option<Vessel>> {
    question!(
        Vessel,
        r#"select id as "id: VesselId", name, capacity_ml as "capacity: Millilitres",
        retired_at as "retired_at: UtcSecond" from vessels where id = ?1"#,
        id
    )
    .first()
}

/// Adds a vessel.
pub async fn insert_vessel(conn: &mut Conn, vessel: &Vessel) -> Stored<()> {
    sqlx::query!(
        "insert into vessels (id, name, capacity_ml) values (?1, ?2, ?3)",
        vessel.id,
        vessel.name,
        vessel.capacity
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Takes a vessel out of use, or back into it.
pub async fn retire_vessel(conn: &mut Conn, id: VesselId, at: Option<UtcSecond>) -> Stored<()> {
    let done = sqlx::query!("update vessels set retired_at = ?2 where id = ?1", id, at)
        .execute(conn)
        .await?;
    one_row(&done, "retire a vessel")
}
