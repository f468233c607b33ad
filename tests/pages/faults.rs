//! A fault of the database at any point of any action that a form of the demo's pages asks for: an instruction of
//! `SQLite` is broken off, once or from there on. Nothing is half written, the page says so, and the next try is taken.

use super::{Base, Case, Form, Found, TRIAL_IDS, Trial, crawl, note, pattern_of, runtime};
use axum::http::StatusCode;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicI64, Ordering};

/// Points of an action at which it is broken off.
const POINTS: i64 = 12;
/// Forms of one address that are looked at for one that stores something.
const FORMS: usize = 6;

/// Breaks off what the writer does, some instructions from when it is armed.
#[derive(Clone, Default)]
struct Fuse {
    /// Instructions until it blows; none is armed below nought.
    left: Arc<AtomicI64>,
    /// Instructions seen.
    seen: Arc<AtomicI64>,
    /// From there on, rather than once.
    lasting: Arc<AtomicBool>,
}

impl Fuse {
    /// Lays it to a trial's writer, not armed.
    async fn laid(trial: &Trial) -> Self {
        let fuse = Self::default();
        fuse.disarm();
        let mut tx = trial.writer.begin().await.unwrap();
        let burning = fuse.clone();
        let mut handle = tx.lock_handle().await.unwrap();
        handle.set_progress_handler(1, move || burning.goes_on());
        drop(handle);
        drop(tx);
        fuse
    }

    fn goes_on(&self) -> bool {
        self.seen.fetch_add(1, Ordering::SeqCst);
        if self.left.load(Ordering::SeqCst) < 0 {
            return true;
        }
        let left = self.left.fetch_sub(1, Ordering::SeqCst);
        if left > 0 {
            return true;
        }
        if self.lasting.load(Ordering::SeqCst) {
            self.left.store(0, Ordering::SeqCst);
        }
        false
    }

    fn arm(&self, after: i64, lasting: bool) {
        self.lasting.store(lasting, Ordering::SeqCst);
        self.left.store(after, Ordering::SeqCst);
    }

    fn disarm(&self) {
        self.left.store(-1, Ordering::SeqCst);
    }
}

/// A form with the cookie of who sends it.
type Sending = (String, Form);

/// What the faults at one address came to.
#[derive(Default)]
struct Tried {
    faults: usize,
    wrong: Vec<String>,
}

/// What a form that stores something came to when nothing broke.
struct Whole {
    /// Instructions that it took.
    taken: i64,
    /// The status of its answer.
    status: StatusCode,
    /// What is stored afterwards.
    stored: (i64, i64, i64),
}

/// Sends a form with nothing in its way; none: it stores nothing here.
async fn takes(base: &Base, (cookie, form): &Sending) -> Option<Whole> {
    let mut trial = Trial::of(&base.path(), base.at, cookie, TRIAL_IDS).await;
    let fuse = Fuse::laid(&trial).await;
    let before = fuse.seen.load(Ordering::SeqCst);
    let came = trial.send(form, &Case::key(form)).await;
    let taken = fuse.seen.load(Ordering::SeqCst) - before;
    let stored = contents(&trial).await;
    trial.close().await;
    (came.stored && !came.status.is_server_error()).then_some(Whole {
        taken,
        status: came.status,
        stored,
    })
}

/// How much is stored that any action leaves behind: its form, and what it made, told, or let in.
async fn contents(trial: &Trial) -> (i64, i64, i64) {
    let mut moment = trial.reader.snapshot().await.unwrap();
    sqlx::query_as(
        "select (select count(*) from form_keys), (select count(*) from records),
         (select count(*) from notices) + (select count(*) from invites) + (select count(*) from sessions)",
    )
    .fetch_one(&mut *moment)
    .await
    .unwrap()
}

/// Breaks a form's action off at its points. SQLite also tells of an interruption that came with the very last step of a
/// commit: all of it is stored then, and only the answer is lost. What must not be is a part of it.
async fn broken_off(base: &Base, sending: &Sending, whole: &Whole) -> Tried {
    let (cookie, form) = sending;
    let &Whole { taken, status, .. } = whole;
    let mut tried = Tried::default();
    for point in 0..POINTS {
        let (after, lasting) = (taken * point / POINTS + point % 3, point % 2 == 1);
        let mut trial = Trial::of(&base.path(), base.at, cookie, TRIAL_IDS).await;
        let fuse = Fuse::laid(&trial).await;
        let before = contents(&trial).await;
        fuse.arm(after, lasting);
        let came = trial.send(form, &Case::key(form)).await;
        fuse.disarm();
        let page = trial.browser.last.clone();
        let after_it = contents(&trial).await;
        let stands = after_it == before;
        let mut wrong = |what: &str| {
            let how = if lasting { "from there on" } else { "once" };
            tried.wrong.push(format!(
                "{} broken off after {after} of {taken} {how}: {what}",
                form.action
            ));
        };
        if came.status.is_server_error() {
            tried.faults += 1;
            if !stands && after_it != whole.stored {
                wrong("something was stored");
            }
            if !page.contains("Something broke here") && !page.contains("Nothing was stored") {
                wrong("the page does not say so");
            }
            if page.contains("interrupted") {
                wrong("the page shows the source error");
            }
        } else if !came.stored || came.status != status {
            wrong(&format!("answers {}", came.says()));
        }
        let again = trial.send(form, &Case::key(form)).await;
        let stored = again.stored || came.stored;
        if again.status != status || !stored {
            wrong(&format!("the next try answers {}", again.says()));
        }
        trial.close().await;
    }
    tried
}

/// The forms of all visitors' pages, by where they go.
async fn sendings(base: &Base) -> BTreeMap<&'static str, Vec<Sending>> {
    let mut found = Found::default();
    let mut all: BTreeMap<&'static str, Vec<Sending>> = BTreeMap::new();
    for (visitor, cookie) in &base.cookies {
        for case in crawl(base, visitor, cookie, &mut found).await {
            for form in case.forms {
                if let Some(pattern) = pattern_of(&form.action, true) {
                    all.entry(pattern).or_default().push((cookie.clone(), form));
                }
            }
        }
    }
    all
}

#[test]
fn a_fault_at_any_point_of_any_action_leaves_nothing_half_done_and_the_next_try_is_taken() {
    let (base, all) = runtime().block_on(async {
        let base = Base::make().await;
        let all = sendings(&base).await;
        (base, all)
    });
    let waiting = Mutex::new(all.into_iter().collect::<Vec<_>>());
    let done = Mutex::new((Vec::new(), Tried::default()));
    std::thread::scope(|scope| {
        for _ in 0..3 {
            scope.spawn(|| {
                loop {
                    let next = waiting.lock().unwrap().pop();
                    let Some((pattern, sendings)) = next else {
                        return;
                    };
                    runtime().block_on(async {
                        for sending in sendings.iter().take(FORMS) {
                            if let Some(measure) = takes(&base, sending).await {
                                let tried = broken_off(&base, sending, &measure).await;
                                let mut done = done.lock().unwrap();
                                done.0.push(pattern);
                                done.1.faults += tried.faults;
                                done.1.wrong.extend(tried.wrong);
                                return;
                            }
                        }
                    });
                }
            });
        }
    });
    let (patterns, tried) = done.into_inner().unwrap();
    note(&format!(
        "{} actions, {} faults in them",
        patterns.len(),
        tried.faults
    ));
    assert!(
        tried.wrong.is_empty(),
        "{} of {} faults:\n{}",
        tried.wrong.len(),
        tried.faults,
        tried.wrong.join("\n")
    );
    assert!(patterns.len() >= 30, "{patterns:?}");
    assert!(tried.faults >= 200, "{}", tried.faults);
}
