//! The shelf: whose jars stand at the mill, and what became of jars there and of jars that come back.

mod form;
mod view;

use crate::actions::Act;
use crate::actions::shares::jar_moves as actions;
use crate::calc::shares::split::Sharer;
use crate::facts::shares::hand_overs::SetAside;
use crate::facts::shares::jar_count::{OutOn, shelves};
use crate::store::Snapshot;
use crate::store::shares::jar_moves::{self, JarMove};
use crate::store::shares::recalls::JarRow;
use crate::units::{LotCode, MemberId};
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, page_with, paths};
use axum::extract::Path;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{MovesPage, RECEIPT, SHELF, ShelfPage};

/// `GET /shelf`
pub(crate) async fn list(mut request: PageRequest) -> Page {
    let shelves = shelves(&mut request.db).await?;
    page(&ShelfPage::new(&request.app, &request.visit, &shelves)?)
}

/// A shelf as its form needs it.
struct Own {
    aside: SetAside,
    jars: Vec<(LotCode, JarRow)>,
    moves: Vec<JarMove>,
}

impl Own {
    async fn read(db: &mut Snapshot, id: &str) -> Result<Self, PageError> {
        let sharer = if id == "mill" {
            Sharer::Mill
        } else {
            Sharer::Member(MemberId::parse(id).ok_or(PageError::NotFound)?)
        };
        let aside = SetAside::read(db, sharer).await?;
        let aside = aside.ok_or(PageError::NotFound)?;
        let row = |row: &crate::store::shares::hand_overs::AsideRow| {
            let jars = JarRow {
                boil: row.boil_id,
                size_name: row.size_name.clone(),
                net: row.net,
                part: row.part,
                member: sharer.member(),
                receipt: None,
                count: row.left(),
            };
            (row.lot.clone(), jars)
        };
        Ok(Self {
            jars: aside.jars.iter().map(row).collect(),
            moves: jar_moves::of_sharer(sharer.member()).ask(db).await?,
            aside,
        })
    }

    fn kinds(&self) -> Vec<JarRow> {
        self.jars.iter().map(|(_, jars)| jars.clone()).collect()
    }
}

/// `GET /members/{id}/shelf`
pub(crate) async fn own_form(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let own = Own::read(&mut request.db, &id).await?;
    let sheet = request.blank();
    let site = (&request.app, &request.visit);
    let to = (paths::shelf_of(own.aside.sharer.member()), sheet);
    let name = own.aside.name.as_ref();
    page(&MovesPage::of_shelf(
        site,
        name,
        (&own.jars, &own.moves),
        to,
    )?)
}

/// `POST /members/{id}/shelf`
pub(crate) async fn own(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let own = Own::read(form.db.now().await?, &id).await?;
    let new = form::moves(&mut form.sheet, &own.kinds(), &SHELF.1);
    let sharer = own.aside.sharer;
    form.end(
        new,
        async |act: &Act, new| actions::off_the_shelf(act, sharer, new).await,
        |()| paths::SHELF.to_owned(),
        async |form| {
            let status = form.sheet.status();
            let site = (&form.app, &form.visit);
            let to = (paths::shelf_of(sharer.member()), form.sheet);
            let name = own.aside.name.as_ref();
            let view = MovesPage::of_shelf(site, name, (&own.jars, &own.moves), to)?;
            page_with(status, &view)
        },
    )
    .await
}

/// A receipt as its form needs it.
async fn receipt(db: &mut Snapshot, number: &str) -> Result<(OutOn, Vec<JarMove>), PageError> {
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let out = OutOn::read(db, number).await?.ok_or(PageError::NotFound)?;
    let moves = jar_moves::of_receipt(number).ask(db).await?;
    Ok((out, moves))
}

fn rows(out: &OutOn) -> Vec<(LotCode, JarRow)> {
    let jars = out.jars.iter();
    jars.map(|o| (o.lot.clone(), o.jars.clone())).collect()
}

/// `GET /hand-overs/{number}/back`
pub(crate) async fn back_form(mut request: PageRequest, Path(number): Path<String>) -> Page {
    let (out, moves) = receipt(&mut request.db, &number).await?;
    let sheet = request.blank();
    let site = (&request.app, &request.visit);
    page(&MovesPage::of_receipt(
        site,
        &out,
        (&rows(&out), &moves),
        sheet,
    )?)
}

/// `POST /hand-overs/{number}/back`
pub(crate) async fn back(Path(number): Path<String>, mut form: FormRequest) -> Page {
    let (out, moves) = receipt(form.db.now().await?, &number).await?;
    let jars = rows(&out);
    let kinds: Vec<JarRow> = jars.iter().map(|(_, jars)| jars.clone()).collect();
    let new = form::moves(&mut form.sheet, &kinds, &RECEIPT.1);
    let receipt = out.row.number;
    form.end(
        new,
        async |act: &Act, new| actions::take_back(act, receipt, new).await,
        |()| paths::hand_over(receipt),
        async |form| {
            let status = form.sheet.status();
            let site = (&form.app, &form.visit);
            let view = MovesPage::of_receipt(site, &out, (&jars, &moves), form.sheet)?;
            page_with(status, &view)
        },
    )
    .await
}
