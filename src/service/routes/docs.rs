//! `/docs`: the contract for people, with every file of the page in the binary.

use std::sync::{Arc, LazyLock};

use axum::extract::Path;
use axum::http::{HeaderName, HeaderValue, header};
use axum::response::{IntoResponse, Redirect, Response};
use utoipa_swagger_ui::Config;

use crate::problem::{self, Problem};

/// The page's own files only. Its script sets style attributes, hence the one loose end.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; \
                      font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

static CONFIG: LazyLock<Arc<Config<'static>>> = LazyLock::new(|| {
    let config = Config::from("/openapi.json")
        .validator_url("none")
        .try_it_out_enabled(true)
        .display_operation_id(false);
    Arc::new(config)
});

/// The page's files are addressed relative to it, so it ends with a slash.
pub async fn redirect() -> Redirect {
    Redirect::permanent("/docs/")
}

/// The page.
pub async fn index() -> Result<Response, Problem> {
    serve("index.html")
}

/// One of its files.
pub async fn file(Path(rest): Path<String>) -> Result<Response, Problem> {
    serve(&rest)
}

fn serve(path: &str) -> Result<Response, Problem> {
    let file = utoipa_swagger_ui::serve(path, CONFIG.clone())
        .map_err(|error| {
            Problem::new(
                problem::INTERNAL_ERROR,
                format!("the page could not be put together: {error}"),
            )
        })?
        .ok_or_else(|| Problem::new(problem::NOT_FOUND, "the page has no such file"))?;
    let headers: [(HeaderName, HeaderValue); 3] = [
        (
            header::CONTENT_TYPE,
            HeaderValue::from_str(&file.content_type)
                .unwrap_or(HeaderValue::from_static("application/octet-stream")),
        ),
        (
            header::CONTENT_SECURITY_POLICY,
            HeaderValue::from_static(POLICY),
        ),
        (
            header::CACHE_CONTROL,
            HeaderValue::from_static("public, max-age=3600"),
        ),
    ];
    Ok((headers, file.bytes.into_owned()).into_response())
}
