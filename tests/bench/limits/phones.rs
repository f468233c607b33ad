//! The phones: connections that are kept alive and send one request after the other.

use super::http::{Answer, Line};
use anyhow::ensure;
use std::net::SocketAddr;
use std::time::{Duration, Instant};

/// Connections that are kept alive.
pub const CONNECTIONS: usize = 64;
/// How long a page or form is asked for in a round.
pub const ROUND: Duration = Duration::from_millis(600);

/// A page that is asked for, or where forms are sent.
#[derive(Debug, Clone)]
pub struct Asked {
    pub name: &'static str,
    pub at: SocketAddr,
    pub cookie: String,
    pub path: String,
    /// What must stand on it.
    pub says: String,
}

/// What one round brought.
pub struct Round {
    pub a_second: f64,
    pub times: Vec<Duration>,
}

/// Opens a page once; it must be the right one.
pub async fn opened(page: &Asked, line: &mut Line) -> anyhow::Result<Answer> {
    let answer = line.get(&page.path).await?;
    let (status, name) = (answer.status, page.name);
    ensure!(
        status == 200,
        "{name}: {status} {} {}",
        answer.to,
        answer.page
    );
    ensure!(
        answer.page.contains(&page.says),
        "{name}: no “{}”: {}",
        page.says,
        answer.page
    );
    Ok(answer)
}

/// All connections ask for the page, one request after the other, as long as a round lasts.
pub async fn pages(page: &Asked) -> anyhow::Result<Round> {
    let begun = Instant::now();
    let connections = (0..CONNECTIONS).map(|_| async {
        let mut line = Line::new(page.at, page.cookie.clone());
        let mut times = Vec::new();
        while begun.elapsed() < ROUND {
            times.push(opened(page, &mut line).await?.took);
        }
        anyhow::Ok(times)
    });
    summed(begun, together(connections).await)
}

/// A form that is to be sent.
pub struct Form {
    pub at: SocketAddr,
    pub cookie: String,
    pub path: String,
    pub fields: Vec<(&'static str, String)>,
}

/// All connections send forms, one after the other, as long as a round lasts or there are any; each must be taken. Gives where the
/// answers led as well.
pub async fn forms(
    next: impl Fn() -> Option<Form>,
    taken: u16,
) -> anyhow::Result<(Round, Vec<String>)> {
    let begun = Instant::now();
    let next = &next;
    let connections = (0..CONNECTIONS).map(|_| async move {
        let (mut times, mut led) = (Vec::new(), Vec::new());
        let mut line: Option<(String, Line)> = None;
        while begun.elapsed() < ROUND
            && let Some(form) = next()
        {
            // A connection stays with whoever sends by it.
            if line
                .as_ref()
                .is_none_or(|(cookie, _)| *cookie != form.cookie)
            {
                line = Some((form.cookie.clone(), Line::new(form.at, form.cookie.clone())));
            }
            let Some((_, line)) = &mut line else {
                continue;
            };
            let answer = sent(line, &form, taken).await?;
            times.push(answer.took);
            led.push(answer.to);
        }
        anyhow::Ok((times, led))
    });
    let (mut times, mut led) = (Vec::new(), Vec::new());
    for one in together(connections).await {
        let (own, to) = one?;
        times.push(Ok(own));
        led.extend(to);
    }
    Ok((summed(begun, times)?, led))
}

/// Sends one form, which must be taken.
pub async fn sent(line: &mut Line, form: &Form, taken: u16) -> anyhow::Result<Answer> {
    let fields: Vec<(&str, &str)> = form.fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
    let answer = line.post(&form.path, &fields).await?;
    ensure!(
        answer.status == taken,
        "POST {}: {} {}",
        form.path,
        answer.status,
        answer.page
    );
    Ok(answer)
}

fn summed(begun: Instant, all: Vec<anyhow::Result<Vec<Duration>>>) -> anyhow::Result<Round> {
    let lasted = begun.elapsed().as_secs_f64();
    let mut times = Vec::new();
    for own in all {
        times.extend(own?);
    }
    Ok(Round {
        a_second: f64::from(u32::try_from(times.len())?) / lasted,
        times,
    })
}

/// All of them at once, in this thread.
async fn together<F: Future>(work: impl Iterator<Item = F>) -> Vec<F::Output> {
    let mut waiting: Vec<_> = work.map(|one| (Box::pin(one), None)).collect();
    std::future::poll_fn(|context| {
        let mut ready = true;
        for (one, done) in &mut waiting {
            if done.is_none() {
                match one.as_mut().poll(context) {
                    std::task::Poll::Ready(out) => *done = Some(out),
                    std::task::Poll::Pending => ready = false,
                }
            }
        }
        if ready {
            std::task::Poll::Ready(())
        } else {
            std::task::Poll::Pending
        }
    })
    .await;
    waiting.into_iter().filter_map(|(_, done)| done).collect()
}
