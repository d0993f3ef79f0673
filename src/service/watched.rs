//! `/metrics` on a listener of its own: what is shown there is for whoever runs the service, not for whoever uses it.

use axum::Router;
use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use axum::routing::get;
use tokio::net::TcpListener;

use crate::app::App;
use crate::listener::{self, Limits};
use crate::metrics::{MEDIA_TYPE, Metrics};

/// Whoever watches needs a few connections at most.
const CONNECTIONS: usize = 16;

/// Shows the figures for as long as the program runs.
pub async fn serve(listener: TcpListener, app: App) {
    let limits = Limits { connections: CONNECTIONS, write_timeout: app.settings.write_timeout };
    // Its own connections are counted apart, and by nobody.
    let own = Metrics::default();
    listener::serve(listener, router(app), limits, &own, std::future::pending(), std::time::Duration::ZERO).await;
}

/// The one address that there is.
pub fn router(app: App) -> Router {
    Router::new().route("/metrics", get(show)).with_state(app)
}

async fn show(State(app): State<App>) -> impl IntoResponse {
    let text = app.metrics.shown(app.calculator.load(), app.memory.taken());
    ([(header::CONTENT_TYPE, MEDIA_TYPE), (header::CACHE_CONTROL, "no-store")], text)
}
