//! What is owed to a member, settled in jars of the mill's own.

use super::form;
use super::view::{FormPage, Settles};
use crate::actions::Act;
use crate::actions::shares::hand_overs::ReceiptNumber;
use crate::actions::shares::settled_jars::{self as actions, NewSettledJars};
use crate::calc::shares::ledger::grams_says;
use crate::calc::shares::split::Sharer;
use crate::facts::shares::hand_overs::SetAside;
use crate::store::Snapshot;
use crate::store::people::members::{self, Member};
use crate::store::season::{in_use, season_close};
use crate::store::shares::ledger;
use crate::units::{Grams, MemberId, Refused, SeasonId, Units};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::{FormRequest, PageRequest};
use crate::web::season::season_close::locks;
use crate::web::{Page, page, paths};
use axum::extract::Path;

/// The mill's jars, whom they go to, and what that member is owed.
struct JarSettlement {
    member: Member,
    mill: SetAside,
    owed: Grams,
    stands: String,
    seasons: Vec<Choice>,
    locked: Vec<Choice>,
}

impl JarSettlement {
    async fn read(db: &mut Snapshot, id: &str, units: Units) -> Result<Self, PageError> {
        let id = MemberId::parse(id).ok_or(PageError::NotFound)?;
        let member = members::find(id)
            .ask(db)
            .await?
            .ok_or(PageError::NotFound)?;
        let (grams, _) = ledger::balance_of(id).ask(db).await?;
        let locked = season_close::locked_years(db).await?;
        let all = in_use::by_use().ask(db).await?;
        let open = all.iter().filter(|s| !locked.contains(&s.year));
        let mill = SetAside::read(db, Sharer::Mill).await?;
        Ok(Self {
            member,
            mill: mill.ok_or(PageError::NotFound)?,
            owed: grams,
            stands: grams_says(grams, units),
            seasons: open
                .map(|s| Choice::new(s.id.to_string(), s.year.to_string()))
                .collect(),
            locked: locks(&locked),
        })
    }

    fn settles(&self) -> Settles {
        Settles {
            who: self.member.name.to_string(),
            action: paths::settle_jars(self.member.id),
            stands: self.stands.clone(),
            owed: self.owed > Grams::ZERO,
            seasons: self.seasons.clone(),
            locked: self.locked.clone(),
        }
    }
}

fn meant(sheet: &mut Sheet, mill: &SetAside) -> Option<NewSettledJars> {
    let season = sheet.read("season", |text| {
        SeasonId::parse(text).ok_or_else(|| Refused::new("Please choose a season."))
    });
    let jars = form::hand_over(sheet, &mill.jars);
    Some(NewSettledJars {
        season: season?,
        jars: jars?,
    })
}

/// `GET /members/{id}/settle-jars`
pub(crate) async fn settle_form(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let laid = JarSettlement::read(&mut request.db, &id, request.visit.units()).await?;
    let mut sheet = request.blank();
    sheet.put("signed_by", laid.member.name.to_string());
    page(&FormPage::settling(
        &request.app,
        &request.visit,
        (&laid.mill, laid.settles()),
        sheet,
    ))
}

/// `POST /members/{id}/settle-jars`
pub(crate) async fn settle(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let units = form.visit.units();
    let laid = JarSettlement::read(form.db.now().await?, &id, units).await?;
    let new = meant(&mut form.sheet, &laid.mill);
    let member = laid.member.id;
    form.end_showing(
        new,
        async |act: &Act, new| actions::settle_in_jars(act, member, new).await,
        |ReceiptNumber(number)| paths::hand_over(number),
        |app, visit, sheet| {
            let of = (&laid.mill, laid.settles());
            Ok(FormPage::settling(app, visit, of, sheet))
        },
    )
    .await
}
