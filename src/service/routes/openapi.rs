//! `/openapi.json`, the contract for machines.

use std::sync::LazyLock;

use axum::http::header;
use axum::response::IntoResponse;

static DOCUMENT: LazyLock<String> = LazyLock::new(crate::document::text);

/// The contract, as OpenAPI 3.1.
#[utoipa::path(
    get,
    path = "/openapi.json",
    operation_id = "get_openapi",
    tag = "about the service",
    summary = "This document",
    responses((status = 200, description = "The document", body = Object, content_type = "application/json"))
)]
pub async fn get() -> impl IntoResponse {
    ([(header::CONTENT_TYPE, "application/json")], DOCUMENT.as_str())
}
