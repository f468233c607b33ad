//! What a site under test begins with: a new file, a co-op set up, a season, its first morning.

use super::{AT, TestSite, app};
use canewright::actions::people::accounts;
use canewright::actions::{Hashing, Ids};
use canewright::store;
use canewright::store::people::coop::Coop;
use canewright::units::{
    FormKey, MemberId, MemberName, Passphrase, Phone, SignInName, Units, UtcSecond, Zone,
};
use canewright::web::site;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use tokio::sync::OnceCell;

/// A site as its file lies when it is made, for every test that begins there: making a file and setting a co-op up take longer
/// than most tests.
struct Made {
    file: Vec<u8>,
    /// How many ids were given out.
    ids: u64,
    steward: MemberId,
}

static SET_UP: OnceCell<Made> = OnceCell::const_new();
static BEFORE_THE_MORNING: OnceCell<Made> = OnceCell::const_new();
static WITH_SEASON: OnceCell<Made> = OnceCell::const_new();

impl TestSite {
    /// A co-op set up, with Ruth as its steward and nobody else.
    pub async fn new() -> Self {
        let made = async || Self::set_up().await.made().await;
        Self::of(SET_UP.get_or_init(made).await).await
    }

    /// The same site again on a file of its own.
    async fn of(made: &Made) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("test.db");
        std::fs::write(&path, &made.file).unwrap();
        let (writer, reader) = store::open(&path).await.unwrap();
        let ids = Ids::Counted(Arc::new(AtomicU64::new(made.ids)));
        Self {
            router: site(app(&writer, &reader, &ids, AT)),
            writer,
            reader,
            steward: made.steward,
            ids,
            folder,
        }
    }

    /// Closes the site; its file as it lies then.
    async fn made(self) -> Made {
        self.reader.close().await;
        self.writer.close().await;
        let Ids::Counted(ids) = &self.ids else {
            unreachable!("the ids of tests are counted")
        };
        Made {
            file: std::fs::read(self.folder.path().join("test.db")).unwrap(),
            ids: ids.load(Ordering::Relaxed),
            steward: self.steward,
        }
    }

    /// A new database before anybody set the co-op up, and the set-up code.
    pub async fn before_set_up(at: UtcSecond) -> (Self, String) {
        let folder = tempfile::tempdir().unwrap();
        let (writer, reader) = store::open(&folder.path().join("test.db")).await.unwrap();
        let ids = Ids::counted();
        let code = accounts::open_setup(&writer, at).await.unwrap().unwrap();
        let site = Self {
            router: site(app(&writer, &reader, &ids, at)),
            writer,
            reader,
            steward: MemberId::new(ids.next(at)),
            ids,
            folder,
        };
        (site, code.as_str().to_owned())
    }

    async fn set_up() -> Self {
        let (mut site, code) = Self::before_set_up(AT).await;
        let coop = Coop {
            name: "Coldwater Ridge Pressing Co-op".to_owned(),
            place: "Tolliver, TN 37999".to_owned(),
            zone: Zone::parse("America/Chicago").unwrap(),
            units: Units::Us,
            altitude_m: 180.0,
            contact_phone: "615 555 0100".to_owned(),
            way: String::new(),
            bring: String::new(),
            lies_at: None,
        };
        let new = accounts::NewCoop {
            coop,
            name: MemberName::parse("Ruth Bell").unwrap(),
            phone: Phone::parse("615 555 0100").unwrap(),
            sign_in: SignInName::parse("ruth").unwrap(),
            passphrase: Passphrase::typed("four mules in a row"),
        };
        let arrival = accounts::Arrival {
            writer: site.writer.clone(),
            at: AT,
            ids: site.ids.clone(),
            hashing: Hashing::new(),
            form: FormKey::new(site.ids.next(AT)).into(),
        };
        site.steward = accounts::set_up(&arrival, &code, new).await.unwrap();
        site
    }

    /// A season of 2026 with default rules (10 % toll), a scale (d = 0.5 lb), two vessels, and a
    /// press day on 2026-09-19 from 07:00 to 17:00 that presses 500 lb an hour; its opening checks
    /// are done, boiling water waived.
    pub async fn with_season() -> Self {
        let made = async || {
            let site = Self::before_the_morning().await;
            site.morning_done().await;
            site.made().await
        };
        Self::of(WITH_SEASON.get_or_init(made).await).await
    }

    /// The same before anybody has made the opening checks.
    pub async fn before_the_morning() -> Self {
        let made = async || Self::season_opened().await.made().await;
        Self::of(BEFORE_THE_MORNING.get_or_init(made).await).await
    }

    async fn season_opened() -> Self {
        use canewright::actions::cane::mill;
        use canewright::actions::season::seasons;
        use canewright::actions::turns::press_days;
        use canewright::units::{BasisPoints, Grams, Millilitres, MinuteOfDay, Minutes, PressDate};
        let site = Self::new().await;
        let mut rules = seasons::NewRules::defaults();
        rules.toll = BasisPoints::parse("10").unwrap();
        // A heavy stand: the tests of turns name their sums.
        rules.row_kg_per_m = 4.5;
        // Members move turns of the same day.
        rules.cutoff_h = 0;
        let season = seasons::open(&site.act(), 2026, rules).await.unwrap();
        let capacity = Grams::parse("2000", Units::Us).unwrap();
        mill::add_scale(&site.act(), "Platform".to_owned(), 226.796_185, capacity)
            .await
            .unwrap();
        for name in ["Blue barrel", "Steel tank"] {
            mill::add_vessel(&site.act(), name.to_owned(), Millilitres::new(200_000))
                .await
                .unwrap();
        }
        let day = press_days::NewPressDay {
            date: PressDate::parse("2026-09-19").unwrap(),
            opens: MinuteOfDay::new(420).unwrap(),
            closes: MinuteOfDay::new(1020).unwrap(),
            mill_per_h: Grams::parse("500", Units::Us).unwrap(),
            changeover: Minutes::new(10),
            note: String::new(),
        };
        press_days::plan(&site.act(), season, day).await.unwrap();
        site
    }

    /// Notes every opening check of 2026-09-19: seen to where nothing is read, else waived.
    pub async fn morning_done(&self) {
        use canewright::actions::cane::morning::{NewCheck, note};
        use canewright::calc::cane::morning::{Found, Item};
        use canewright::units::PressDate;
        let checks = Item::ALL
            .into_iter()
            .map(|item| NewCheck {
                found: if item.measured() {
                    Found::Waived(item)
                } else {
                    Found::Seen(item)
                },
                sure: false,
                note: "instruments on loan".to_owned(),
            })
            .collect();
        let date = PressDate::parse("2026-09-19").unwrap();
        note(&self.act(), date, checks, Units::Us).await.unwrap();
    }
}
