//! Connections: taken in as they come, each with a time to say what it wants. When there are as many as may be
//! open, the oldest that asks for nothing goes, so that half-open ones keep nobody waiting; and when the
//! program is told to stop, none holds it up for long.

use axum::Router;
use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::extract::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use std::collections::VecDeque;
use std::net::SocketAddr;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Notify, watch};
use tokio::task::JoinSet;
use tower::ServiceExt;

/// Most connections open at once: a process may have 1,024 files open unless told otherwise.
const MOST: usize = 500;
/// Time for the head of a request, from when it may begin.
const HEAD: Duration = Duration::from_secs(30);
/// Time for requests under way to end once the program is told to stop.
const DRAIN: Duration = Duration::from_secs(7);
/// A pause after a connection could not be taken in, such as when no file handle is left.
const BREATH: Duration = Duration::from_millis(20);

/// A connection.
#[derive(Debug, Default)]
struct Phone {
    /// Requests of it that are being answered.
    asks: AtomicUsize,
    /// Rings when it is to go.
    cut: Notify,
}

/// The connections that are open, oldest first.
#[derive(Debug, Clone, Default)]
struct Open(Arc<Mutex<VecDeque<Arc<Phone>>>>);

impl Open {
    fn with<T>(&self, look: impl FnOnce(&mut VecDeque<Arc<Phone>>) -> T) -> T {
        look(&mut self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Makes room for one more: the oldest that asks for nothing goes. `false`: all of them ask.
    fn make_room(&self) -> bool {
        self.with(|open| {
            if open.len() < MOST {
                return true;
            }
            Self::cut_oldest(open)
        })
    }

    /// Cuts the oldest connection that asks for nothing.
    fn cut_oldest(open: &mut VecDeque<Arc<Phone>>) -> bool {
        let idle = open.iter().position(|p| p.asks.load(Ordering::SeqCst) == 0);
        let Some(phone) = idle.and_then(|place| open.remove(place)) else {
            return false;
        };
        phone.cut.notify_one();
        true
    }

    fn leave(&self, phone: &Arc<Phone>) {
        self.with(|open| open.retain(|other| !Arc::ptr_eq(other, phone)));
    }
}

/// Takes connections in until `told` resolves; then lets requests under way end, for a while.
pub(crate) async fn serve(listener: TcpListener, router: Router, told: impl Future<Output = ()>) {
    let open = Open::default();
    let (closing, closed) = watch::channel(false);
    let mut phones = JoinSet::new();
    tokio::pin!(told);
    loop {
        let taken = tokio::select! {
            taken = listener.accept() => taken,
            () = &mut told => break,
            Some(_) = phones.join_next() => continue,
        };
        match taken {
            Ok((stream, from)) if open.make_room() => {
                let phone = Arc::new(Phone::default());
                open.with(|all| all.push_back(Arc::clone(&phone)));
                let (router, open, closed) = (router.clone(), open.clone(), closed.clone());
                phones.spawn(async move {
                    answer(stream, from, router, &phone, closed).await;
                    open.leave(&phone);
                });
            }
            Ok(_) => tracing::warn!("{MOST} requests are under way: a connection was turned away"),
            Err(error) => {
                open.with(Open::cut_oldest);
                tracing::warn!(%error, "a connection could not be taken in");
                tokio::time::sleep(BREATH).await;
            }
        }
    }
    drop(listener);
    closing.send_replace(true);
    let ended = async { while phones.join_next().await.is_some() {} };
    if tokio::time::timeout(DRAIN, ended).await.is_err() {
        tracing::warn!("connections that did not end in time were cut");
        phones.shutdown().await;
    }
}

/// Answers a connection until it ends or is cut.
async fn answer(
    stream: TcpStream,
    from: SocketAddr,
    router: Router,
    phone: &Arc<Phone>,
    mut closed: watch::Receiver<bool>,
) {
    // Answers are small; a phone need not wait for more of one.
    let _ = stream.set_nodelay(true);
    let asks = Arc::clone(phone);
    let service = service_fn(move |request: hyper::Request<Incoming>| {
        let (router, asks) = (router.clone(), Arc::clone(&asks));
        let mut request: Request = request.map(Body::new);
        request.extensions_mut().insert(ConnectInfo(from));
        asks.asks.fetch_add(1, Ordering::SeqCst);
        async move {
            let answer = router.oneshot(request).await;
            asks.asks.fetch_sub(1, Ordering::SeqCst);
            answer
        }
    });
    let line = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD)
        .serve_connection(TokioIo::new(stream), service);
    tokio::pin!(line);
    let mut stopping = false;
    loop {
        tokio::select! {
            // A connection that breaks off is nothing out of the ordinary.
            _ = line.as_mut() => return,
            () = phone.cut.notified() => return,
            _ = closed.wait_for(|closed| *closed), if !stopping => {
                stopping = true;
                line.as_mut().graceful_shutdown();
            }
        }
    }
}
