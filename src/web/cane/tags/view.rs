//! The tags, as text ready to print.

use super::on_yard::OnYard;
use crate::calc::paper::qr::Qr;
use crate::units::TicketId;
use crate::web::app::SAY_ADDRESS;
use crate::web::error::PageError;
use crate::web::leaf::page_words;
use crate::web::session::Visit;
use crate::web::{paths, statics};
use askama::Template;

/// Tags on a page: what fits on A4 and on US Letter.
const ON_A_PAGE: usize = 8;

/// One tag.
#[derive(Clone)]
struct Tag {
    kind: String,
    /// Number of the ticket, or name of the vessel, in large letters.
    number: String,
    /// Whether it is words, which need more room.
    words: bool,
    who: String,
    when: String,
    what: String,
    /// The code, when the site has a public address.
    qr: Option<Qr>,
    leads: String,
}

/// One page of tags.
struct TagLeaf {
    page: String,
    tags: Vec<Tag>,
}

/// The tags of a press day.
#[derive(Template)]
#[template(path = "cane/tags.html")]
pub(super) struct TagsPage {
    title: String,
    day: String,
    coop: String,
    css: String,
    icon: String,
    back: String,
    no_qr: bool,
    say_address: &'static str,
    leaves: Vec<TagLeaf>,
}

/// The code that leads to a ticket.
fn qr(site: Option<&str>, ticket: TicketId) -> Option<Qr> {
    Qr::of(&format!("{}{}", site?, paths::ticket(ticket))).ok()
}

impl TagsPage {
    pub(super) fn new(site: Option<&str>, visit: &Visit, yard: &OnYard) -> Result<Self, PageError> {
        let (coop, units) = (visit.coop()?, visit.units());
        let mut tags = Vec::new();
        for (ticket, loads) in &yard.tickets {
            for load in loads {
                tags.push(Tag {
                    kind: match loads.len() {
                        1 => "Ticket".to_owned(),
                        n => format!("Ticket, load {} of {n}", load.number),
                    },
                    number: ticket.ticket.to_string(),
                    words: false,
                    who: ticket.member_name.to_string(),
                    when: format!("weighed {}", coop.zone.show(load.weighed())),
                    what: format!("{} of cane", load.net().show(units)),
                    qr: qr(site, ticket.id),
                    leads: format!("Code that leads to ticket {}", ticket.ticket),
                });
            }
        }
        for juice in &yard.juices {
            tags.push(Tag {
                kind: format!("Juice of ticket {}", juice.ticket),
                number: juice.vessel.clone(),
                words: true,
                who: juice.member_name.to_string(),
                when: format!("pressed {}", coop.zone.show(juice.pressed_at)),
                what: if juice.pools {
                    "pools".to_owned()
                } else {
                    "is boiled alone".to_owned()
                },
                qr: qr(site, juice.ticket_id),
                leads: format!("Code that leads to ticket {}", juice.ticket),
            });
        }
        let of = tags.len().div_ceil(ON_A_PAGE);
        let leaves = tags.chunks(ON_A_PAGE).enumerate().map(|(n, tags)| TagLeaf {
            page: page_words(n + 1, of),
            tags: tags.to_vec(),
        });
        Ok(Self {
            title: format!("Tags, {}", yard.day.date.show()),
            day: yard.day.date.show(),
            coop: coop.name.clone(),
            css: statics::print_css(),
            icon: statics::icon(),
            back: paths::day(yard.day.date),
            no_qr: site.is_none(),
            say_address: SAY_ADDRESS,
            leaves: leaves.collect(),
        })
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let tag = |n: usize| Tag {
        kind: "Juice of ticket 7".to_owned(),
        number: "Blue <barrel>".to_owned(),
        words: n.is_multiple_of(2),
        who: "Maximiliana <b>Featherstonehaugh</b>".to_owned(),
        when: "pressed Sat 19 Sep 2026 09:40".to_owned(),
        what: "is boiled alone".to_owned(),
        qr: Qr::of("https://mill.example/tickets/1")
            .ok()
            .filter(|_| n > 1),
        leads: "Code that leads to ticket 7".to_owned(),
    };
    let tags = |count, no_qr| TagsPage {
        title: "Tags, Sat 19 Sep 2026".to_owned(),
        day: "Sat 19 Sep 2026".to_owned(),
        coop: "Coldwater <Ridge>".to_owned(),
        css: statics::print_css(),
        icon: statics::icon(),
        back: "/days/2026-09-19".to_owned(),
        no_qr,
        say_address: SAY_ADDRESS,
        leaves: (0..count)
            .map(|n| TagLeaf {
                page: page_words(n + 1, count),
                tags: (0..ON_A_PAGE).map(tag).collect(),
            })
            .collect(),
    };
    vec![Box::new(tags(0, true)), Box::new(tags(2, false))]
}
