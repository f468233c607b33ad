//! Opens the store, serves the site, makes the rounds and has the letters sent, and stops in good
//! order: requests under way are finished, a letter on its way too, then the readers close, then the
//! writer.

use crate::actions::people::accounts;
use crate::actions::upkeep::Kind;
use crate::actions::{Hashing, Ids, rounds};
use crate::config::Listen;
use crate::keeping::caretaker::{self, Plan};
use crate::letter_sender::{self, Post};
use crate::store::{Reader, Writer, upkeep};
use crate::units::UtcSecond;
use crate::web::clock::Clock;
use crate::web::{App, Moments, Throttle, site};
use anyhow::Context;
use std::net::SocketAddr;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::watch;
use tokio::task::JoinSet;

/// What the site runs with.
#[derive(Debug)]
pub struct House {
    /// The one writer.
    pub writer: Writer,
    /// Readers for pages.
    pub reader: Reader,
    /// The clock.
    pub clock: Clock,
    /// New ids.
    pub ids: Ids,
    /// Whether this is the demo.
    pub demo: bool,
    /// Backups to make meanwhile.
    pub backups: Option<Plan>,
    /// Whether the database is a copy that is only looked at.
    pub read_only: bool,
}

/// Looks whether the site could be served as told, before anything is opened or made.
///
/// # Errors
/// The public address is not one, or the mail server is not described right.
pub fn check(listen: &Listen) -> anyhow::Result<()> {
    by_https(listen.public_url.as_deref())?;
    Post::of(&listen.mail, listen.public_url.as_deref())?;
    Ok(())
}

/// Serves until told to stop (Ctrl-C or SIGTERM).
///
/// # Errors
/// The address is taken, the public address is not one, or the mail server is not described right.
pub async fn serve(house: House, listen: &Listen, say: impl Fn(&str)) -> anyhow::Result<()> {
    let secure = by_https(listen.public_url.as_deref())?;
    let post = Post::of(&listen.mail, listen.public_url.as_deref())?.filter(|_| !house.read_only);
    let listener = TcpListener::bind(listen.listen)
        .await
        .with_context(|| format!("cannot listen on {}", listen.listen))?;
    let local = listener.local_addr()?;
    let url = listen
        .public_url
        .clone()
        .unwrap_or_else(|| format!("http://{local}"));
    if !house.read_only
        && let Some(code) = accounts::open_setup(&house.writer, house.clock.read()).await?
    {
        say(&format!(
            "A new co-op. Open {url}/set-up and type this set-up code, once:\n\n    {}\n",
            code.as_str()
        ));
    }
    let app = App {
        writer: house.writer.clone(),
        moments: Moments::new(house.reader.clone()),
        clock: house.clock,
        ids: house.ids.clone(),
        hashing: Hashing::new(),
        throttle: Throttle::default(),
        secure,
        public_url: Some(url.clone()),
        demo: house.demo,
        behind_proxy: listen.behind_proxy,
        letters_sent: post.is_some(),
        backed_up: house.backups.is_some(),
        read_only: house.read_only,
    };
    let told = told()?;
    say(&format!("Serving on {url}"));
    let service = site(app).into_make_service_with_connect_info::<SocketAddr>();
    let (stopping, stopped) = watch::channel(false);
    let signal = async move {
        told.await;
        stopping.send_replace(true);
    };
    let (writer, reader) = (house.writer.clone(), house.reader.clone());
    let tasks = if house.read_only {
        JoinSet::new()
    } else {
        tasks(house, post, &stopped).await?
    };
    let served = axum::serve(listener, service)
        .with_graceful_shutdown(signal)
        .await;
    // Whatever became of these, the store is closed in order.
    tasks.join_all().await;
    reader.close().await;
    writer.close().await;
    served?;
    say("Stopped in good order.");
    Ok(())
}

/// What runs beside the site until told to stop.
async fn tasks(
    house: House,
    post: Option<Post>,
    stopped: &watch::Receiver<bool>,
) -> anyhow::Result<JoinSet<()>> {
    let mut tasks = JoinSet::new();
    let (writer, clock) = (house.writer, house.clock);
    tasks.spawn(caretaker::look_after(
        writer.clone(),
        house.backups,
        clock,
        stopped.clone(),
        last_trial(&house.reader).await?,
    ));
    if let Some(post) = post {
        let sending = letter_sender::keep_sending(post, writer.clone(), clock, stopped.clone());
        tasks.spawn(sending);
    }
    tasks.spawn(make_rounds(writer, house.ids, clock, stopped.clone()));
    Ok(tasks)
}

/// When a backup was last restored for a trial.
async fn last_trial(reader: &Reader) -> anyhow::Result<Option<UtcSecond>> {
    let done = upkeep::last(&mut *reader.snapshot().await?).await?;
    let trials = done.iter().filter(|done| done.kind == Kind::Trial.as_str());
    Ok(trials.map(|trial| trial.at).max())
}

/// Whether the site is served over https, by its public address.
fn by_https(public_url: Option<&str>) -> anyhow::Result<bool> {
    let Some(url) = public_url else {
        return Ok(false);
    };
    let plain = url
        .strip_prefix("https://")
        .or_else(|| url.strip_prefix("http://"));
    anyhow::ensure!(
        plain.is_some_and(|host| !host.is_empty() && !host.contains('/')),
        "--public-url must be like https://mill.example.org, without a slash at the end"
    );
    Ok(url.starts_with("https://"))
}

/// Time from one round to the next.
const ROUND: Duration = Duration::from_mins(1);

/// Looks after what comes with time, until told to stop.
async fn make_rounds(writer: Writer, ids: Ids, clock: Clock, mut stopped: watch::Receiver<bool>) {
    loop {
        if let Err(error) = rounds::due(&writer, &ids, clock.read()).await {
            tracing::error!(%error, "a round was not finished");
        }
        if letter_sender::told_to_stop(&mut stopped, ROUND).await {
            return;
        }
    }
}

/// Resolves when the program is told to stop. The signals are listened for from the call on, so that one that
/// comes at once is not missed.
#[cfg(unix)]
fn told() -> anyhow::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut terminate = signal(SignalKind::terminate())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
    })
}

/// Resolves when the program is told to stop.
#[cfg(not(unix))]
fn told() -> anyhow::Result<impl Future<Output = ()>> {
    Ok(async {
        // Without a handler for Ctrl-C the signal simply ends the process.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    })
}
