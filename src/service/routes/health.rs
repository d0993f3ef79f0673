//! `/livez` and `/readyz`, for whoever runs the service.

use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;

use crate::app::App;
use crate::problem::{self, Problem, ProblemDetails};

/// Says that the process answers, and nothing else.
#[utoipa::path(
    get,
    path = "/livez",
    operation_id = "get_liveness",
    tag = "running the service",
    summary = "Whether the process answers",
    responses((status = 200, description = "It does", body = String, content_type = "text/plain", example = json!("alive\n")))
)]
pub async fn livez() -> impl IntoResponse {
    ([(header::CACHE_CONTROL, "no-store")], "alive\n")
}

/// Says whether requests are welcome: the database answers, for reading and for writing, and the service is not stopping.
#[utoipa::path(
    get,
    path = "/readyz",
    operation_id = "get_readiness",
    tag = "running the service",
    summary = "Whether requests are welcome",
    responses(
        (status = 200, description = "They are", body = String, content_type = "text/plain", example = json!("ready\n")),
        (status = 503, description = "Starting, stopping, or without a database", body = ProblemDetails, content_type = "application/problem+json",
            example = json!(crate::document::problem_example(problem::NOT_READY)))
    )
)]
pub async fn readyz(State(app): State<App>) -> Result<impl IntoResponse, Problem> {
    if app.is_draining() {
        return Err(Problem::new(problem::NOT_READY, "the service is stopping"));
    }
    app.store.ping().await.map_err(|why| Problem::new(problem::NOT_READY, why))?;
    Ok(([(header::CACHE_CONTROL, "no-store")], "ready\n"))
}
