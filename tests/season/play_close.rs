//! What comes with a season's close: boils lost and not lost after all, hours, carried syrup settled in money and in jars, and
//! the lock.

use crate::mill::{Mill, Person};
use canewright::actions::cane::yard::{self, LostAmount, NewLost};
use canewright::actions::season::hours::{self, NewHours};
use canewright::actions::season::season_close::{self, NewSettlement};
use canewright::actions::season::season_lock;
use canewright::actions::season::season_losses::{self, NewLoss};
use canewright::actions::shares::hand_overs::{JarsOut, NewHandOver};
use canewright::actions::shares::ledger;
use canewright::actions::shares::settled_jars::{self, NewSettledJars};
use canewright::actions::turns::press_days;
use canewright::store::boil::boils;
use canewright::store::season::season_close as close_store;
use canewright::store::shares::{hand_overs as jar_store, ledger as book};
use canewright::units::{Grams, LotCode, MemberId, MemberName, SeasonId};

/// Syrup of a lot that came out of the pan and stands in no jar.
const IN_NO_JAR: &str = "select f.syrup_g - coalesce((select sum(x.net_g * x.count) from fills x where x.boil_id = f.boil_id
   and x.version = (select max(v.version) from fills v where v.boil_id = x.boil_id and v.number = x.number)), 0)
 from finishes f join boils b on b.id = f.boil_id where b.lot_code = ?1 order by f.version desc limit 1";

impl Mill {
    async fn some_lot(&mut self) -> Option<LotCode> {
        let season = self.season.unwrap();
        let all = boils::of_season(season).ask(&mut *self.read().await).await;
        let lots: Vec<LotCode> = all.unwrap().into_iter().map(|boil| boil.lot).collect();
        self.chance.one(&lots).cloned()
    }

    /// Some of a boil, or all of it, is lost.
    pub async fn lose(&mut self) {
        let Some(lot) = self.some_lot().await else {
            return;
        };
        let whole = self.chance.of_100(20);
        let new = NewLoss {
            what: "spilled",
            lost: (!whole).then(|| Grams::new(1)),
            whole,
            why: "the ladle tipped".to_owned(),
        };
        let (who, grams) = (self.steward(), self.chance.between(1, 400));
        // Half the time at most what is in no jar: more than that cannot have been lost.
        let room: Option<i64> = sqlx::query_scalar(IN_NO_JAR)
            .bind(lot.as_str())
            .fetch_optional(&mut *self.read().await)
            .await
            .unwrap();
        let grams = match room {
            Some(room) if grams <= 200 => grams.min(room.max(1)),
            _ => grams,
        };
        let new = NewLoss {
            lost: new.lost.map(|_| Grams::new(grams)),
            ..new
        };
        self.step("note a loss", who, async |act| {
            season_losses::note_loss(&act, &lot, new.clone()).await
        })
        .await;
    }

    pub async fn not_lost(&mut self) {
        let Some(lot) = self.some_lot().await else {
            return;
        };
        let who = self.steward();
        self.step("take a loss back", who, async |act| {
            season_losses::take_loss_back(&act, &lot, "it was another pan").await
        })
        .await;
    }

    pub async fn work(&mut self) {
        let (of, season) = (self.anybody(), self.season.unwrap());
        let new = NewHours {
            season,
            minutes: self.chance.between(10, 400),
            what: "fed the mill".to_owned(),
            on: None,
        };
        let who = self.steward();
        self.step("note hours", who, async |act| {
            hours::note_hours(&act, of.id, new.clone()).await
        })
        .await;
    }

    /// Whoever is owed most syrup, or a member by chance.
    async fn owed(&mut self) -> MemberId {
        let all = book::balances(self.season.unwrap())
            .ask(&mut *self.read().await)
            .await;
        let mut rows: Vec<(i64, MemberId)> = all
            .unwrap()
            .into_iter()
            .filter_map(|b| Some((b.grams.get(), b.member_id?)))
            .collect();
        rows.sort_unstable();
        match rows.last() {
            Some((_, id)) if self.chance.of_100(70) => *id,
            _ => self.anybody().id,
        }
    }

    pub async fn settle_in_money(&mut self) {
        let (season, of) = (self.season.unwrap(), self.owed().await);
        let part = self.chance.of_100(50).then_some(Grams::new(40));
        let who = self.steward();
        self.step("settle in money", who, async |act| {
            season_close::settle_carry(&act, of, NewSettlement { season, part }).await
        })
        .await;
        self.takes_a_settlement_back().await;
    }

    /// One of two settlements in money was a slip: one half of it is named, and both are taken back.
    async fn takes_a_settlement_back(&mut self) {
        const LAST: &str = "select coalesce(max(l.number), 0) from ledger l where l.kind = 'settled' and l.cents <> 0
            and not exists (select 1 from ledger a where a.answers = l.number)";
        let (number, lines) = (
            self.count(LAST).await,
            self.count("select count(*) from ledger").await,
        );
        if number == 0 || lines % 2 == 0 {
            return;
        }
        let number = number - lines / 2 % 2;
        let who = self.steward();
        self.step("take a settlement back", who, async |act| {
            ledger::answer(&act, number, "the wrong member".to_owned()).await
        })
        .await;
    }

    /// One jar of the mill's own goes to somebody who is owed syrup; often it holds too much.
    pub async fn settle_in_jars(&mut self) {
        let (season, of) = (self.season.unwrap(), self.owed().await);
        let aside = jar_store::jars_set_aside(None)
            .ask(&mut *self.read().await)
            .await;
        let left = aside.unwrap().into_iter().filter(|a| a.left() > 0);
        let Some(a) = left.min_by_key(|a| a.net) else {
            return;
        };
        let jars = NewHandOver {
            jars: vec![JarsOut {
                boil: a.boil_id,
                size_name: a.size_name,
                net: a.net,
                part: a.part,
                count: 1,
            }],
            given_to: MemberName::parse("Whoever came").unwrap(),
            note: String::new(),
            short: false,
        };
        let who = self.steward();
        self.step("settle in jars", who, async |act| {
            let jars = jars.clone();
            settled_jars::settle_in_jars(&act, of, NewSettledJars { season, jars }).await
        })
        .await;
    }

    /// The season is closed, if it may be: before that, what it bears of losses is shared out.
    pub async fn lock_up(&mut self) {
        let (who, season) = (self.steward(), self.season.unwrap());
        self.later(60);
        self.lock(who, season).await;
        // No day is closed over raw juice: what nobody boiled has soured by now.
        for juice in self.standing().await {
            let sour = || NewLost {
                amount: LostAmount::Rest,
                what: "spoilt",
                note: String::new(),
            };
            self.step("note juice as spoilt", who, async |act| {
                yard::lose(&act, juice.row.id, sour()).await
            })
            .await;
        }
        for id in self.days.clone() {
            self.step("close a press day at the end", who, async |act| {
                press_days::set_closed(&act, id, true).await
            })
            .await;
        }
        // Not before the season bears what it is to bear.
        self.lock(who, season).await;
        let lost = close_store::losses(season)
            .ask(&mut *self.read().await)
            .await;
        for loss in lost.unwrap().into_iter().filter(|loss| !loss.borne) {
            self.step("bear a loss", who, async |act| {
                season_losses::share_loss(&act, &loss.lot).await
            })
            .await;
        }
        self.lock(who, season).await;
    }

    async fn lock(&mut self, who: Person, season: SeasonId) {
        let unsettled = book::unsettled(season).ask(&mut *self.read().await).await;
        let read = season_lock::mark(&unsettled.unwrap());
        self.step("lock the season", who, async |act| {
            season_lock::lock(&act, season, ("accounts taken", Some(&read))).await
        })
        .await;
    }
}
