//! No page changes anything: every address that answers GET, and the links found on those pages, are
//! opened twice by a steward, by crew, by a member and by a stranger in the demo's database, and the
//! whole database is compared before and after.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

#[path = "../season/whole.rs"]
mod whole;

use crate::demo_file;
use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use canewright::actions::people::accounts;
use canewright::actions::{Hashing, Ids};
use canewright::store::{self, Writer};
use canewright::units::{MemberId, UtcSecond};
use canewright::web::clock::Clock;
use canewright::web::{App, Moments, Parts, RequestCounts, Throttle, site, table};
use http_body_util::BodyExt;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions, SqliteConnection};
use std::collections::{BTreeMap, BTreeSet};
use tower::ServiceExt;

/// Links beside the addresses of the table that are followed for each person.
const LINKS_MOST: usize = 120;
/// An id that is nobody's.
const NOBODY: &str = "01920000-0000-7000-8000-00000000ffff";

/// What stands in the first hole of an address, by what comes before it.
const RECORDS: [(&str, &str); 11] = [
    ("/plantings/", "select id from plantings order by id"),
    ("/members/", "select id from members order by number"),
    ("/seasons/", "select cast(year as text) from seasons"),
    ("/days/", "select date from press_days order by date"),
    ("/turns/", "select id from turns order by id"),
    ("/waiting/", "select id from waiting order by id"),
    ("/tickets/", "select id from tickets order by ticket"),
    ("/juices/", "select id from juices order by id"),
    ("/boils/", "select lot_code from boils order by lit_at"),
    ("/L/", "select lot_code from boils order by lit_at"),
    (
        "/hand-overs/",
        "select cast(number as text) from hand_overs order by number",
    ),
];

struct Calls {
    router: Router,
    look: SqliteConnection,
    digest_sql: String,
}

impl Calls {
    /// The whole database as text, but for when a session was last seen: a page does note that.
    async fn digest(&mut self) -> String {
        sqlx::query_scalar(AssertSqlSafe(self.digest_sql.clone()))
            .fetch_one(&mut self.look)
            .await
            .unwrap()
    }

    async fn texts(&mut self, sql: &'static str) -> Vec<String> {
        sqlx::query_scalar(sql)
            .fetch_all(&mut self.look)
            .await
            .unwrap()
    }

    async fn opens(&self, path: &str, cookie: &str) -> (StatusCode, String) {
        let request = Request::builder()
            .uri(path)
            .header(header::HOST, "mill.test")
            .header(header::COOKIE, cookie)
            .body(Body::empty())
            .unwrap();
        let response = self.router.clone().oneshot(request).await.unwrap();
        let status = response.status();
        let bytes = response.into_body().collect().await.unwrap().to_bytes();
        (status, String::from_utf8_lossy(&bytes).into_owned())
    }

    /// The addresses of the table that answer GET, with records in their holes: of each kind the
    /// first, the last, and one that is not there.
    async fn addresses(&mut self) -> Vec<String> {
        let mut records: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        for (before, sql) in RECORDS {
            let all = self.texts(sql).await;
            let ends = [all.first(), all.last()].into_iter().flatten();
            records.insert(before, ends.cloned().collect());
        }
        let mut out = BTreeSet::new();
        for line in table().into_iter().filter(|line| line.gets) {
            let Some((before, _)) = line.path.split_once('{') else {
                out.insert(line.path.to_owned());
                continue;
            };
            let (_, after) = line.path.split_once('}').unwrap();
            let own = records
                .get(before)
                .or_else(|| records.get(&*before.to_uppercase()));
            let nobody = NOBODY.to_owned();
            for record in own.into_iter().flatten().chain([&nobody]) {
                let after = after
                    .replace("{year}", "2026")
                    .replace("{number}", "1")
                    .replace("{id}", NOBODY)
                    .replace("{how}", "later");
                assert!(!after.contains('{'), "{}: a hole of a new kind", line.path);
                out.insert(format!("{before}{record}{after}"));
            }
        }
        out.into_iter().collect()
    }

    /// Opens every address twice, then links found there; gives how many answered, by status.
    async fn looks_everywhere(&mut self, who: &str, cookie: &str) -> BTreeMap<u16, usize> {
        let mut open: Vec<String> = self.addresses().await;
        open.reverse();
        let mut known: BTreeSet<String> = open.iter().cloned().collect();
        let most = known.len() + LINKS_MOST;
        let mut answers = BTreeMap::new();
        let was = self.digest().await;
        while let Some(path) = open.pop() {
            let (status, page) = self.opens(&path, cookie).await;
            self.opens(&path, cookie).await;
            assert!(!status.is_server_error(), "GET {path} as {who}: {status}");
            let is = self.digest().await;
            assert!(is == was, "GET {path} as {who} changed something");
            *answers.entry(status.as_u16()).or_default() += 1;
            let fresh = links(&page).filter(|link| !known.contains(link));
            let fresh: BTreeSet<String> = fresh.take(most.saturating_sub(known.len())).collect();
            known.extend(fresh.iter().cloned());
            // Behind those of the table.
            open.splice(0..0, fresh);
        }
        answers
    }
}

/// The links of a page within this site.
fn links(page: &str) -> impl Iterator<Item = String> {
    page.split("href=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .filter(|link| link.starts_with('/'))
        .map(|link| {
            link.split('#')
                .next()
                .unwrap_or_default()
                .replace("&#38;", "&")
        })
}

async fn session(
    writer: &Writer,
    look: &mut SqliteConnection,
    name: &str,
    at: UtcSecond,
) -> String {
    let id: String = sqlx::query_scalar("select member_id from accounts where sign_in = ?1")
        .bind(name)
        .fetch_one(look)
        .await
        .unwrap();
    let member = MemberId::parse(&id).unwrap();
    let token = accounts::open_session(writer, at, member, "")
        .await
        .unwrap();
    format!("canewright={}", token.as_str())
}

#[tokio::test]
async fn no_page_changes_anything_whoever_opens_it() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("demo.db");
    let at = demo_file::write(&file).await;
    let (writer, reader) = store::open(&file).await.unwrap();
    let options = SqliteConnectOptions::new().filename(&file).read_only(true);
    let mut look = options.connect().await.unwrap();
    // Two minutes ago, so that the first page notes that the session was seen.
    let since = at.plus(-120);
    let mut people = vec![("a stranger", String::new())];
    for name in ["ruth", "delia", "june", "minnie"] {
        people.push((name, session(&writer, &mut look, name, since).await));
    }
    let app = App::from(Parts {
        writer,
        moments: Moments::new(reader),
        clock: Clock::Fixed(at),
        ids: Ids::Chance,
        hashing: Hashing::new(),
        throttle: Throttle::default(),
        figures: RequestCounts::default(),
        secure: false,
        public_url: Some("http://mill.test".to_owned()),
        only_host: Some("mill.test".to_owned()),
        demo: true,
        behind_proxy: false,
        letters_sent: false,
        backed_up: true,
        read_only: false,
    });
    let mut calls = Calls {
        router: site(app),
        digest_sql: whole::database_sql(&mut look, ("sessions", "seen_at")).await,
        look,
    };
    for (who, cookie) in people {
        let answers = calls.looks_everywhere(who, &cookie).await;
        let opened = answers.get(&200).copied().unwrap_or(0);
        let least = match who {
            "ruth" => 150,
            "delia" => 120,
            "a stranger" => 4,
            _ => 30,
        };
        assert!(opened >= least, "{who} saw {opened} pages: {answers:?}");
    }
    // Left out of the comparison for a reason: all four were noted.
    let noted = calls
        .texts("select token_hash from sessions where seen_at > made_at")
        .await;
    assert_eq!(noted.len(), 4);
}
