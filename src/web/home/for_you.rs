//! What a member is asked and told, on top of the home page.

use crate::calc::people::notices::Kind;
use crate::calc::turns::turn_states::When;
use crate::facts::home::OtherCard;
use crate::store::home::NextTurn;
use crate::store::people::notices::Notice;
use crate::units::{MemberName, TurnId, UtcSecond, Zone};
use crate::web::form::Sheet;
use crate::web::paths;

/// The section "For you", and what is only news.
pub(super) struct ForYou {
    pub(super) to_confirm: Vec<TurnToConfirm>,
    /// About turns: these change what somebody has to do.
    pub(super) notices: Vec<NoticeLine>,
    /// Nothing has to be done about these: they stand below the cane that is under way.
    pub(super) news: Vec<NoticeLine>,
}

/// Something that a member is asked, with the buttons that answer it.
pub(super) struct TurnToConfirm {
    /// A form of its own, as several may be answered on one page.
    pub(super) sheet: Sheet,
    turn: Option<TurnId>,
    /// Name of the member whose turn it is, of a card acted for; empty: the reader's own.
    pub(super) name: String,
    pub(super) words: String,
    pub(super) href: String,
    pub(super) yes: &'static str,
    pub(super) action: String,
}

/// Something that a member is told, until it is put away.
pub(super) struct NoticeLine {
    /// A form of its own, as several may be put away on one page.
    pub(super) sheet: Sheet,
    pub(super) subject: String,
    pub(super) words: String,
    pub(super) since: String,
    pub(super) href: String,
    pub(super) way: &'static str,
    pub(super) put_away: String,
}

impl ForYou {
    /// The turns that wait to be confirmed, and what the member was told, latest first. That a turn
    /// comes up is said by asking to confirm it.
    pub(super) fn new(
        turns: &[NextTurn],
        notices: &[Notice],
        (zone, at): (&Zone, UtcSecond),
        blank: &dyn Fn() -> Sheet,
    ) -> Self {
        let to_confirm = to_confirm(turns, None, (zone, at), blank);
        let (news, lines) = notices
            .iter()
            .filter(|notice| {
                let turn = notice.turn.map(|turn| turn.id);
                let asked = to_confirm.iter().any(|ask| ask.turn == turn);
                // What is offered stands above, with the buttons that answer it.
                let coming = notice.kind == Kind::Coming && (asked || notice.copied);
                notice.kind != Kind::Offer && !coming
            })
            .partition::<Vec<_>, _>(|notice| notice.kind == Kind::Statement);
        let shown = |notices: Vec<&Notice>| {
            let line = |notice: &Notice| NoticeLine::new(notice, zone, blank());
            notices.into_iter().map(line).collect()
        };
        Self {
            to_confirm,
            notices: shown(lines),
            news: shown(news),
        }
    }

    /// Adds the turns of cards acted for that wait to be confirmed.
    pub(super) fn and_of_cards(
        mut self,
        cards: &[OtherCard],
        (zone, at): (&Zone, UtcSecond),
        blank: &dyn Fn() -> Sheet,
    ) -> Self {
        for card in cards {
            let asked = to_confirm(&card.turns, Some(&card.name), (zone, at), blank);
            self.to_confirm.extend(asked);
        }
        self
    }

    #[cfg(test)]
    pub(super) fn sample(n: usize) -> Self {
        let ask = |n| TurnToConfirm {
            sheet: Sheet::sample(),
            turn: None,
            name: if n > 0 {
                "Tomás <b>Reyes</b>".to_owned()
            } else {
                String::new()
            },
            words: "Please confirm your turn on Sat 19 Sep 2026 at 09:30.".to_owned(),
            href: format!("/turns/{n}"),
            yes: "Confirm the turn",
            action: format!("/turns/{n}/confirm"),
        };
        let told = |n| NoticeLine {
            sheet: Sheet::sample(),
            subject: "Your turn was moved".to_owned(),
            words: "<b>Frost</b> & “rain”: ".repeat(24),
            since: "Sat 19 Sep 2026 07:30".to_owned(),
            href: format!("/turns/{n}"),
            way: "Look at the turn",
            put_away: format!("/notices/{n}/put-away"),
        };
        Self {
            to_confirm: (0..n.min(3)).map(ask).collect(),
            notices: (0..n.min(12)).map(told).collect(),
            news: (12..12 + n.min(12)).map(told).collect(),
        }
    }
}

impl NoticeLine {
    fn new(notice: &Notice, zone: &Zone, sheet: Sheet) -> Self {
        Self {
            sheet,
            subject: notice.subject.clone(),
            words: notice.words.clone(),
            since: zone.show(notice.made_at),
            href: paths::of_notice(notice),
            way: match notice.kind {
                Kind::Statement => "Look at the statement",
                Kind::Moved | Kind::Coming => "Look at the turn",
                Kind::Offer => "Look at the offer",
            },
            put_away: paths::put_away(notice.id),
        }
    }
}

/// The turns that wait to be confirmed: the reader's, or those of a card of that name.
fn to_confirm(
    turns: &[NextTurn],
    card: Option<&MemberName>,
    (zone, at): (&Zone, UtcSecond),
    blank: &dyn Fn() -> Sheet,
) -> Vec<TurnToConfirm> {
    turns
        .iter()
        .map(|turn| {
            let when = When {
                date: turn.date,
                start: turn.start,
                zone,
                at,
            };
            (turn, when)
        })
        .filter(|(turn, when)| turn.confirmed_at.is_none() && when.to_confirm())
        .map(|(turn, when)| TurnToConfirm {
            sheet: blank(),
            turn: Some(turn.id),
            name: card.map_or_else(String::new, ToString::to_string),
            words: format!(
                "Please confirm {} turn on {} at {}. Please do so by {}, its planned start.",
                if card.is_some() { "the" } else { "your" },
                turn.date.show(),
                turn.start.show(),
                zone.show_by(when.starts(), at)
            ),
            href: paths::turn(turn.id),
            yes: "Confirm the turn",
            action: paths::confirm_turn(turn.id),
        })
        .collect()
}
