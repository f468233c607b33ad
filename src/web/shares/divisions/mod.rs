//! Shares: the division of a boil, proposed in full, then frozen; opened and divided again where it
//! was wrong.

mod exchanges;
mod left;
mod names;
mod signature;
pub(crate) mod sums;
mod versions;
mod view;

use crate::actions::Act;
use crate::actions::shares::divisions as actions;
use crate::actions::shares::divisions::Signed;
use crate::calc::RuleRefusal;
use crate::calc::shares::cane_way::Stop;
use crate::calc::shares::division::{Division, Part};
use crate::calc::shares::my_cane::Step;
use crate::calc::shares::split::Sharer;
use crate::facts::shares::cane_way::{CaneWay, OnTheWay};
use crate::facts::shares::division_inputs::DivisionInputs;
use crate::facts::shares::frozen_division;
use crate::facts::shares::poured_juice::PouredJuice;
use crate::facts::shares::syrup_lost::SyrupLost;
use crate::store::boil::boils_rules;
use crate::store::people::members::Member;
use crate::store::people::{accounts, members};
use crate::store::season::season_close::{self, MovedRow};
use crate::store::shares::divisions::DivisionRow;
use crate::store::shares::ledger;
use crate::store::shares::lot_losses;
use crate::store::{Question, Snapshot, Together, in_json};
use crate::units::{Grams, LotCode, Units, UtcSecond, Zone, plain_text};
use crate::web::cane_way::stops;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths};
use axum::extract::{Path, Query};
use names::Names;
use serde::Deserialize;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{DivisionPage, Sheets, Shown};

/// The tick boxes a division may ask for.
const TICKS: [&str; 2] = ["sure_thin", "sure_loose"];

/// The version of the division that the address asks for; the latest when none is named.
#[derive(Debug, Deserialize)]
pub(crate) struct WhichVersion {
    version: Option<String>,
}

fn code(text: &str) -> Result<LotCode, PageError> {
    LotCode::parse(text).map_err(|_| PageError::NotFound)
}

/// `GET /boils/{lot}/divide`, `?version=1`
pub(crate) async fn show(
    request: PageRequest,
    Path(lot): Path<String>,
    Query(which): Query<WhichVersion>,
) -> Page {
    let lot = code(&lot)?;
    let version = match which.version {
        Some(text) => Some(text.parse().map_err(|_| PageError::NotFound)?),
        None => None,
    };
    let sheets = Sheets {
        divide: request.blank(),
        correct: request.blank(),
    };
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let of = (&app, &visit, &me);
    page(&division_page(&mut db, of, (&lot, version), sheets).await?)
}

/// `POST /boils/{lot}/divide`
pub(crate) async fn divide(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    if !form.me.is_crew() {
        return Err(PageError::Forbidden);
    }
    let lot = code(&lot)?;
    let ticked: Vec<&str> = TICKS.into_iter().filter(|t| form.sheet.ticked(t)).collect();
    let seen = form.sheet.typed("seen").to_owned();
    let by = signature::signer(&mut form, &lot).await?;
    let (seen, ticked) = (&seen, &ticked);
    form.end(
        by,
        async |act: &Act, by| actions::divide(act, &lot, Signed { seen, ticked, by }).await,
        |_| paths::boil_part(&lot, "divide"),
        async |form| {
            let correct = Sheet::blank(&form.visit, &form.app.ids);
            show_again(form, &lot, |divide| Sheets { divide, correct }).await
        },
    )
    .await
}

/// `POST /boils/{lot}/correct`: opens a divided boil.
pub(crate) async fn correct(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let lot = code(&lot)?;
    let why = form.sheet.read("why", |text| plain_text(text, 1, 300));
    form.end(
        why,
        async |act: &Act, why: String| actions::open_correction(act, &lot, &why).await,
        |()| paths::boil_part(&lot, "divide"),
        async |form| {
            let divide = Sheet::blank(&form.visit, &form.app.ids);
            show_again(form, &lot, |correct| Sheets { divide, correct }).await
        },
    )
    .await
}

/// The page with the form that was not taken in its place among the two.
async fn show_again(
    mut form: FormRequest,
    lot: &LotCode,
    sheets: impl FnOnce(Sheet) -> Sheets,
) -> Page {
    let status = form.sheet.status();
    let of = (&form.app, &form.visit, &form.me);
    let db = form.db.now().await?;
    let view = division_page(db, of, (lot, None), sheets(form.sheet)).await?;
    page_with(status, &view)
}

/// The version of a division that is shown: the one asked for, else the one being made (`None`; to crew
/// only), else the latest there is.
fn version_shown<'a>(
    asked_for: Option<i64>,
    inputs: &'a DivisionInputs,
    me: &Me,
) -> Result<Option<&'a DivisionRow>, PageError> {
    let versions = &inputs.versions;
    match asked_for {
        Some(wanted) => {
            let found = versions.iter().find(|v| v.version == wanted);
            found.map(Some).ok_or(PageError::NotFound)
        }
        None if inputs.correction.is_some() && me.is_crew() => Ok(None),
        None => Ok(versions.first()),
    }
}

/// Whether this person may read what a division rests on: crew always; a member once it is frozen, and
/// only as one who shares it. Before that nobody reads a neighbour's weights here.
fn may_read(
    lot: &LotCode,
    (inputs, gone): (&DivisionInputs, &str),
    frozen: Option<&Division>,
    me: &Me,
) -> Result<(), PageError> {
    if me.is_crew() || frozen.is_some_and(|division| has_part(division, me)) {
        return Ok(());
    }
    let theirs = |p: &PouredJuice| me.is_theirs(p.draw.member_id);
    if frozen.is_none() && inputs.pours.iter().any(theirs) {
        return Err(PageError::NotYet {
            sentence: if inputs.boil.lost {
                format!("There is nothing to divide. {gone}")
            } else {
                "This boil is not divided yet. Your share stands here once it is; until then \
                       the page of the boil says where your syrup is."
                    .to_owned()
            },
            back: paths::boil(lot),
        });
    }
    Err(PageError::NotFound)
}

/// The page of a boil's division as it stands: frozen, proposed, or why it cannot be divided; or an
/// earlier version of it.
async fn division_page(
    db: &mut Snapshot,
    (app, visit, me): (&App, &Visit, &Me),
    (lot, version): (&LotCode, Option<i64>),
    sheets: Sheets,
) -> Result<DivisionPage, PageError> {
    let inputs = DivisionInputs::read(db, lot)
        .await?
        .ok_or(PageError::NotFound)?;
    let frozen = version_shown(version, &inputs, me)?;
    let shared = inputs.pours.iter();
    let shared = shared.map(|p| OnTheWay::of_draw(&p.draw, Step::ShareKnown));
    let signs = frozen.is_none() && me.is_crew();
    let (boil, season) = (inputs.boil.id, inputs.boil.season_id);
    let found = (
        Question::when(frozen.map(|row| frozen_division::recall(&inputs.boil, row))),
        ledger::of_boil(boil),
        Question::when(signs.then(accounts::signers)),
        CaneWay::in_season(season, shared.collect()),
        season_close::losses_borne(season),
        boils_rules::latest(boil),
        (
            lot_losses::of_boils(&in_json([boil])),
            season_close::moved(boil),
            season_close::locked_year(season),
        )
            .together(),
    );
    let (recalled, lines, signers, way, losses_borne, moved, (losses, by_loss, locked)) =
        found.together().ask(db).await?;
    let gone = SyrupLost::all_of(&inputs.boil, &losses);
    let (units, zone) = (visit.units(), visit.zone()?);
    let gone_says: Vec<String> = gone.iter().map(|gone| gone.says(units, zone)).collect();
    let gone_says = gone_says.join(" ");
    may_read(lot, (&inputs, &gone_says), recalled.as_ref(), me)?;
    let division = match recalled {
        Some(division) => Ok(division),
        None => inputs.propose(visit.units()),
    };
    let poured = inputs.pours.iter().any(|p| me.is_theirs(p.draw.member_id));
    let then = frozen.map(|row| row.at);
    let (names, left) = names(db, me, then, sharers(&inputs, &division)).await?;
    let shown = Shown {
        stops: stops(&way, me, &Stop::Shares(lot.clone())),
        basis: frozen.map_or(inputs.rules.basis, |f| f.basis),
        inputs: &inputs,
        may_boil: me.is_crew() || poured,
        division: division.as_ref(),
        names: &names,
        left: &left,
        frozen,
        versions: &inputs.versions,
        ledger: &lines,
        signers: signers.map_or_else(Vec::new, |all| signature::choices(&all, me)),
        moved: moved.as_ref(),
        losses_borne,
        locked,
        lost: lost_words(&gone, (units, zone), |gone| {
            own_lost(gone, &inputs, &by_loss, (me, units))
        }),
    };
    DivisionPage::new(app, visit, me, shown, sheets)
}

/// All that was lost, each with what of it is the reader's own.
fn lost_words(
    gone: &[SyrupLost],
    (units, zone): (Units, &Zone),
    own: impl Fn(&SyrupLost) -> String,
) -> String {
    let says = gone.iter().map(|gone| {
        let says = format!("{} {}", gone.says(units, zone), own(gone));
        says.trim_end().to_owned()
    });
    says.collect::<Vec<_>>().join(" ")
}

/// What of a loss would have been the reader's own, and what the season bearing it moved for the reader.
fn own_lost(
    lost: &SyrupLost,
    inputs: &DivisionInputs,
    by_loss: &[MovedRow],
    (me, units): (&Me, Units),
) -> String {
    let part = lost.part_of(Sharer::Member(me.id), &inputs.rules, &inputs.pours);
    let own = by_loss.iter().find(|row| row.member_id == Some(me.id));
    let own = own.filter(|_| lost.is_written_down());
    let moved = own.map_or((Grams::ZERO, Grams::ZERO), |row| (row.made_good, row.borne));
    SyrupLost::own_says(part, moved, units)
}

/// Everybody whose name stands on the page.
fn sharers(inputs: &DivisionInputs, division: &Result<Division, RuleRefusal>) -> Vec<Sharer> {
    let poured = inputs.pours.iter().map(|p| p.brought.sharer);
    let parts = division.iter().flat_map(|d| &d.parts);
    poured.chain(parts.map(|p| p.sharer)).collect()
}

/// Whether a member shares in a division: brought juice, or was given jars of it.
fn has_part(division: &Division, me: &Me) -> bool {
    let own = |p: &&Part| matches!(p.sharer, Sharer::Member(id) if me.is_theirs(id));
    let mut own = division.parts.iter().filter(own);
    own.any(|p| p.weight > 0 || p.entitled > Grams::ZERO || p.jarred > Grams::ZERO)
}

/// Sharers by name, and who of them left; of a frozen division by the name of that day: crew read all; a member reads the own and those who agreed
/// to be named.
async fn names(
    snapshot: &mut Snapshot,
    me: &Me,
    frozen_at: Option<UtcSecond>,
    mut sharers: Vec<Sharer>,
) -> Result<(Names, Vec<(Member, UtcSecond)>), PageError> {
    sharers.sort_unstable();
    sharers.dedup();
    let found = sharers.into_iter().filter_map(Sharer::member).map(|id| {
        let then = frozen_at.map(|at| members::name_at(id, at));
        (members::find(id), Question::when(then)).together()
    });
    let mut names = Names::new();
    let mut others = 0;
    let mut left = Vec::new();
    for (card, then) in Question::all(found).ask(snapshot).await? {
        let Some(card) = card else { continue };
        left.extend(card.left_at.map(|at| (card.clone(), at)));
        let name = if card.named || me.may_see(card.id) {
            then.flatten().unwrap_or(card.name).to_string()
        } else {
            others += 1;
            format!("another member ({others})")
        };
        names.insert(Sharer::Member(card.id), name);
    }
    Ok((names, left))
}
