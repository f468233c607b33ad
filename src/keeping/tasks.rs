//! Tasks that run beside the site until it is told to stop: one that ends by itself is started again, and the
//! stewards are told.

use crate::actions::upkeep::{self, UpkeepKind};
use crate::letter_sender::told_to_stop;
use crate::store::Writer;
use crate::web::clock::Clock;
use std::any::Any;
use std::time::Duration;
use tokio::sync::watch;
use tokio::task::JoinSet;

/// Time before a task that ended by itself is started again.
const AGAIN: Duration = Duration::from_secs(5);
/// Time that tasks have to come to an end once told to.
const ENDS: Duration = Duration::from_secs(8);

/// See the module's head.
#[derive(Debug)]
pub struct Tasks {
    writer: Writer,
    clock: Clock,
    stopped: watch::Receiver<bool>,
    running: JoinSet<()>,
    again: Duration,
}

impl Tasks {
    /// A set without any task yet.
    pub fn new(writer: &Writer, clock: Clock, stopped: &watch::Receiver<bool>) -> Self {
        Self {
            writer: writer.clone(),
            clock,
            stopped: stopped.clone(),
            running: JoinSet::new(),
            again: AGAIN,
        }
    }

    /// Keeps a task running: `start` starts it, again and again if need be.
    pub fn keep<F>(&mut self, name: &'static str, start: impl Fn() -> F + Send + 'static)
    where
        F: Future<Output = ()> + Send + 'static,
    {
        let (writer, clock, mut stopped) = (self.writer.clone(), self.clock, self.stopped.clone());
        let again = self.again;
        self.running.spawn(async move {
            loop {
                let mut one = JoinSet::new();
                one.spawn(start());
                let ended = one.join_next().await;
                if *stopped.borrow() {
                    return;
                }
                let why = match ended {
                    Some(Err(error)) if error.is_panic() => words(&*error.into_panic()),
                    _ => "it ended".to_owned(),
                };
                tracing::error!("the task for {name} stopped by itself: {why}");
                let told = format!("{name}: {why}");
                if let Err(error) =
                    upkeep::note(&writer, clock.read(), UpkeepKind::Task, Err(&told)).await
                {
                    tracing::warn!(%error, "that a task stopped was not noted");
                }
                if told_to_stop(&mut stopped, again).await {
                    return;
                }
            }
        });
    }

    /// Waits until all have come to their end; what takes too long is cut short.
    pub async fn end(mut self) {
        let ended = async { while self.running.join_next().await.is_some() {} };
        if tokio::time::timeout(ENDS, ended).await.is_err() {
            tracing::warn!("a task was cut short");
            self.running.shutdown().await;
        }
    }
}

/// The words of a panic.
fn words(what: &(dyn Any + Send)) -> String {
    let text = what.downcast_ref::<String>().map(String::as_str);
    let text = text.or_else(|| what.downcast_ref::<&str>().copied());
    text.unwrap_or("a panic without words").to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::{self, upkeep as store_upkeep};
    use crate::units::UtcSecond;
    use std::sync::Arc;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[tokio::test]
    async fn a_task_that_dies_is_started_again_and_told() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.db");
        let (writer, reader) = store::open(&path).await.unwrap();
        let (stop, stopped) = watch::channel(false);
        let at = UtcSecond::new(1_789_822_800);
        let mut tasks = Tasks::new(&writer, Clock::Fixed(at), &stopped);
        tasks.again = Duration::from_millis(1);
        let starts = Arc::new(AtomicUsize::new(0));
        let (counted, (again, mut came)) = (Arc::clone(&starts), watch::channel(()));
        tasks.keep("letters", move || {
            let (n, again) = (counted.fetch_add(1, Ordering::SeqCst), again.clone());
            let mut stopped = stopped.clone();
            async move {
                assert!(n > 0, "the mail server spoke in riddles");
                again.send_replace(());
                let _ = stopped.wait_for(|stop| *stop).await;
            }
        });
        came.changed().await.unwrap();
        assert_eq!(starts.load(Ordering::SeqCst), 2);
        let mut snapshot = reader.snapshot().await.unwrap();
        let told = store_upkeep::last().ask(&mut snapshot).await.unwrap();
        assert_eq!(told.len(), 1);
        assert_eq!((told[0].kind.as_str(), told[0].good), ("task", false));
        assert_eq!(told[0].words, "letters: the mail server spoke in riddles");
        stop.send_replace(true);
        tasks.end().await;
    }
}
