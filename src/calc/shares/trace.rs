//! Which cane is in which lot: the dissolved solids of every load, followed through the vessels into the
//! boils. Knows no database and no names.
//!
//! Loads of one ticket go through the rollers together, and what stands in one pan is one liquid: from
//! there on nobody can tell them apart. So a lot holds a part of every load of a ticket whose juice went
//! into it, each by its net weight.

use super::apportion::{Tie, largest_remainder};
use crate::units::{BoilId, Grams, TicketId};
use std::collections::BTreeMap;

/// A load that is not crossed out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Load {
    /// Ticket of the load.
    pub ticket: TicketId,
    /// Number of the load on its ticket.
    pub number: i64,
    /// Net cane, g, above nought.
    pub net: Grams,
}

/// That part of a ticket's juice which was poured into one boil.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Poured {
    /// The ticket that was pressed.
    pub ticket: TicketId,
    /// The boil that it was poured into.
    pub boil: BoilId,
    /// Dissolved solids in what was poured, g.
    pub solids: Grams,
}

/// That part of a load which is in one lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stream {
    /// Ticket of the load.
    pub ticket: TicketId,
    /// The load; `None`: juice of a ticket all of whose loads are crossed out.
    pub load: Option<i64>,
    /// The boil.
    pub boil: BoilId,
    /// Dissolved solids of the load in that lot, g.
    pub solids: Grams,
}

/// Every stream from a load to a lot, by ticket, boil and load. The streams into a lot sum to what was poured
/// into it, to the gram, and those of a ticket to what was poured of it. Between its loads a ticket's solids are
/// divided by net weight to whole grams, largest remainder first; so a load is reached even where its
/// part rounds to nought.
pub fn streams(loads: &[Load], poured: &[Poured]) -> Vec<Stream> {
    let mut into: BTreeMap<(TicketId, BoilId), i64> = BTreeMap::new();
    for one in poured.iter().filter(|p| p.solids > Grams::ZERO) {
        *into.entry((one.ticket, one.boil)).or_default() += one.solids.get();
    }
    let mut all = Vec::new();
    for ((ticket, boil), solids) in into {
        let own: Vec<&Load> = loads
            .iter()
            .filter(|l| l.ticket == ticket && l.net > Grams::ZERO)
            .collect();
        let weights: Vec<(u128, Tie)> = own
            .iter()
            .map(|l| {
                let tie = Tie::of(&boil.to_string(), &format!("{ticket}/{}", l.number));
                (u128::from(l.net.get().unsigned_abs()), tie)
            })
            .collect();
        let parts = largest_remainder(solids.unsigned_abs(), &weights);
        let stream = |load, grams| Stream {
            ticket,
            load,
            boil,
            solids: Grams::new(grams),
        };
        match parts.filter(|_| !own.is_empty()) {
            Some(parts) => all.extend(own.iter().zip(parts).map(|(load, part)| {
                let grams = i64::try_from(part.whole).unwrap_or(i64::MAX);
                stream(Some(load.number), grams)
            })),
            None => all.push(stream(None, solids)),
        }
    }
    all
}

/// A part of a whole in percent, to a tenth as it is shown: "12.5 %"; less than a twentieth of a percent is
/// "under 0.1 %", so that nobody reads nought where there is some.
pub fn percent(part: Grams, whole: Grams) -> String {
    if whole <= Grams::ZERO || part <= Grams::ZERO {
        return "0 %".to_owned();
    }
    // Tenths of a percent, halves up, in whole numbers.
    let wide = i128::from(part.get()) * 2000 + i128::from(whole.get());
    let tenths = wide / (2 * i128::from(whole.get()));
    if tenths == 0 {
        "under 0.1 %".to_owned()
    } else {
        format!("{}.{} %", tenths / 10, tenths % 10)
    }
}

/// One end of the picture: a ticket at the left, or who has jars at the right.
#[derive(Debug, Clone, PartialEq)]
pub struct Ribbon {
    /// Outline, as a drawing takes it.
    pub outline: String,
    /// Middle of its outer end, where its words stand.
    pub middle: f64,
}

/// The picture: streams from the left into one lot and out of it to the right.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Streams into the lot.
    pub into: Vec<Ribbon>,
    /// Streams out of it.
    pub out: Vec<Ribbon>,
    /// Top and height of the lot's bar.
    pub bar: (f64, f64),
    /// Height of the whole picture.
    pub height: f64,
}

/// Left and right edge of the lot's bar; the picture is 360 wide.
pub const BAR: (f64, f64) = (172.0, 188.0);
/// Width of the picture.
const WIDE: f64 = 360.0;
/// Height of a stream that carries everything, beside what its words need.
const TALL: f64 = 120.0;
/// Height that the words of any stream need.
const WORDS: f64 = 20.0;
/// Space between two streams.
const GAP: f64 = 5.0;

/// Places for streams of those weights (g): a broader stream carries more, and every stream is high
/// enough for its words.
pub fn picture(into: &[Grams], out: &[Grams]) -> Picture {
    let heights = |weights: &[Grams]| -> Vec<f64> {
        let all: f64 = weights.iter().map(|g| g.as_f64().max(0.0)).sum();
        let part = |g: &Grams| {
            if all > 0.0 {
                g.as_f64().max(0.0) / all
            } else {
                0.0
            }
        };
        weights.iter().map(|g| WORDS + TALL * part(g)).collect()
    };
    let (left, right) = (heights(into), heights(out));
    let outer = |side: &[f64]| side.iter().map(|h| h + GAP).sum::<f64>();
    let height = outer(&left).max(outer(&right)).max(WORDS + GAP) + GAP;
    let bar_height = side_sum(&left).max(side_sum(&right)).max(WORDS);
    let top = (height - bar_height) / 2.0;
    let ribbons = |side: &[f64], from: f64, to: f64| {
        let mut outer_y = f64::midpoint(height - outer(side), GAP);
        // At the bar the streams of a side lie close together and fill it.
        let scale = bar_height / side_sum(side).max(1.0);
        let mut inner_y = top;
        side.iter()
            .map(|h| {
                let (a, b) = (outer_y, inner_y);
                let inner = h * scale;
                outer_y += h + GAP;
                inner_y += inner;
                let bend = f64::midpoint(from, to);
                Ribbon {
                    outline: format!(
                        "M{from:.1} {a:.1}C{bend:.1} {a:.1} {bend:.1} {b:.1} {to:.1} {b:.1}V{:.1}C{bend:.1} \
                         {:.1} {bend:.1} {:.1} {from:.1} {:.1}Z",
                        b + inner,
                        b + inner,
                        a + h,
                        a + h
                    ),
                    middle: a + h / 2.0,
                }
            })
            .collect()
    };
    Picture {
        into: ribbons(&left, 0.0, BAR.0),
        out: ribbons(&right, WIDE, BAR.1),
        bar: (top, bar_height),
        height,
    }
}

fn side_sum(side: &[f64]) -> f64 {
    side.iter().sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use uuid::Uuid;

    fn ticket(n: u128) -> TicketId {
        TicketId::new(Uuid::from_u128(n))
    }

    fn boil(n: u128) -> BoilId {
        BoilId::new(Uuid::from_u128(n))
    }

    fn load(t: u128, number: i64, net: i64) -> Load {
        Load {
            ticket: ticket(t),
            number,
            net: Grams::new(net),
        }
    }

    fn poured(t: u128, b: u128, solids: i64) -> Poured {
        Poured {
            ticket: ticket(t),
            boil: boil(b),
            solids: Grams::new(solids),
        }
    }

    #[test]
    fn a_lot_holds_a_part_of_every_load_by_its_weight() {
        let loads = [load(1, 1, 300_000), load(1, 2, 100_000), load(2, 1, 50_000)];
        // Two vessels of ticket 1 went into boil 7, a third into boil 8; ticket 2 went into 7.
        let into = [
            poured(1, 7, 6000),
            poured(1, 7, 2001),
            poured(1, 8, 1000),
            poured(2, 7, 999),
        ];
        let found: Vec<(Option<i64>, u128, i64)> = streams(&loads, &into)
            .iter()
            .map(|s| (s.load, u128::from(s.boil == boil(8)), s.solids.get()))
            .collect();
        // By hand: 8001 × 3/4 = 6000.75, × 1/4 = 2000.25: the larger remainder takes the odd gram.
        assert_eq!(
            found,
            [
                (Some(1), 0, 6001),
                (Some(2), 0, 2000),
                (Some(1), 1, 750),
                (Some(2), 1, 250),
                (Some(1), 0, 999),
            ]
        );
    }

    #[test]
    fn juice_without_a_load_that_stands_is_still_followed() {
        let found = streams(&[load(1, 1, 0)], &[poured(1, 7, 500), poured(1, 7, 0)]);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].load, found[0].solids), (None, Grams::new(500)));
        assert!(streams(&[load(1, 1, 5)], &[]).is_empty());
    }

    #[test]
    fn a_part_is_shown_in_percent_and_never_as_nought_where_there_is_some() {
        let shown = |part, whole| percent(Grams::new(part), Grams::new(whole));
        assert_eq!(shown(1, 3), "33.3 %");
        assert_eq!(shown(2, 3), "66.7 %");
        assert_eq!(shown(1, 2000), "0.1 %");
        assert_eq!(shown(1, 2001), "under 0.1 %");
        assert_eq!(shown(5, 5), "100.0 %");
        assert_eq!(shown(0, 5), "0 %");
        assert_eq!(shown(5, 0), "0 %");
    }

    #[test]
    fn the_picture_gives_every_stream_room_and_ends_at_the_bar() {
        let g = |n: i64| Grams::new(n);
        let of = picture(&[g(900), g(100), g(0)], &[g(1)]);
        // 20 + 120 × 0.9, 20 + 120 × 0.1 and 20, each with a gap of 5 and one gap besides.
        assert!((of.height - (128.0 + 32.0 + 20.0 + 15.0 + 5.0)).abs() < 1e-9);
        assert!((of.bar.1 - 180.0).abs() < 1e-9 && (of.bar.0 - 10.0).abs() < 1e-9);
        assert_eq!(of.into.len(), 3);
        assert!((of.into[0].middle - (5.0 + 64.0)).abs() < 1e-9);
        assert!(
            of.into[0]
                .outline
                .starts_with("M0.0 5.0C86.0 5.0 86.0 10.0 172.0 10.0V138.0C")
        );
        assert!(of.out[0].outline.starts_with("M360.0 "));
        assert!(picture(&[], &[]).height > 0.0);
    }

    proptest! {
        #[test]
        fn prop_every_load_of_a_poured_ticket_is_reached_and_masses_balance_to_the_gram(
            nets in proptest::collection::vec((0_u128..4, 1_i64..900_000), 1..12),
            pours in proptest::collection::vec((0_u128..5, 0_u128..4, 0_i64..90_000), 0..20),
        ) {
            let loads: Vec<Load> = (1_i64..).zip(&nets).map(|(n, (t, net))| load(*t, n, *net)).collect();
            let into: Vec<Poured> = pours.iter().map(|(t, b, g)| poured(*t, *b, *g)).collect();
            let found = streams(&loads, &into);
            for b in 0..4 {
                let sum = |all: &mut dyn Iterator<Item = i64>| all.sum::<i64>();
                let lot = sum(&mut found.iter().filter(|s| s.boil == boil(b)).map(|s| s.solids.get()));
                let want = sum(&mut into.iter().filter(|p| p.boil == boil(b)).map(|p| p.solids.get()));
                prop_assert_eq!(lot, want);
            }
            for l in &loads {
                for b in 0..4 {
                    let went = into.iter().any(|p| {
                        p.ticket == l.ticket && p.boil == boil(b) && p.solids > Grams::ZERO
                    });
                    let reached = found.iter().any(|s| {
                        s.ticket == l.ticket && s.load == Some(l.number) && s.boil == boil(b)
                    });
                    prop_assert_eq!(went, reached);
                }
            }
        }
    }
}
