//! Opens the store, serves the site, makes the rounds and has the letters sent, and stops in good
//! order: requests under way are finished, a letter on its way too, then the readers close, then the
//! writer.

use crate::actions::people::accounts;
use crate::actions::upkeep::UpkeepKind;
use crate::actions::{Hashing, Ids, rounds};
use crate::config::Listen;
use crate::connections;
use crate::keeping::caretaker::{self, Plan};
use crate::keeping::tasks::Tasks;
use crate::letter_sender::{self, Post};
use crate::metrics::{self, Watched};
use crate::store::{Reader, Writer, upkeep};
use crate::units::UtcSecond;
use crate::web::clock::Clock;
use crate::web::{App, Moments, Parts, RequestCounts, Throttle, site};
use anyhow::Context;
use std::io::ErrorKind;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::watch;
use tokio::task::JoinHandle;

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

/// Listens where the site is to be served, before anything is opened or made.
///
/// # Errors
/// The address is taken or not of this machine, the public address is not one, or the mail server is not described
/// right.
pub async fn bind(listen: &Listen) -> anyhow::Result<TcpListener> {
    by_https(listen.public_url.as_deref())?;
    Post::of(&listen.mail, listen.public_url.as_deref())?;
    let at = listen.listen;
    TcpListener::bind(at).await.map_err(|error| match error.kind() {
        ErrorKind::AddrInUse => anyhow::anyhow!(
            "Another program listens on {at} already. Please stop it, or choose another port with --listen."
        ),
        ErrorKind::AddrNotAvailable => anyhow::anyhow!(
            "{at} is no address of this machine. Please choose another with --listen."
        ),
        ErrorKind::PermissionDenied => anyhow::anyhow!(
            "This user may not listen on {at}. Please choose a port above 1023 with --listen."
        ),
        _ => anyhow::anyhow!("cannot listen on {at}: {error}"),
    })
}

/// Serves until told to stop (Ctrl-C or SIGTERM).
///
/// # Errors
/// The public address is not one, the mail server is not described right, or the store failed.
pub async fn serve(
    house: House,
    listener: TcpListener,
    listen: &Listen,
    say: impl Fn(&str),
) -> anyhow::Result<()> {
    let secure = by_https(listen.public_url.as_deref())?;
    let post = Post::of(&listen.mail, listen.public_url.as_deref())?.filter(|_| !house.read_only);
    let local = listener.local_addr()?;
    let (public_url, url) = addresses(listen.public_url.as_deref(), local);
    if !house.read_only
        && let Some(code) = accounts::open_setup(&house.writer, house.clock.read()).await?
    {
        say(&format!(
            "A new co-op. Open {url}/set-up and type this set-up code, once:\n\n    {}\n",
            code.as_str()
        ));
    }
    let app = App::from(Parts {
        writer: house.writer.clone(),
        moments: Moments::new(house.reader.clone()),
        clock: house.clock,
        ids: house.ids.clone(),
        hashing: Hashing::new(),
        throttle: Throttle::default(),
        figures: RequestCounts::default(),
        secure,
        public_url,
        only_host: listen.public_url.as_deref().map(host_of),
        demo: house.demo,
        behind_proxy: listen.behind_proxy,
        letters_sent: post.is_some(),
        backed_up: house.backups.is_some(),
        read_only: house.read_only,
    });
    let told = told()?;
    say(&format!("Serving on {url}"));
    let watched = Watched {
        figures: app.figures.clone(),
        lookout: house.writer.lookout().clone(),
        reader: house.reader.clone(),
        clock: house.clock,
    };
    let router = site(app);
    let (stopping, stopped) = watch::channel(false);
    let figures = show_figures(listen.metrics, watched, &stopped, &say).await?;
    let signal = async move {
        told.await;
        stopping.send_replace(true);
    };
    let (writer, reader) = (house.writer.clone(), house.reader.clone());
    let tasks = if house.read_only {
        Tasks::new(&writer, house.clock, &stopped)
    } else {
        tasks(house, post, &stopped).await?
    };
    connections::serve(listener, router, signal).await;
    if let Some(figures) = figures {
        // The figures' page ends once it was told to stop.
        let _ = figures.await;
    }
    // However these ended, the store is closed in good order.
    tasks.end().await;
    reader.close().await;
    writer.close().await;
    say("Stopped in good order.");
    Ok(())
}

/// Serves the figures on an address of their own, where that was asked for, until told to stop.
async fn show_figures(
    at: Option<SocketAddr>,
    watched: Watched,
    stopped: &watch::Receiver<bool>,
    say: &impl Fn(&str),
) -> anyhow::Result<Option<JoinHandle<()>>> {
    let Some(at) = at else {
        return Ok(None);
    };
    let listener = TcpListener::bind(at)
        .await
        .with_context(|| format!("cannot listen on {at} for figures (--metrics)"))?;
    say(&format!(
        "Figures on http://{}/metrics",
        listener.local_addr()?
    ));
    let mut stopped = stopped.clone();
    Ok(Some(tokio::spawn(async move {
        let told = async {
            // If nobody is left who could tell it to stop, it stops as well.
            let _ = stopped.wait_for(|stop| *stop).await;
        };
        connections::serve(listener, metrics::page(watched), told).await;
    })))
}

/// What runs beside the site until told to stop.
async fn tasks(
    house: House,
    post: Option<Post>,
    stopped: &watch::Receiver<bool>,
) -> anyhow::Result<Tasks> {
    let (writer, reader, clock) = (house.writer, house.reader, house.clock);
    let mut tasks = Tasks::new(&writer, clock, stopped);
    let trial = last_trial(&reader).await?;
    let (keeper, told) = (writer.clone(), stopped.clone());
    tasks.keep("backups", move || {
        let (writer, plan, told) = (keeper.clone(), house.backups.clone(), told.clone());
        caretaker::look_after(writer, plan, clock, told, trial)
    });
    if let Some(post) = post {
        let (post, sender, told) = (Arc::new(post), writer.clone(), stopped.clone());
        tasks.keep("letters", move || {
            letter_sender::keep_sending(Arc::clone(&post), sender.clone(), clock, told.clone())
        });
    }
    let told = stopped.clone();
    tasks.keep("rounds", move || {
        make_rounds(
            (reader.clone(), writer.clone()),
            house.ids.clone(),
            clock,
            told.clone(),
        )
    });
    Ok(tasks)
}

/// When a backup was last restored for a trial.
async fn last_trial(reader: &Reader) -> anyhow::Result<Option<UtcSecond>> {
    let done = upkeep::last().ask(&mut *reader.snapshot().await?).await?;
    let trials = done
        .iter()
        .filter(|done| done.kind == UpkeepKind::Trial.as_str());
    Ok(trials.map(|trial| trial.at).max())
}

/// The address that people reach the site by, where it is known, and the one that is told to whoever started the
/// program. What is listened on is an address for others only where it is one of this machine in its network.
fn addresses(public_url: Option<&str>, local: SocketAddr) -> (Option<String>, String) {
    let (ip, port) = (local.ip(), local.port());
    let at = |host: &dyn std::fmt::Display| format!("http://{host}:{port}");
    match public_url {
        Some(url) => (Some(url.to_owned()), url.to_owned()),
        None if ip.is_unspecified() => (None, at(&"127.0.0.1")),
        None if ip.is_loopback() => (None, format!("http://{local}")),
        None => (Some(format!("http://{local}")), format!("http://{local}")),
    }
}

/// The name, with its port if it has one, in an address that [`by_https`] has looked at.
fn host_of(url: &str) -> String {
    let host = url.split_once("://").map_or(url, |(_, host)| host);
    host.to_ascii_lowercase()
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
    let nowhere = ["0.0.0.0", "[::]"].iter().any(|nowhere| {
        plain.is_some_and(|host| host == *nowhere || host.starts_with(&format!("{nowhere}:")))
    });
    anyhow::ensure!(
        !nowhere,
        "{url} leads nowhere: --public-url must be the address that people reach the site by"
    );
    Ok(url.starts_with("https://"))
}

/// Time from one round to the next.
const ROUND: Duration = Duration::from_mins(1);

/// Looks after what comes with time, until told to stop.
async fn make_rounds(
    (reader, writer): (Reader, Writer),
    ids: Ids,
    clock: Clock,
    mut stopped: watch::Receiver<bool>,
) {
    loop {
        if let Err(error) = rounds::due(&reader, &writer, &ids, clock.read()).await {
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
