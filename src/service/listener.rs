//! Connections: accepting them, giving each its time limits, making room where there are too many, and letting them end in
//! good order.

use std::convert::Infallible;
use std::net::IpAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::task::{Context, Poll};
use std::time::{Duration, Instant};

use axum::Router;
use axum::body::{Body, Bytes, HttpBody};
use axum::extract::Request;
use hyper::body::{Frame, Incoming, SizeHint};
use hyper::server::conn::http1;
use hyper::service::{Service, service_fn};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::oneshot;
use tokio_io_timeout::TimeoutStream;

use crate::client::Peer;
use crate::metrics::Metrics;

/// Within this a request's head arrives, counted also for a connection that lies idle between two requests.
const HEAD: Duration = Duration::from_secs(30);
/// After a failed accept (out of file handles, mostly) it makes no sense to try again at once.
const PAUSE: Duration = Duration::from_millis(50);
/// Handles that are not for connections: the database, the log, the listeners.
const OTHER_HANDLES: u64 = 64;

/// What connections may do.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Connections at once.
    pub connections: usize,
    /// Within this a client takes in some of what is written to it.
    pub write_timeout: Duration,
}

/// As many connections as are wanted and as the system gives handles for.
///
/// # Errors
/// Where there are not handles enough for a single one.
pub fn connections_within(wanted: usize) -> Result<usize, String> {
    let needed = wanted as u64 + OTHER_HANDLES;
    // What the system grants without being asked is often little; more is there for the asking, up to a second limit.
    let granted =
        rlimit::increase_nofile_limit(needed).map_err(|error| format!("cannot ask for file handles: {error}"))?;
    match usize::try_from(granted.saturating_sub(OTHER_HANDLES)).unwrap_or(usize::MAX).min(wanted) {
        0 => Err(format!("{granted} file handles are too few to take connections; allow more (ulimit -n)")),
        enough => Ok(enough),
    }
}

/// Serves until `stop` is done, then lets requests in progress end within `drain`. True if all did.
pub async fn serve(
    listener: TcpListener,
    router: Router,
    limits: Limits,
    metrics: &Metrics,
    stop: impl Future<Output = ()>,
    drain: Duration,
) -> bool {
    let graceful = GracefulShutdown::new();
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(HEAD);
    let mut open = Open { started: Instant::now(), most: limits.connections, all: Vec::new() };

    tokio::pin!(stop);
    loop {
        tokio::select! {
            () = &mut stop => break,
            (stream, peer) = next(&listener, &mut open, metrics) => {
                let (activity, put_out) = open.add();
                let mut stream = TimeoutStream::new(stream);
                stream.set_write_timeout(Some(limits.write_timeout));
                let router = TowerToHyperService::new(router.clone());
                let service = service_fn(move |mut request: Request<Incoming>| {
                    let at_work = AtWork::begin(&activity);
                    request.extensions_mut().insert(Peer(peer));
                    let answer = router.call(request);
                    async move { Ok::<_, Infallible>(answer.await?.map(|body| Answer { body, _at_work: at_work })) }
                });
                let connection = graceful.watch(http.serve_connection(TokioIo::new(Box::pin(stream)), service));
                let counted = metrics.connected();
                tokio::spawn(async move {
                    let _counted = counted;
                    tokio::select! {
                        outcome = connection => {
                            if let Err(error) = outcome {
                                tracing::debug!(%error, "a connection ended early");
                            }
                        }
                        Ok(()) = put_out => tracing::debug!("an idle connection made room for another"),
                    }
                });
            }
        }
    }
    drop(listener);
    tokio::time::timeout(drain, graceful.shutdown()).await.is_ok()
}

/// The next connection, and room for it.
async fn next(listener: &TcpListener, open: &mut Open, metrics: &Metrics) -> (TcpStream, IpAddr) {
    let connection = accept(listener).await;
    loop {
        match open.make_room() {
            Room::Free => return connection,
            Room::Made => metrics.put_out(),
            // All are at work, and end within their deadlines.
            Room::None => tokio::time::sleep(PAUSE).await,
        }
    }
}

async fn accept(listener: &TcpListener) -> (TcpStream, IpAddr) {
    loop {
        match listener.accept().await {
            Ok((stream, peer)) => {
                // Answers are written whole, so there is nothing to gather; waiting would only delay them.
                let _ = stream.set_nodelay(true);
                return (stream, peer.ip());
            }
            Err(error) => {
                tracing::warn!(%error, "a connection could not be accepted");
                tokio::time::sleep(PAUSE).await;
            }
        }
    }
}

/// What a connection is doing.
#[derive(Debug)]
struct Activity {
    started: Instant,
    /// Requests that are being answered.
    requests: AtomicUsize,
    /// When it was opened or the last of them was done, in milliseconds since the start.
    idle_since: AtomicU64,
}

/// A connection from afar.
struct Entry {
    activity: Arc<Activity>,
    put_out: oneshot::Sender<()>,
}

/// All connections that are open.
struct Open {
    started: Instant,
    most: usize,
    /// With some that have ended meanwhile; these go when room is wanted.
    all: Vec<Entry>,
}

/// Whether there is room for another connection.
#[derive(Debug, PartialEq, Eq)]
enum Room {
    Free,
    /// The connection that had lain idle for the longest was closed.
    Made,
    /// None of them is idle.
    None,
}

impl Open {
    fn make_room(&mut self) -> Room {
        if self.all.len() < self.most {
            return Room::Free;
        }
        self.all.retain(|entry| !entry.put_out.is_closed());
        if self.all.len() < self.most {
            return Room::Free;
        }
        let idle =
            self.all.iter().enumerate().filter(|(_, entry)| entry.activity.requests.load(Ordering::Relaxed) == 0);
        let Some((longest, _)) = idle.min_by_key(|(_, entry)| entry.activity.idle_since.load(Ordering::Relaxed)) else {
            return Room::None;
        };
        let _ = self.all.swap_remove(longest).put_out.send(());
        Room::Made
    }

    fn add(&mut self) -> (Arc<Activity>, oneshot::Receiver<()>) {
        let (put_out, is_put_out) = oneshot::channel();
        let activity = Activity { started: self.started, requests: AtomicUsize::new(0), idle_since: AtomicU64::new(0) };
        activity.rest();
        let activity = Arc::new(activity);
        self.all.push(Entry { activity: activity.clone(), put_out });
        (activity, is_put_out)
    }
}

impl Activity {
    fn rest(&self) {
        let millis = u64::try_from(self.started.elapsed().as_millis()).unwrap_or(u64::MAX);
        self.idle_since.store(millis, Ordering::Relaxed);
    }
}

/// A request, from its head to the end of its answer.
struct AtWork(Arc<Activity>);

impl AtWork {
    fn begin(activity: &Arc<Activity>) -> Self {
        activity.requests.fetch_add(1, Ordering::Relaxed);
        Self(activity.clone())
    }
}

impl Drop for AtWork {
    fn drop(&mut self) {
        self.0.rest();
        self.0.requests.fetch_sub(1, Ordering::Relaxed);
    }
}

/// The body of an answer; as long as it is written the connection is at work.
struct Answer {
    body: Body,
    _at_work: AtWork,
}

impl HttpBody for Answer {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        Pin::new(&mut self.body).poll_frame(cx)
    }

    fn is_end_stream(&self) -> bool {
        self.body.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.body.size_hint()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_connection_that_lay_idle_for_the_longest_makes_room() {
        let mut open = Open { started: Instant::now(), most: 3, all: Vec::new() };
        let mut connections: Vec<_> = (0..3).map(|_| open.add()).collect();
        assert_eq!(open.make_room(), Room::Made, "all of them are idle");
        assert_eq!(open.make_room(), Room::Free);
        let gone = connections.iter_mut().position(|(_, put_out)| put_out.try_recv().is_ok()).unwrap();
        connections.remove(gone);
        connections.push(open.add());

        for (at, (activity, _)) in connections.iter().enumerate() {
            activity.idle_since.store([30, 10, 20][at], Ordering::Relaxed);
        }
        let working = AtWork::begin(&connections[1].0);
        assert_eq!(open.make_room(), Room::Made);
        let put_out: Vec<bool> = connections.iter_mut().map(|(_, put_out)| put_out.try_recv().is_ok()).collect();
        assert_eq!(put_out, [false, false, true], "the one at work stays, though it has been there for the longest");

        drop(connections.pop());
        connections.push(open.add());
        let all_working: Vec<_> = connections.iter().map(|(activity, _)| AtWork::begin(activity)).collect();
        assert_eq!(open.make_room(), Room::None);
        drop((working, all_working));
        drop(connections.pop());
        assert_eq!(open.make_room(), Room::Free, "one has ended by itself");
    }
}
