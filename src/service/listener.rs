//! Connections: accepting them, giving each a time limit for its headers, and letting them end in good order.

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// Connections at once; further ones wait in the system's queue.
const CONNECTIONS: usize = 1024;
/// Within this a request's head arrives, counted also for a connection that lies idle between two requests.
const HEAD: Duration = Duration::from_secs(30);
/// After a failed accept (out of file handles, mostly) it makes no sense to try again at once.
const PAUSE: Duration = Duration::from_millis(50);

/// Serves until `stop` is done, then lets requests in progress end within `drain`. True if all did.
pub async fn serve(listener: TcpListener, router: Router, stop: impl Future<Output = ()>, drain: Duration) -> bool {
    let graceful = GracefulShutdown::new();
    let room = Arc::new(Semaphore::new(CONNECTIONS));
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(HEAD);

    tokio::pin!(stop);
    loop {
        tokio::select! {
            () = &mut stop => break,
            (stream, permit) = accept(&listener, &room) => {
                let service = TowerToHyperService::new(router.clone());
                let connection = graceful.watch(http.serve_connection(TokioIo::new(stream), service));
                tokio::spawn(async move {
                    let _held = permit;
                    if let Err(error) = connection.await {
                        tracing::debug!(%error, "a connection ended early");
                    }
                });
            }
        }
    }
    drop(listener);
    tokio::time::timeout(drain, graceful.shutdown()).await.is_ok()
}

async fn accept(listener: &TcpListener, room: &Arc<Semaphore>) -> (TcpStream, OwnedSemaphorePermit) {
    let permit = room.clone().acquire_owned().await.expect("the semaphore is never closed");
    loop {
        match listener.accept().await {
            Ok((stream, _)) => {
                // Answers are written whole, so there is nothing to gather; waiting would only delay them.
                let _ = stream.set_nodelay(true);
                return (stream, permit);
            }
            Err(error) => {
                tracing::warn!(%error, "a connection could not be accepted");
                tokio::time::sleep(PAUSE).await;
            }
        }
    }
}
