//! `/openapi.json`, the contract for machines.

use axum::http::header;
use axum::response::{IntoResponse, Response};
use tokio::sync::OnceCell;

use crate::calculator::once;
use crate::problem::Problem;

static DOCUMENT: OnceCell<String> = OnceCell::const_new();

/// The contract, as OpenAPI 3.1.
#[utoipa::path(
    get,
    path = "/openapi.json",
    operation_id = "get_openapi",
    tag = "about the service",
    summary = "This document",
    responses((status = 200, description = "The document", body = Object, content_type = "application/json"))
)]
pub async fn get() -> Result<Response, Problem> {
    // Its examples are worked for it, which takes a tenth of a second.
    let document = once(&DOCUMENT, crate::document::text).await?;
    Ok(([(header::CONTENT_TYPE, "application/json")], document.as_str()).into_response())
}
