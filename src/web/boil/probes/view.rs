//! The pages of probes, as text ready to print.

use super::live::{last_words, offset_words};
use crate::actions::Token;
use crate::facts::boil::probes::KnownProbe;
use crate::store::boil::pans::Pan;
use crate::units::ProbeId;
use crate::web::app::SAY_ADDRESS;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::PageRequest;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// A probe on the page of the pans.
pub(in crate::web) struct ListedProbe {
    pub name: String,
    pub href: String,
    pub pan: String,
    pub last: String,
    pub offset: String,
    pub revoked: bool,
    pub revoke: String,
}

/// The probes on the page of the pans.
pub(in crate::web) struct ProbeList {
    pub probes: Vec<ListedProbe>,
    /// Pans that a probe may be let into, with the address of its form: for stewards.
    pub pans: Vec<Choice>,
}

/// The probes, and the pans in use.
pub(in crate::web) fn probe_list(
    all: &[KnownProbe],
    pans: &[Pan],
    visit: &Visit,
    steward: bool,
) -> Result<ProbeList, PageError> {
    let mut probes = Vec::new();
    for known in all {
        let probe = &known.probe;
        probes.push(ListedProbe {
            name: probe.name.clone(),
            href: paths::probe(probe.id),
            pan: probe.pan_name.clone(),
            last: last_words(known, visit)?.0,
            offset: offset_shown(known, visit),
            revoked: probe.revoked_at.is_some(),
            revoke: paths::revoke_probe(probe.id),
        });
    }
    let open = pans.iter().filter(|p| steward && p.retired_at.is_none());
    Ok(ProbeList {
        probes,
        pans: open
            .map(|p| Choice::new(paths::new_probe(p.id), p.name.clone()))
            .collect(),
    })
}

/// "+0.7 °F", or a dash when it was not learned.
fn offset_shown(known: &KnownProbe, visit: &Visit) -> String {
    known.offsets.last().map_or_else(
        || "–".to_owned(),
        |o| {
            let sign = if o.off().get() > 0.0 { "+" } else { "" };
            format!("{sign}{}", o.off().show(visit.units()))
        },
    )
}

/// The form that lets a probe in.
#[derive(Template)]
#[template(path = "boil/probes/form.html")]
pub(super) struct FormPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: &'static str,
    pan: String,
}

impl FormPage {
    pub(super) fn new(app: &App, visit: &Visit, pan: &Pan, sheet: Sheet) -> Self {
        Self {
            shell: Shell::new(app, visit, format!("A probe in {}", pan.name)),
            sheet,
            action: paths::new_probe(pan.id),
            back: paths::PANS,
            pan: pan.name.clone(),
        }
    }
}

/// A new token, shown once.
#[derive(Template)]
#[template(path = "boil/probes/token.html")]
pub(super) struct TokenPage {
    shell: Shell,
    pan: String,
    token: String,
    address: String,
    example: String,
    probe: String,
    say_address: &'static str,
}

impl TokenPage {
    /// `about`: the probe's id and name, and the name of its pan.
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        (id, name, pan): (ProbeId, &str, &str),
        token: &Token,
    ) -> Self {
        let site = app.public_url.clone().unwrap_or_default();
        let mut page = Self::of(
            Shell::new(app, visit, format!("The token of probe {name}")),
            pan,
            token.as_str(),
            format!("{site}{}", paths::PROBE_READINGS),
            paths::probe(id),
        );
        if app.public_url.is_none() {
            page.say_address = SAY_ADDRESS;
        }
        page
    }

    fn of(shell: Shell, pan: &str, token: &str, address: String, probe: String) -> Self {
        Self {
            shell,
            pan: pan.to_owned(),
            example: format!("curl -H \"Authorization: Bearer {token}\" -d celsius=98.6 {address}"),
            token: token.to_owned(),
            address,
            probe,
            say_address: "",
        }
    }
}

/// A probe's page.
#[derive(Template)]
#[template(path = "boil/probes/show.html")]
pub(super) struct ProbePage {
    shell: Shell,
    sheet: Sheet,
    steward: bool,
    revoked: bool,
    last: String,
    silent: bool,
    offset: String,
    facts: Vec<(&'static str, String)>,
    /// Offsets learned, the latest first: when, what it showed, where water boiled, who held it in.
    learned: Vec<[String; 4]>,
    in_water: String,
    revoke: String,
    here: String,
    back: &'static str,
}

impl ProbePage {
    pub(super) fn new(request: &PageRequest, known: &KnownProbe) -> Result<Self, PageError> {
        let (visit, probe) = (&request.visit, &known.probe);
        let (zone, units) = (visit.zone()?, visit.units());
        let (last, silent) = last_words(known, visit)?;
        let mut facts = vec![
            ("Pan", probe.pan_name.clone()),
            (
                "Token",
                format!("made by {} on {}", probe.made_by, zone.show(probe.made_at)),
            ),
        ];
        if let Some(at) = probe.revoked_at {
            facts.push(("Revoked", zone.show(at)));
        }
        let learned = known.offsets.iter().rev().map(|o| {
            let how = if o.measured {
                ""
            } else {
                " (by the mill’s height)"
            };
            [
                zone.show(o.at),
                o.read.show(units),
                format!("{}{how}", o.water.show(units)),
                o.by_name.to_string(),
            ]
        });
        Ok(Self {
            shell: Shell::new(&request.app, visit, format!("Probe {}", probe.name)),
            sheet: request.blank(),
            steward: request.me.is_steward(),
            revoked: probe.revoked_at.is_some(),
            last,
            silent,
            offset: offset_words(known, units),
            facts,
            learned: learned.collect(),
            in_water: paths::probe_in_water(probe.id),
            revoke: paths::revoke_probe(probe.id),
            here: paths::probe(probe.id),
            back: paths::PANS,
        })
    }
}

#[cfg(test)]
impl ProbeList {
    /// Samples: `many` probes and pans.
    pub(in crate::web) fn sample(many: usize) -> Self {
        let text = |t: &str| t.to_owned();
        Self {
            probes: (0..many)
                .map(|n| ListedProbe {
                    name: text("<b>Spout</b> & “co”"),
                    href: text("/mill/probes/1"),
                    pan: text("Long <pan>"),
                    last: text("has not spoken since 11:25 (226.4 °F then)"),
                    offset: text("+0.7 °F"),
                    revoked: n % 2 == 1,
                    revoke: text("/mill/probes/1/revoke"),
                })
                .collect(),
            pans: vec![Choice::new("/mill/pans/1/probes/new", "Long <pan>"); many],
        }
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let text = |t: &str| t.to_owned();
    let form = |sheet| FormPage {
        shell: Shell::sample("A probe in Long <pan>"),
        sheet,
        action: text("/mill/pans/1/probes/new"),
        back: paths::PANS,
        pan: text("Long <pan>"),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("probe_name", "<b>")
        .refuse("probe_name", "There is a probe called “<b>”.");
    let token = TokenPage::of(
        Shell::sample("The token of probe <b>"),
        "Long <pan>",
        "0123456789abcdefghjkmnpqrstvwxyz",
        text("https://mill.example/probe/readings"),
        text("/mill/probes/1"),
    );
    let show = |steward, revoked, many: usize| ProbePage {
        shell: Shell::sample("Probe <b>Spout</b>"),
        sheet: Sheet::sample(),
        steward,
        revoked,
        last: text("226.4 °F, 12 s ago"),
        silent: revoked,
        offset: text("Its offset is not learned: its readings are taken as they come."),
        facts: vec![("Pan", text("Long <pan>"))],
        learned: vec![
            [
                text("Sat 19 Sep 2026 07:10"),
                text("211.9 °F"),
                text("211.2 °F"),
                text("Ruth")
            ];
            many
        ],
        in_water: text("/mill/probes/1/boiling-water"),
        revoke: text("/mill/probes/1/revoke"),
        here: text("/mill/probes/1"),
        back: paths::PANS,
    };
    vec![
        Box::new(form(Sheet::sample())),
        Box::new(form(wrong)),
        Box::new(token),
        Box::new(show(true, false, 0)),
        Box::new(show(true, true, 3)),
        Box::new(show(false, false, 30)),
    ]
}
