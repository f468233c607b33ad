//! Every pair of forms of every page, on a co-op filled as the demo is: one form of a page is sent, then
//! another of the same page as it still stands in the browser. Neither may break or swallow the other.

use crate::demo_file;
use crate::site::{Answer, Browser};
use axum::http::StatusCode;
use canewright::actions::Ids;
use canewright::actions::people::accounts;
use canewright::store::{self, Reader, Writer};
use canewright::units::{MemberId, UtcSecond};
use canewright::web::table;
use page_forms::{Form, first_problem, forms_of, links_of};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicU64;
use std::sync::{Arc, Mutex};
use tempfile::TempDir;
use tokio::runtime::{Builder, Runtime};

#[path = "faults.rs"]
mod faults;
#[path = "page_forms.rs"]
mod page_forms;

/// Who looks at the pages: a steward, one of the crew, and four members in different situations.
const VISITORS: [&str; 6] = ["ruth", "delia", "june", "otis", "minnie", "ida"];
/// Pages of one address pattern that a visitor opens. The forms of the one with most kinds are tried, and
/// those of others that have a kind more.
const LOOKS: usize = 24;
/// Forms of one kind on a page that are tried, such as "remove" in a list.
const OF_A_KIND: usize = 2;
/// Ids of trials count from here: two trials that do the same make the same ids.
const TRIAL_IDS: u64 = 1 << 40;

/// Addresses that no page of the demo's co-op has a form to: nobody signed in sees them, or nothing is in the
/// state that they are for.
const OUT_OF_REACH: [&str; 39] = [
    // The demo was never restored from a backup; the trust tests of `restored` send it.
    "/restores/{number}/seen",
    // The rules of the demo name no price of syrup; `season::season_close` sends it.
    "/members/{id}/settle",
    // Nobody in the demo gets another card's letters yet; `people::acting_letters` sends both.
    "/members/{id}/household/{person}/no-letters",
    // The demo has no turn of a proposal on offer; `season::proposal` sends both.
    "/offers/{id}/another-day",
    "/offers/{id}/not-this-year",
    "/set-up",
    "/sign-in",
    "/sign-in/code",
    "/sign-out",
    "/second-factor/take-away",
    "/sessions/end-others",
    "/sessions/{number}/end",
    "/look",
    "/join/{token}",
    "/boils/{lot}/loss/back",
    "/boils/{lot}/loss/bear",
    "/changes/{id}/bring-back",
    "/changes/{id}/runs-again",
    "/days/{date}/numbers",
    "/days/{date}/waiting",
    "/juices/{id}/again",
    // No name of the demo is kept after it was forgotten; `people::forgetting` sends it.
    "/members/{id}/forget/name",
    "/members/{id}/plantings/again",
    "/mill/probes/{id}/boiling-water",
    "/mill/probes/{id}/revoke",
    "/mill/stations",
    "/mill/stations/{id}/sign-out",
    "/probe/readings",
    "/recalls/{number}/calls/{id}",
    "/recalls/{number}/end",
    "/station",
    "/station/done",
    "/seasons/{year}/close",
    "/seasons/{year}/rules/{number}/confirm",
    "/juices/{id}/undo",
    "/tickets/{id}/loads/{number}/undo",
    "/tickets/{id}/unpressed/back",
    "/turns/{id}/missed",
    "/waiting/{id}/still",
];

/// Forms that are sent once before all others: what they make has forms of its own.
const SENT_BEFORE: [&str; 5] = [
    "/calendar",
    "/calls/{id}/told",
    "/days/{date}/book",
    "/juices/{id}/lost",
    "/members/{id}/let-go",
];

/// The demo's database, closed, and a cookie for each visitor.
struct Base {
    folder: TempDir,
    at: UtcSecond,
    cookies: Vec<(&'static str, String)>,
}

impl Base {
    async fn make() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("base.db");
        let at = demo_file::write(&path).await;
        let (writer, reader) = store::open(&path).await.unwrap();
        let mut cookies = Vec::new();
        for name in VISITORS {
            let id = {
                let mut snapshot = reader.snapshot().await.unwrap();
                let id: String =
                    sqlx::query_scalar("select member_id from accounts where sign_in = ?1")
                        .bind(name)
                        .fetch_one(&mut *snapshot)
                        .await
                        .unwrap();
                MemberId::parse(&id).unwrap()
            };
            let token = accounts::open_session(&writer, at, id, "").await.unwrap();
            cookies.push((name, format!("canewright={}", token.as_str())));
        }
        reader.close().await;
        writer.close().await;
        Self {
            folder,
            at,
            cookies,
        }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("base.db")
    }
}

/// A site on a copy of a database that is thrown away afterwards.
struct Trial {
    folder: TempDir,
    browser: Browser,
    writer: Writer,
    reader: Reader,
}

impl Trial {
    async fn of(database: &Path, at: UtcSecond, cookie: &str, ids: u64) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let copy = folder.path().join("trial.db");
        std::fs::copy(database, &copy).unwrap();
        let (writer, reader) = store::open(&copy).await.unwrap();
        let ids = Ids::Counted(Arc::new(AtomicU64::new(ids)));
        let browser = Browser::on(&writer, &reader, &ids, at, cookie);
        Self {
            folder,
            browser,
            writer,
            reader,
        }
    }

    /// Bytes of the write-ahead log: every commit that changes something makes it longer.
    fn log_bytes(&self) -> u64 {
        std::fs::metadata(self.folder.path().join("trial.db-wal")).map_or(0, |m| m.len())
    }

    /// Sends a form; what came of it, and whether anything was stored.
    async fn send(&mut self, form: &Form, key: &Key) -> Came {
        let before = self.log_bytes();
        let boxes = form.boxes();
        let answer = self
            .browser
            .sends_keyed(&form.action, &boxes, &key.key, &key.token)
            .await;
        Came::of(&answer, self.log_bytes() != before)
    }

    async fn close(self) {
        self.reader.close().await;
        self.writer.close().await;
    }

    /// Closes the database and gives its file, which holds all that was stored, and the folder it is in.
    async fn into_file(self) -> (TempDir, PathBuf) {
        self.reader.close().await;
        self.writer.close().await;
        let path = self.folder.path().join("trial.db");
        (self.folder, path)
    }
}

/// What a form is sent with.
#[derive(Debug, Clone)]
struct Key {
    key: String,
    token: String,
}

/// What came of a form.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Came {
    status: StatusCode,
    to: String,
    stored: bool,
}

impl Came {
    fn of(answer: &Answer, stored: bool) -> Self {
        Self {
            status: answer.status,
            to: answer.to.clone(),
            stored,
        }
    }

    fn taken(&self) -> bool {
        self.status == StatusCode::SEE_OTHER
    }

    fn says(&self) -> String {
        let stored = if self.stored {
            "stored"
        } else {
            "nothing stored"
        };
        format!("{} {} ({stored})", self.status.as_u16(), self.to)
    }
}

/// One page as a visitor sees it, with keys that no page has used yet: one for each form.
struct Case {
    visitor: &'static str,
    cookie: String,
    pattern: &'static str,
    page: String,
    forms: Vec<Form>,
    fresh: Vec<Key>,
}

/// What all trials found.
#[derive(Default)]
struct Found {
    faults: Vec<String>,
    pairs: usize,
    taken_pairs: usize,
    taken: BTreeSet<&'static str>,
    sent: BTreeSet<&'static str>,
    /// Why a form was not taken, by where it goes.
    refused: BTreeMap<&'static str, String>,
}

/// The line of the site's table that an address belongs to.
fn pattern_of(address: &str, posts: bool) -> Option<&'static str> {
    let path = address.split(['?', '#']).next().unwrap_or_default();
    let parts: Vec<&str> = path.split('/').collect();
    let fits = |pattern: &str| {
        let pieces: Vec<&str> = pattern.split('/').collect();
        let same = |(piece, part): (&&str, &&str)| piece.starts_with('{') || piece == part;
        pieces.len() == parts.len() && pieces.iter().zip(&parts).all(same)
    };
    table()
        .into_iter()
        .filter(|line| if posts { line.posts } else { line.gets } && fits(line.path))
        .map(|line| line.path)
        .min_by_key(|path| path.matches('{').count())
}

/// Opens pages from the home page on and keeps, of each address pattern, the one whose forms are of
/// most kinds.
async fn crawl(base: &Base, visitor: &'static str, cookie: &str, found: &mut Found) -> Vec<Case> {
    let mut trial = Trial::of(&base.path(), base.at, cookie, 1 << 32).await;
    let before = trial.log_bytes();
    let mut waiting: VecDeque<String> = VecDeque::from(["/".to_owned()]);
    let mut seen: BTreeSet<String> = BTreeSet::from(["/".to_owned()]);
    let mut looks: BTreeMap<&'static str, usize> = BTreeMap::new();
    let mut opened: BTreeMap<&'static str, Vec<(String, Vec<Form>)>> = BTreeMap::new();
    while let Some(address) = waiting.pop_front() {
        let Some(pattern) = pattern_of(&address, false) else {
            found.faults.push(format!(
                "{visitor}: a link to {address}, which no address answers"
            ));
            continue;
        };
        let count = looks.entry(pattern).or_default();
        if *count >= LOOKS || pattern.starts_with("/static") {
            continue;
        }
        *count += 1;
        let answer = trial.browser.opens(&address).await;
        if answer.status.is_server_error() {
            found
                .faults
                .push(format!("{visitor}: {address} answers {}", answer.status));
        }
        if answer.status != StatusCode::OK {
            continue;
        }
        let page = forms_of(&answer.body, &address);
        for link in links_of(&answer.body).into_iter().chain(page.addresses()) {
            if seen.insert(link.clone()) {
                waiting.push_back(link);
            }
        }
        if !page.forms.is_empty() {
            let forms = few_of_a_kind(page.forms);
            opened.entry(pattern).or_default().push((address, forms));
        }
    }
    if trial.log_bytes() != before {
        // OWASP ASVS 5.0.0, 3.5.3.
        let what = format!("{visitor}: something was stored by looking at pages");
        found.faults.push(what);
    }
    let mut cases = Vec::new();
    let chosen = opened
        .into_iter()
        .flat_map(|(pattern, pages)| chosen(pages).into_iter().map(move |page| (pattern, page)));
    for (pattern, (page, forms)) in chosen {
        let mut fresh = Vec::new();
        for _ in &forms {
            trial.browser.opens("/").await;
            fresh.push(Key {
                key: trial.browser.hidden("form_key"),
                token: trial.browser.hidden("token"),
            });
        }
        cases.push(Case {
            visitor,
            cookie: cookie.to_owned(),
            pattern,
            page,
            forms,
            fresh,
        });
    }
    trial.close().await;
    cases
}

/// Sends the first form that is taken of each kind in [`SENT_BEFORE`], one after the other; those that none was taken of.
async fn send_before(base: &Base) -> Vec<&'static str> {
    let mut left = SENT_BEFORE.to_vec();
    for (visitor, cookie) in &base.cookies {
        for case in crawl(base, visitor, cookie, &mut Found::default()).await {
            for form in &case.forms {
                let pattern = pattern_of(&form.action, true);
                let Some(at) = left.iter().position(|before| pattern == Some(before)) else {
                    continue;
                };
                let ids = (1 << 36) + ((left.len() as u64) << 20);
                let mut trial = Trial::of(&base.path(), base.at, cookie, ids).await;
                let came = trial.send(form, &Case::key(form)).await;
                let (_folder, file) = trial.into_file().await;
                if came.stored {
                    left.remove(at);
                    std::fs::copy(file, base.path()).unwrap();
                }
            }
        }
    }
    left
}

/// Where the forms of a page go, each kind once.
fn kinds(forms: &[Form]) -> BTreeSet<&'static str> {
    forms
        .iter()
        .filter_map(|form| pattern_of(&form.action, true))
        .collect()
}

/// Of pages of one address pattern the one with most forms, and others that have a kind more.
fn chosen(mut pages: Vec<(String, Vec<Form>)>) -> Vec<(String, Vec<Form>)> {
    pages.sort_by_key(|(_, forms)| Reverse((kinds(forms).len(), forms.len())));
    let mut known = BTreeSet::new();
    pages.retain(|(_, forms)| {
        let before = known.len();
        known.extend(kinds(forms));
        known.len() > before
    });
    pages
}

/// At most so many forms of one kind: of a list that goes on, two tell as much as all.
fn few_of_a_kind(forms: Vec<Form>) -> Vec<Form> {
    let mut count: BTreeMap<Option<&'static str>, usize> = BTreeMap::new();
    let few = |form: &Form| {
        let count = count.entry(pattern_of(&form.action, true)).or_default();
        *count += 1;
        *count <= OF_A_KIND
    };
    let mut few = few;
    forms.into_iter().filter(|f| few(f)).collect()
}

impl Case {
    fn key(form: &Form) -> Key {
        let of = |name| form.value(name).unwrap_or_default().to_owned();
        Key {
            key: of("form_key"),
            token: of("token"),
        }
    }

    /// Sends each form of the page, and after each every other one.
    async fn run(&self, base: &Path, at: UtcSecond) -> Found {
        let mut found = Found::default();
        for (place, first) in self.forms.iter().enumerate() {
            self.after(base, at, place, first, &mut found).await;
        }
        found
    }

    fn fault(&self, found: &mut Found, what: &str) {
        let page = format!("{}, {} ({})", self.visitor, self.page, self.pattern);
        found.faults.push(format!("{page}: {what}"));
    }

    /// Sends `first`, sends it again unchanged and changed, and each other form after it.
    async fn after(
        &self,
        base: &Path,
        at: UtcSecond,
        place: usize,
        first: &Form,
        found: &mut Found,
    ) {
        let Some(pattern) = pattern_of(&first.action, true) else {
            let what = format!("a form goes to {}, which takes none", first.action);
            return self.fault(found, &what);
        };
        found.sent.insert(pattern);
        let mut trial = Trial::of(base, at, &self.cookie, TRIAL_IDS).await;
        let key = Self::key(first);
        let came = trial.send(first, &key).await;
        self.no_error(found, first, &came);
        if came.taken() {
            found.taken.insert(pattern);
        } else {
            let why = format!(
                "{} {}",
                came.status.as_u16(),
                first_problem(&trial.browser.last)
            );
            found.refused.insert(pattern, why);
        }
        found.pairs += 1;
        let again = trial.send(first, &key).await;
        let expected = Came {
            stored: false,
            ..came.clone()
        };
        if again != expected {
            let what = format!(
                "{} sent twice answers {}, then {}",
                first.action,
                came.says(),
                again.says()
            );
            self.fault(found, &what);
        }
        if came.taken() {
            self.changed(&mut trial, first, &key, found).await;
        }
        if !came.stored {
            // The database is as it was: every other form finds what it finds when it is sent first.
            found.pairs += self.forms.len() - 1;
            return trial.close().await;
        }
        let (_folder, after) = trial.into_file().await;
        for (other, second) in self.forms.iter().enumerate() {
            if other != place {
                found.pairs += 1;
                let both = self
                    .second(&after, at, first, (second, &self.fresh[other]), found)
                    .await;
                found.taken_pairs += usize::from(both && came.taken());
            }
        }
    }

    /// A form that was taken, sent with its key and other content, says so and stores nothing.
    async fn changed(&self, trial: &mut Trial, form: &Form, key: &Key, found: &mut Found) {
        let Some(other) = form.with_one_box_changed() else {
            return;
        };
        let came = trial.send(&other, key).await;
        let told = [StatusCode::CONFLICT, StatusCode::UNPROCESSABLE_ENTITY];
        if !told.contains(&came.status) || came.stored {
            let what = format!(
                "{} sent again with another text answers {}",
                form.action,
                came.says()
            );
            self.fault(found, &what);
        }
    }

    /// Sends a form with the key it has on the page, and on another copy with a key that is new: after
    /// `first`, both come to the same. Gives whether it was taken.
    async fn second(
        &self,
        after: &Path,
        at: UtcSecond,
        first: &Form,
        (second, fresh): (&Form, &Key),
        found: &mut Found,
    ) -> bool {
        let mut trial = Trial::of(after, at, &self.cookie, TRIAL_IDS << 1).await;
        let came = trial.send(second, &Self::key(second)).await;
        trial.close().await;
        let mut trial = Trial::of(after, at, &self.cookie, TRIAL_IDS << 1).await;
        let alone = trial.send(second, fresh).await;
        trial.close().await;
        self.no_error(found, second, &came);
        // Two forms that go to one address under one key are one form with two contents: told apart by 409.
        let one_form =
            first.action == second.action && came.status == StatusCode::CONFLICT && !came.stored;
        if came != alone && !one_form {
            let what = format!(
                "after {}, {} answers {}; with a new key {}",
                first.action,
                second.action,
                came.says(),
                alone.says()
            );
            self.fault(found, &what);
        }
        came.taken()
    }

    fn no_error(&self, found: &mut Found, form: &Form, came: &Came) {
        if came.status.is_server_error() {
            self.fault(found, &format!("{} answers {}", form.action, came.says()));
        }
    }
}

/// Prints what was tried, for `--nocapture`.
#[expect(
    clippy::print_stderr,
    reason = "figures are for whoever runs the tests"
)]
fn note(figures: &str) {
    eprintln!("{figures}");
}

impl Found {
    fn add(&mut self, more: Self) {
        self.faults.extend(more.faults);
        self.pairs += more.pairs;
        self.taken_pairs += more.taken_pairs;
        self.taken.extend(more.taken);
        self.sent.extend(more.sent);
        self.refused.extend(more.refused);
    }

    /// Says what was tried, what was not reached, and what was never taken.
    fn note(&self) {
        note(&format!(
            "{} pairs of forms, {} of them both taken; {} addresses sent to, {} took it",
            self.pairs,
            self.taken_pairs,
            self.sent.len(),
            self.taken.len()
        ));
        note(&format!("not reached: {:?}", self.not_reached()));
        for pattern in self.sent.difference(&self.taken) {
            let why = self.refused.get(pattern).map_or("", String::as_str);
            note(&format!("never taken: {pattern}: {why}"));
        }
    }

    /// The addresses that take a form and were sent none.
    fn not_reached(&self) -> BTreeSet<&'static str> {
        let all = table().into_iter().filter(|line| line.posts);
        all.map(|line| line.path)
            .filter(|path| !self.sent.contains(path))
            .collect()
    }
}

fn runtime() -> Runtime {
    Builder::new_current_thread().enable_all().build().unwrap()
}

/// Runs every case, several at once.
fn run_all(cases: Vec<Case>, base: &Base, found: Found) -> Found {
    let (cases, found) = (Mutex::new(cases), Mutex::new(found));
    std::thread::scope(|scope| {
        for _ in 0..3 {
            scope.spawn(|| {
                loop {
                    let case = cases.lock().unwrap().pop();
                    let Some(case) = case else { return };
                    let more = runtime().block_on(case.run(&base.path(), base.at));
                    found.lock().unwrap().add(more);
                }
            });
        }
    });
    found.into_inner().unwrap()
}

#[test]
fn no_form_of_a_page_breaks_or_swallows_another() {
    let mut found = Found::default();
    let (base, cases) = runtime().block_on(async {
        let base = Base::make().await;
        let left = send_before(&base).await;
        assert!(left.is_empty(), "none was taken of {left:?}");
        let mut cases = Vec::new();
        for (visitor, cookie) in &base.cookies {
            cases.extend(crawl(&base, visitor, cookie, &mut found).await);
        }
        (base, cases)
    });
    let mut found = run_all(cases, &base, found);
    found.faults.sort();
    found.note();
    let missed: Vec<_> = found
        .not_reached()
        .into_iter()
        .filter(|path| !OUT_OF_REACH.contains(path))
        .collect();
    assert!(missed.is_empty(), "no form was sent to {missed:?}");
    let reached: Vec<_> = OUT_OF_REACH
        .iter()
        .filter(|path| found.sent.contains(*path))
        .collect();
    assert!(reached.is_empty(), "not out of reach: {reached:?}");
    assert!(found.taken.len() >= 30, "{:?}", found.taken);
    assert!(found.taken_pairs >= 25, "{}", found.taken_pairs);
    assert!(
        found.faults.is_empty(),
        "{} faults:\n{}",
        found.faults.len(),
        found.faults.join("\n")
    );
}
