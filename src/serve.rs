//! Opens the store, serves the site, makes the rounds and has the letters sent, and stops in good
//! order: requests under way are finished, a letter on its way too, then the readers close, then the
//! writer.

use crate::actions::people::accounts;
use crate::actions::{Hashing, Ids, rounds};
use crate::config::Listen;
use crate::letter_sender::{self, Post};
use crate::store::{Reader, Writer};
use crate::web::clock::Clock;
use crate::web::{App, Moments, Throttle, site};
use anyhow::Context;
use std::net::SocketAddr;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::watch;

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
}

/// Serves until told to stop (Ctrl-C or SIGTERM).
///
/// # Errors
/// The address is taken, the public address is not one, or the mail server is not described right.
pub async fn serve(house: House, listen: &Listen, say: impl Fn(&str)) -> anyhow::Result<()> {
    let secure = by_https(listen.public_url.as_deref())?;
    let post = Post::of(&listen.mail, listen.public_url.as_deref())?;
    let listener = TcpListener::bind(listen.listen)
        .await
        .with_context(|| format!("cannot listen on {}", listen.listen))?;
    let local = listener.local_addr()?;
    let url = listen
        .public_url
        .clone()
        .unwrap_or_else(|| format!("http://{local}"));
    if let Some(code) = accounts::open_setup(&house.writer, house.clock.read()).await? {
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
    };
    say(&format!("Serving on {url}"));
    let service = site(app).into_make_service_with_connect_info::<SocketAddr>();
    let (stopping, stopped) = watch::channel(false);
    let signal = async move {
        stop().await;
        stopping.send_replace(true);
    };
    let (writer, clock) = (house.writer.clone(), house.clock);
    let making_rounds = tokio::spawn(make_rounds(writer, house.ids, clock, stopped.clone()));
    let sending = post.map(|post| {
        let writer = house.writer.clone();
        tokio::spawn(letter_sender::keep_sending(post, writer, clock, stopped))
    });
    let served = axum::serve(listener, service)
        .with_graceful_shutdown(signal)
        .await;
    // Whatever became of these, the store is closed in order.
    let made = making_rounds.await;
    let sent = match sending {
        Some(sending) => sending.await,
        None => Ok(()),
    };
    house.reader.close().await;
    house.writer.close().await;
    served?;
    made.and(sent)?;
    say("Stopped in good order.");
    Ok(())
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

async fn stop() {
    let interrupt = async {
        // Without a handler for Ctrl-C the signal simply ends the process.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    let terminate = async {
        match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
            Ok(mut signal) => {
                signal.recv().await;
            }
            Err(_) => std::future::pending().await,
        }
    };
    #[cfg(not(unix))]
    let terminate = std::future::pending::<()>();
    tokio::select! {
        () = interrupt => {}
        () = terminate => {}
    }
}
