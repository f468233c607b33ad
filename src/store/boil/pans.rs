//! The pans that juice is boiled in.

use crate::calc::boil::pan::Settings;
use crate::calc::physics::energy::Fuel;
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, StoreError, Stored, one_row};
use crate::units::{Millilitres, PanId, SquareMetres, UtcSecond};

/// A pan.
#[derive(Debug, Clone)]
pub struct Pan {
    /// Id of the pan.
    pub id: PanId,
    /// What it is called at the mill.
    pub name: String,
    /// The figures that boils in it are planned with.
    pub settings: Settings,
    /// When it was taken out of use; `None` while in use.
    pub retired_at: Option<UtcSecond>,
}

struct PanColumns {
    id: PanId,
    name: String,
    area: SquareMetres,
    least: Millilitres,
    most: Millilitres,
    rate_l_per_m2_h: f64,
    fuel: String,
    efficiency_pct: f64,
    retired_at: Option<UtcSecond>,
}

impl PanColumns {
    fn read(self) -> Stored<Pan> {
        let fuel = Fuel::parse(&self.fuel).ok_or(StoreError::Corrupt {
            what: "pans.fuel",
            found: self.fuel,
        })?;
        Ok(Pan {
            id: self.id,
            name: self.name,
            settings: Settings {
                area: self.area,
                least: self.least,
                most: self.most,
                rate_l_m2_h: self.rate_l_per_m2_h,
                fuel,
                efficiency_pct: self.efficiency_pct,
            },
            retired_at: self.retired_at,
        })
    }
}

/// All pans, those in use first, by name.
pub fn list() -> Question<Vec<Pan>> {
    question!(PanColumns,
        r#"select id as "id: PanId", name, area_m2 as "area: SquareMetres", least_ml as "least: Millilitres",
        most_ml as "most: Millilitres", rate_l_per_m2_h, fuel, efficiency_pct,
        retired_at as "retired_at: UtcSecond" from pans order by retired_at is not null, name, id"#).try_map(|rows| rows.into_iter().map(PanColumns::read).collect())
}

/// The pan with this id.
pub fn find(id: PanId) -> Question<Option<Pan>> {
    question!(PanColumns,
        r#"select id as "id: PanId", name, area_m2 as "area: SquareMetres", least_ml as "least: Millilitres",
        most_ml as "most: Millilitres", rate_l_per_m2_h, fuel, efficiency_pct,
        retired_at as "retired_at: UtcSecond" from pans where id = ?1"#,
        id).first().try_map(|row| row.map(PanColumns::read).transpose())
}

/// Adds a pan.
pub async fn insert(conn: &mut Conn, pan: &Pan) -> Stored<()> {
    let fuel = pan.settings.fuel.word();
    sqlx::query!(
        r#"insert into pans (id, name, area_m2, least_ml, most_ml, rate_l_per_m2_h, fuel, efficiency_pct)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)"#,
        pan.id,
        pan.name,
        pan.settings.area,
        pan.settings.least,
        pan.settings.most,
        pan.settings.rate_l_m2_h,
        fuel,
        pan.settings.efficiency_pct
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Takes a pan out of use, or back into it.
pub async fn retire(conn: &mut Conn, id: PanId, at: Option<UtcSecond>) -> Stored<()> {
    let done = sqlx::query!("update pans set retired_at = ?2 where id = ?1", id, at)
        .execute(conn)
        .await?;
    one_row(&done, "retire a pan")
}
