//! The database read with plain SQL, and each juice poured out again by the test's own sums.

use canewright::calc::cane::juice::{Amount, Measured, measure};
use canewright::calc::physics::refractometer::{AGREE_WITHIN, Instrument};
use canewright::units::{BrixRead, Celsius, Grams, Millilitres};
use sqlx::{FromRow, SqliteConnection};
use std::collections::BTreeMap;

#[derive(Debug, FromRow)]
pub struct Ticket {
    pub id: String,
    pub member_id: String,
    #[sqlx(skip)]
    pub net_g: i64,
    /// Ten-thousandths of a pound.
    #[sqlx(skip)]
    pub net_lb: i64,
    /// Of its cane's sample that counts, as it came and stripped.
    pub before_g: Option<i64>,
    pub after_g: Option<i64>,
    /// When a juice of it was last corrected.
    pub corrected_at: Option<i64>,
}

impl Ticket {
    /// The cane that counts in grams and in ten-thousandths of a pound: what a sample leaves was read off no scale.
    fn counts(&self, trash_off: bool) -> (i64, i64) {
        let sample = self.before_g.zip(self.after_g).filter(|_| trash_off);
        let clean = sample.map_or(self.net_g, |(before, after)| {
            in_ratio(self.net_g, after, before)
        });
        if clean == self.net_g {
            (self.net_g, self.net_lb)
        } else {
            (clean, in_ratio(clean, LB, 45_359_237))
        }
    }
}

/// Ten-thousandths of a pound are so many in 45,359,237 g.
const LB: i64 = 1_000_000_000;

/// A load that counts.
#[derive(FromRow)]
struct Weighed {
    ticket_id: String,
    graduation_g: f64,
    gross_g: i64,
    tare_g: i64,
}

impl Weighed {
    /// Tenths of a pound that come to these grams, if any do: every step of half a pound is one.
    fn tenths(grams: i64) -> Option<i64> {
        #[expect(clippy::cast_precision_loss, reason = "below 40 t")]
        let tenths = (grams as f64 / 45.359_237).round();
        #[expect(clippy::cast_possible_truncation, reason = "whole, below 40 t")]
        ((tenths * 45.359_237).round() as i64 == grams).then_some(tenths as i64)
    }

    /// Net in grams, and in tenths of a pound where the scale showed pounds.
    fn net(&self) -> (i64, Option<i64>) {
        let shows_pounds = (self.graduation_g - 226.796_185).abs() < 1e-3;
        let read = Self::tenths(self.gross_g).zip(Self::tenths(self.tare_g));
        match read.filter(|_| shows_pounds) {
            Some((gross, tare)) => (
                in_ratio(gross - tare, 45_359_237, 1_000_000),
                Some(gross - tare),
            ),
            None => (self.gross_g - self.tare_g, None),
        }
    }
}

/// A juice in its latest version; all nought when it is crossed out.
#[derive(Debug)]
pub struct Juice {
    pub id: String,
    pub ticket_id: String,
    pub mass: i64,
    pub volume: i64,
    pub solids: i64,
}

#[derive(Debug, FromRow)]
pub struct Draw {
    pub juice_id: String,
    pub boil_id: String,
    pub amount_g: i64,
    pub whole: bool,
}

/// What one draw comes to.
#[derive(Debug)]
pub struct Part {
    pub boil_id: String,
    pub juice_id: String,
    pub ticket_id: String,
    pub member_id: String,
    pub mass: i64,
    pub volume: i64,
    pub solids: i64,
    /// Of the ticket's net cane.
    pub cane: i64,
    /// The same in ten-thousandths of a pound.
    pub cane_lb: i64,
}

#[derive(Debug, FromRow)]
pub struct Boil {
    pub id: String,
    pub lot_code: String,
    pub solo_member_id: Option<String>,
    pub syrup_g: Option<i64>,
    pub basis: String,
    pub toll_bp: i64,
    pub rates_in: String,
    pub cane_mc: i64,
    pub juice_mc: i64,
    pub jar_fee_cents: i64,
    pub least_cents: i64,
    pub lots_repay_pct: Option<i64>,
    pub trash_off: bool,
}

#[derive(Debug, FromRow)]
pub struct Fill {
    pub boil_id: String,
    pub size_name: String,
    pub net_g: i64,
    pub part: bool,
    pub count: i64,
    pub price_cents: i64,
}

#[derive(Debug, FromRow)]
pub struct Division {
    pub id: String,
    pub boil_id: String,
    pub basis: String,
    pub toll_bp: i64,
    pub jarred_g: i64,
    pub at: i64,
}

#[derive(Debug, FromRow)]
pub struct Share {
    pub division_id: String,
    pub place: i64,
    pub member_id: Option<String>,
    pub weight: i64,
    pub solids_g: i64,
    pub carried_g: i64,
    pub entitled_g: i64,
    pub jarred_g: i64,
    pub carry_g: i64,
}

#[derive(Debug, FromRow)]
pub struct ShareJar {
    pub division_id: String,
    pub place: i64,
    pub size_name: String,
    pub net_g: i64,
    pub part: bool,
    pub count: i64,
}

#[derive(Debug, FromRow)]
pub struct Line {
    pub number: i64,
    pub member_id: Option<String>,
    pub kind: String,
    pub grams: i64,
    pub cents: i64,
    pub boil_id: Option<String>,
    pub answers: Option<i64>,
}

#[derive(Debug, FromRow)]
pub struct Handed {
    pub member_id: Option<String>,
    pub boil_id: String,
    pub size_name: String,
    pub net_g: i64,
    pub part: bool,
    pub count: i64,
}

#[derive(Debug)]
pub struct Books {
    pub tickets: BTreeMap<String, Ticket>,
    pub juices: BTreeMap<String, Juice>,
    /// By juice, in the order the boils were lit.
    pub draws: Vec<Draw>,
    pub parts: Vec<Part>,
    pub boils: Vec<Boil>,
    /// Largest first.
    pub fills: Vec<Fill>,
    /// In the order they were made.
    pub divisions: Vec<Division>,
    pub shares: Vec<Share>,
    pub share_jars: Vec<ShareJar>,
    pub ledger: Vec<Line>,
    pub handed: Vec<Handed>,
}

impl Books {
    pub async fn read(look: &mut SqliteConnection) -> Self {
        macro_rules! all {
            ($sql:literal) => {
                sqlx::query_as($sql).fetch_all(&mut *look).await.unwrap()
            };
        }
        let tickets: Vec<Ticket> = all!(
            "select d.id, d.member_id, x.before_g, x.after_g, (select max(m.at) from juice_measures m join juices j on j.id = m.juice_id
            where j.ticket_id = d.id and m.version > 1) as corrected_at from tickets d
            left join trash_samples x on x.ticket_id = d.id and x.void = 0 and not exists
            (select 1 from trash_samples n where n.ticket_id = d.id and n.version > x.version)"
        );
        let weighed: Vec<Weighed> = all!(
            "select l.ticket_id, l.graduation_g, l.gross_g, l.tare_g from loads l where l.void = 0 and not exists
            (select 1 from loads n where n.ticket_id = l.ticket_id and n.number = l.number and n.version > l.version)"
        );
        let tickets = tickets.into_iter().map(|mut ticket| {
            let own = || weighed.iter().filter(|w| w.ticket_id == ticket.id);
            let net_g = own().map(|w| w.net().0).sum();
            let tenths: Option<i64> = own().map(|w| w.net().1).sum();
            ticket.net_g = net_g;
            ticket.net_lb = tenths.map_or_else(|| in_ratio(net_g, LB, 45_359_237), |t| t * 1000);
            (ticket.id.clone(), ticket)
        });
        let measured: Vec<MeasuredRow> = all!(
            "select j.id, j.ticket_id, m.amount_kind, m.amount, m.sediment, m.temp_c, m.instrument, m.brix_1,
            m.brix_2, m.brix_3, m.void from juices j join juice_measures m on m.juice_id = j.id
            where not exists (select 1 from juice_measures n where n.juice_id = j.id and n.version > m.version)"
        );
        let mut books = Self {
            tickets: tickets.collect(),
            juices: measured.into_iter().map(|m| (m.id.clone(), m.reckon())).collect(),
            draws: all!(
                "select r.juice_id, r.boil_id, r.amount_g, r.whole from draws r join boils b on b.id = r.boil_id
                where not exists (select 1 from draws n where n.boil_id = r.boil_id and n.juice_id = r.juice_id
                and n.version > r.version) and (r.amount_g > 0 or r.whole = 1)
                order by r.juice_id, b.lit_at, b.id"
            ),
            parts: Vec::new(),
            boils: all!(
                "select b.id, b.lot_code, b.solo_member_id, f.syrup_g, r.basis, r.toll_bp, r.rates_in, r.cane_mc,
                r.juice_mc, r.jar_fee_cents, r.least_cents, r.lots_repay_pct, r.trash_off from boils b join season_rules r on r.id = b.rules_id
                left join finishes f on f.boil_id = b.id and not exists (select 1 from finishes n
                where n.boil_id = f.boil_id and n.version > f.version)"
            ),
            fills: all!(
                "select f.boil_id, f.size_name, f.net_g, f.part, f.count, f.price_cents from fills f
                where f.count > 0 and not exists (select 1 from fills n where n.boil_id = f.boil_id
                and n.number = f.number and n.version > f.version) order by f.net_g desc"
            ),
            divisions: all!(
                "select d.id, d.boil_id, d.basis, d.toll_bp, d.jarred_g, d.at from divisions d
                order by (select min(l.number) from ledger l where l.boil_id = d.boil_id)"
            ),
            shares: all!(
                "select division_id, place, member_id, weight, solids_g, carried_g, entitled_g, jarred_g, carry_g
                from shares order by division_id, place"
            ),
            share_jars: all!(
                "select division_id, place, size_name, net_g, part, count from share_jars"
            ),
            ledger: all!(
                "select number, member_id, kind, grams, cents, boil_id, answers from ledger order by number"
            ),
            handed: all!(
                "select member_id, boil_id, size_name, net_g, part, sum(count) as count from (
                select o.member_id, h.boil_id, h.size_name, h.net_g, h.part, h.count
                from hand_over_jars h join hand_overs o on o.id = h.hand_over_id
                union all select member_id, boil_id, size_name, net_g, part, -count from jar_moves
                where kind in ('returned', 'miscounted', 'found')
                union all select member_id, boil_id, size_name, net_g, part, count from jar_moves
                where kind in ('broken', 'missing'))
                group by member_id, boil_id, size_name, net_g, part"
            ),
        };
        books.parts = books.pour_out();
        books
    }

    /// Every draw as a part of its juice: the running total of mass, turned into solids, volume and
    /// (over the juice of all vessels) cane.
    fn pour_out(&self) -> Vec<Part> {
        let mut parts = Vec::new();
        for juice in self.juices.values() {
            let ticket = &self.tickets[&juice.ticket_id];
            let pressed = self.pressed(&juice.ticket_id);
            let mut before = 0;
            for draw in self.draws.iter().filter(|d| d.juice_id == juice.id) {
                let left = juice.mass - before;
                let mass = if draw.whole { left } else { draw.amount_g };
                let of = |whole| {
                    in_ratio(whole, before + mass, juice.mass) - in_ratio(whole, before, juice.mass)
                };
                let (cane_g, cane_lb) = ticket.counts(self.boil(&draw.boil_id).trash_off);
                parts.push(Part {
                    boil_id: draw.boil_id.clone(),
                    juice_id: juice.id.clone(),
                    ticket_id: juice.ticket_id.clone(),
                    member_id: ticket.member_id.clone(),
                    mass,
                    volume: of(juice.volume),
                    solids: of(juice.solids),
                    cane: in_ratio(cane_g, mass, pressed),
                    cane_lb: in_ratio(cane_lb, mass, pressed),
                });
                before += mass;
            }
        }
        parts
    }

    /// Juice of a ticket, in all vessels.
    pub fn pressed(&self, ticket: &str) -> i64 {
        let own = self.juices.values().filter(|j| j.ticket_id == ticket);
        own.map(|j| j.mass).sum()
    }

    pub fn parts_of(&self, boil: &str) -> impl Iterator<Item = &Part> {
        self.parts.iter().filter(move |p| p.boil_id == boil)
    }

    /// Whether the cane behind a division still stands as it was frozen: a juice of the same ticket
    /// in another vessel may be corrected later, which moves what cane is behind which juice.
    pub fn cane_stands(&self, division: &Division) -> bool {
        self.parts_of(&division.boil_id).all(|part| {
            let corrected = self.tickets[&part.ticket_id].corrected_at;
            corrected.is_none_or(|at| at <= division.at)
        })
    }

    pub fn fills_of(&self, boil: &str) -> impl Iterator<Item = &Fill> {
        self.fills.iter().filter(move |f| f.boil_id == boil)
    }

    pub fn shares_of(&self, division: &str) -> impl Iterator<Item = &Share> {
        self.shares
            .iter()
            .filter(move |s| s.division_id == division)
    }

    pub fn boil(&self, id: &str) -> &Boil {
        self.boils.iter().find(|b| b.id == id).unwrap()
    }
}

/// `whole` × `part` ÷ `of`, to the nearest, halves up.
pub fn in_ratio(whole: i64, part: i64, of: i64) -> i64 {
    if of == 0 {
        return 0;
    }
    let (whole, part, of) = (i128::from(whole), i128::from(part), i128::from(of));
    i64::try_from((2 * whole * part + of).div_euclid(2 * of)).unwrap()
}

#[derive(FromRow)]
struct MeasuredRow {
    id: String,
    ticket_id: String,
    amount_kind: String,
    amount: i64,
    sediment: i64,
    temp_c: f64,
    instrument: String,
    brix_1: f64,
    brix_2: f64,
    brix_3: Option<f64>,
    void: bool,
}

impl MeasuredRow {
    /// Density and the temperature of a reading are `calc`'s (tried in `tests/published.rs`); what
    /// is weighed, and the solids in it, are worked out here.
    fn reckon(self) -> Juice {
        if self.void {
            return Juice {
                id: self.id,
                ticket_id: self.ticket_id,
                mass: 0,
                volume: 0,
                solids: 0,
            };
        }
        let temp = Celsius::new(self.temp_c).unwrap();
        let weighed = self.amount_kind == "mass";
        let amount = |n| {
            if weighed {
                Amount::Weight(Grams::new(n))
            } else {
                Amount::Volume(Millilitres::new(n), temp)
            }
        };
        let readings = [Some(self.brix_1), Some(self.brix_2), self.brix_3];
        let readings: Vec<BrixRead> = readings
            .into_iter()
            .flatten()
            .map(|b| BrixRead::new(b).unwrap())
            .collect();
        let juice = measure(&Measured {
            amount: amount(self.amount),
            sediment: (self.sediment > 0).then(|| amount(self.sediment)),
            readings: &readings,
            instrument: Instrument::parse(&self.instrument).unwrap(),
            sample: temp,
            agree_within: AGREE_WITHIN,
        })
        .unwrap();
        let mass = juice.mass.get();
        if weighed {
            assert_eq!(mass, self.amount - self.sediment, "juice {}", self.id);
        }
        let hundredths = Grams::nearest(juice.brix_20.get() * 100.0).get();
        let solids = in_ratio(mass, hundredths, 10_000);
        assert_eq!(juice.solids.get(), solids, "juice {}", self.id);
        Juice {
            id: self.id,
            ticket_id: self.ticket_id,
            mass,
            volume: juice.volume_20c.get(),
            solids,
        }
    }
}
