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

const PAGE: &str = r#"<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Evenround: the reference</title>
<link rel="icon" href="/icon.svg" type="image/svg+xml">
<link rel="stylesheet" href="swagger-ui.css">
<link rel="stylesheet" href="index.css">
</head>
<body>
<div id="swagger-ui"></div>
<script src="swagger-ui-bundle.js"></script>
<script src="swagger-ui-standalone-preset.js"></script>
<script src="swagger-initializer.js"></script>
</body>
</html>
"#;

static CONFIG: LazyLock<Arc<Config<'static>>> = LazyLock::new(|| {
    let config = Config::from("/openapi.json")
        .validator_url("none")
        .use_base_layout()
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
    Ok((headers("text/html; charset=utf-8"), PAGE).into_response())
}

/// One of its files.
pub async fn file(Path(rest): Path<String>) -> Result<Response, Problem> {
    serve(&rest)
}

fn serve(path: &str) -> Result<Response, Problem> {
    let file = utoipa_swagger_ui::serve(path, CONFIG.clone())
        .map_err(|error| Problem::new(problem::INTERNAL_ERROR, format!("the page could not be put together: {error}")))?
        .ok_or_else(|| Problem::new(problem::NOT_FOUND, "the page has no such file"))?;
    Ok((headers(&file.content_type), file.bytes.into_owned()).into_response())
}

fn headers(media_type: &str) -> [(HeaderName, HeaderValue); 3] {
    let media_type = HeaderValue::from_str(media_type);
    [
        (header::CONTENT_TYPE, media_type.unwrap_or(HeaderValue::from_static("application/octet-stream"))),
        (header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY)),
        (header::CACHE_CONTROL, HeaderValue::from_static("public, max-age=3600")),
    ]
}
