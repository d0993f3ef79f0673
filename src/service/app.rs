//! What the handlers share, and the router made of all routes.

use std::ops::Deref;
use std::sync::Arc;

use axum::Router;
use axum::middleware;
use tokio::sync::{Semaphore, watch};

use crate::batch;
use crate::calculator::Calculator;
use crate::config::Settings;
use crate::edge::edge;
use crate::memory::Memory;
use crate::metrics::Metrics;
use crate::problem::{self, Problem};
use crate::rate::Rate;
use crate::request_id::RequestIds;
use crate::routes;
use crate::shown::kept::Kept;
use crate::store::Store;

/// What the handlers share; a clone is a counted reference.
#[derive(Clone)]
pub struct App(Arc<Shared>);

/// The inside of [`App`].
pub struct Shared {
    /// How the service was told to run.
    pub settings: Settings,
    /// The database.
    pub store: Store,
    /// Where calculations take their turn.
    pub calculator: Calculator,
    /// How much of the bodies may be held at once.
    pub memory: Memory,
    /// What was made of published designs.
    pub kept: Kept,
    /// Where request ids come from.
    pub request_ids: RequestIds,
    /// What is counted for whoever runs the service.
    pub metrics: Metrics,
    /// How many requests each client may send, where that is limited.
    pub rate: Option<Rate>,
    /// Batches at once.
    pub streams: Arc<Semaphore>,
    draining: watch::Sender<bool>,
}

impl App {
    /// Puts the parts together.
    pub fn new(settings: Settings, store: Store) -> Self {
        Self(Arc::new(Shared {
            calculator: Calculator::new(settings.calculations, settings.queue),
            memory: Memory::default(),
            kept: Kept::default(),
            request_ids: RequestIds::default(),
            metrics: Metrics::default(),
            rate: settings.rate_limit.map(Rate::new),
            streams: Arc::new(Semaphore::new(batch::MAX_STREAMS)),
            draining: watch::Sender::new(false),
            settings,
            store,
        }))
    }

    /// From here on `/readyz` says that no further requests are wanted.
    pub fn start_draining(&self) {
        self.0.draining.send_replace(true);
    }

    /// Whether the service is stopping.
    pub fn is_draining(&self) -> bool {
        *self.0.draining.borrow()
    }

    /// Becomes true when the service begins to stop.
    pub fn draining(&self) -> watch::Receiver<bool> {
        self.0.draining.subscribe()
    }
}

impl Deref for App {
    type Target = Shared;

    fn deref(&self) -> &Shared {
        &self.0
    }
}

/// Everything that the service answers.
pub fn router(app: &App) -> Router {
    finished(routes::documented().merge(routes::undocumented()), app)
}

/// Puts the fallbacks and the edge around routes. Every route of the service goes through here, and a test may bring its own.
pub fn finished(routes: Router<App>, app: &App) -> Router {
    routes
        .fallback(|| async {
            Problem::new(problem::NOT_FOUND, "nothing is at this address; /docs lists what there is")
        })
        .method_not_allowed_fallback(|| async {
            Problem::new(
                problem::METHOD_NOT_ALLOWED,
                "this address exists, but not with this method; Allow lists those that it takes",
            )
        })
        .layer(middleware::from_fn_with_state(app.clone(), edge))
        .with_state(app.clone())
}
