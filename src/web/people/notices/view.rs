//! The calls to make, as text ready to print.

use crate::store::people::notices::Notice;
use crate::units::Zone;
use crate::web::called_by::CalledBy;
use crate::web::form::Sheet;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths, statics};
use askama::Template;

/// Calls to make, and those ticked off in the last days.
#[derive(Template)]
#[template(path = "people/notices/calls.html")]
pub(super) struct CallsPage {
    shell: Shell,
    script: String,
    made: String,
    letters_sent: bool,
    calls: Vec<Call>,
    called: Vec<Call>,
}

/// One call.
struct Call {
    /// A form of its own, as several are ticked off on one page.
    sheet: Sheet,
    /// Whether the one above is to the same member: one call tells both.
    same: bool,
    name: String,
    card: String,
    phone: String,
    dials: String,
    /// The person to call instead; empty: nobody.
    instead: CalledBy,
    subject: String,
    words: String,
    /// When the notice was made; of a call ticked off: who made it, and when.
    when: String,
    action: String,
    /// Page on which what was offered is answered for whoever is called; empty: nothing is to be answered.
    answer: String,
}

impl Call {
    fn new(sheet: Sheet, notice: &Notice, when: String, action: String) -> Self {
        Self {
            sheet,
            same: false,
            name: notice.member.to_string(),
            card: paths::member(notice.member_id),
            phone: notice.phone.to_string(),
            dials: paths::dials_written(notice.phone.as_str()),
            instead: CalledBy::of(&notice.call_by),
            subject: notice.subject.clone(),
            words: notice.words.clone(),
            when,
            action,
            answer: notice
                .offer
                .filter(|offer| !offer.answered)
                .map_or_else(String::new, |offer| paths::waiting(offer.waiting_id)),
        }
    }
}

impl CallsPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        zone: &Zone,
        calls: &[Notice],
        called: &[Notice],
    ) -> Self {
        let blank = || Sheet::blank(visit, &app.ids);
        let called = called.iter().filter_map(|notice| {
            let (by, at) = notice.told_by.as_ref().zip(notice.told_at)?;
            let when = format!("{by} called, {}", zone.show(at));
            Some(Call::new(
                blank(),
                notice,
                when,
                paths::call_not_told(notice.id),
            ))
        });
        Self {
            shell: Shell::new(app, visit, "Calls to make"),
            script: statics::calls_js(),
            made: zone.show(visit.at),
            letters_sent: app.letters_sent,
            calls: calls
                .iter()
                .enumerate()
                .map(|(n, notice)| {
                    let when = format!("since {}", zone.show(notice.made_at));
                    let before = n.checked_sub(1).map(|n| calls[n].member_id);
                    Call {
                        same: before == Some(notice.member_id),
                        ..Call::new(blank(), notice, when, paths::call_told(notice.id))
                    }
                })
                .collect(),
            called: called.collect(),
        }
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let call = |n: usize| Call {
        sheet: Sheet::sample(),
        same: n == 2,
        name: "Maximiliana <b>Featherstonehaugh</b>-Oyelaran".to_owned(),
        card: format!("/members/{n}"),
        phone: "+1 (615) 555-0134".to_owned(),
        dials: paths::dials_written("+1 (615) 555-0134"),
        instead: CalledBy::of("Zeb <next door>, +1 615 555 0199"),
        subject: "Your turn was moved".to_owned(),
        words: "<b>Frost</b> & “rain”: ".repeat(24),
        when: "since Sat 19 Sep 2026 07:30".to_owned(),
        action: format!("/calls/{n}/told"),
        answer: "/waiting/x".to_owned(),
    };
    let page = |n: usize, letters_sent| CallsPage {
        shell: Shell::sample("Calls to make"),
        script: statics::calls_js(),
        made: "Sat 19 Sep 2026 07:30".to_owned(),
        letters_sent,
        calls: (0..n).map(call).collect(),
        called: (0..n).map(call).collect(),
    };
    vec![
        Box::new(page(0, true)),
        Box::new(page(1, false)),
        Box::new(page(40, true)),
    ]
}

#[cfg(test)]
mod tests {
    use crate::web::paths::dials_written;

    #[test]
    fn a_number_is_dialled_without_what_parts_it() {
        assert_eq!(dials_written("+1 (615) 555-0134"), "tel:+16155550134");
    }
}
