//! One file a resource. The list in [`all`] gives both the router and the OpenAPI document.

pub mod batch;
pub mod body_sizes;
pub mod changes;
pub mod checkpoints;
pub mod counts;
pub mod designs;
pub mod docs;
pub mod embed;
pub mod gauge_conversions;
pub mod gauges;
pub mod gradings;
pub mod health;
pub mod hooks;
pub mod lengthenings;
pub mod oembed;
pub mod openapi;
pub mod page;
pub mod pattern;
pub mod pictures;
pub mod problems;
pub mod published;
pub mod reports;
pub mod revisions;
pub mod rules;
pub mod stitches;
pub mod substitutions;
pub mod verifications;
pub mod yardages;
pub mod yarn_weights;
pub mod yarns;

use axum::Router;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, Uri};
use axum::routing::get;
use utoipa::OpenApi;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::app::App;
use crate::document::Document;

/// Every documented route, with the document that describes them.
pub fn all() -> OpenApiRouter<App> {
    OpenApiRouter::with_openapi(Document::openapi())
        .routes(routes!(verifications::post))
        .routes(routes!(batch::post))
        .routes(routes!(body_sizes::list))
        .routes(routes!(yarn_weights::list))
        .routes(routes!(hooks::list))
        .routes(routes!(stitches::list))
        .routes(routes!(yarns::list, yarns::post))
        .routes(routes!(yarns::get, yarns::put, yarns::delete))
        .routes(routes!(designs::list, designs::post))
        .routes(routes!(designs::get, designs::put, designs::delete))
        .routes(routes!(revisions::list))
        .routes(routes!(revisions::get))
        .routes(routes!(revisions::restore))
        .routes(routes!(changes::get))
        .routes(routes!(reports::list, reports::post))
        .routes(routes!(reports::delete))
        .routes(routes!(published::publish))
        .routes(routes!(published::unpublish))
        .routes(routes!(published::list))
        .routes(routes!(published::get))
        .routes(routes!(counts::get))
        .routes(routes!(counts::embed))
        .routes(routes!(pattern::get))
        .routes(routes!(pictures::chart))
        .routes(routes!(pictures::schematic))
        .routes(routes!(embed::script))
        .routes(routes!(oembed::get))
        .routes(routes!(gauges::post))
        .routes(routes!(gauge_conversions::post))
        .routes(routes!(checkpoints::post))
        .routes(routes!(gradings::post))
        .routes(routes!(lengthenings::post))
        .routes(routes!(yardages::post))
        .routes(routes!(substitutions::post))
        .routes(routes!(rules::list))
        .routes(routes!(rules::get))
        .routes(routes!(page::get))
        .routes(routes!(openapi::get))
        .routes(routes!(health::livez))
        .routes(routes!(health::readyz))
        .routes(routes!(problems::get))
}

/// Paths that are served but not in the document: what the pages are made of, and the endings of a documented address.
pub const UNDOCUMENTED: &[&str] = &[
    "/docs",
    "/docs/",
    "/docs/{*rest}",
    "/page.css",
    "/icon.svg",
    "/demo",
    "/embed/{name}",
    "/v1/designs/{id}/counts.json",
    "/v1/designs/{id}/counts.csv",
    "/v1/designs/{id}/counts.html",
    "/v1/designs/{id}/counts.md",
    "/v1/designs/{id}/counts.txt",
];

/// The routes for [`UNDOCUMENTED`].
pub fn undocumented() -> Router<App> {
    let mut router = Router::new().route("/embed/{name}", get(embed::hashed)).route("/demo", get(embed::demo));
    for (ending, form) in counts::ENDINGS {
        let answer = move |State(app): State<App>, Path(id): Path<String>, uri: Uri, headers: HeaderMap| {
            counts::ending(app, id, uri, headers, *form)
        };
        router = router.route(&format!("/v1/designs/{{id}}/counts.{ending}"), get(answer));
    }
    router
        .route("/docs", get(docs::redirect))
        .route("/docs/", get(docs::index))
        .route("/docs/{*rest}", get(docs::file))
        .route("/page.css", get(page::style))
        .route("/icon.svg", get(page::icon))
}
