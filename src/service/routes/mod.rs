//! One file a resource. One list gives both the router ([`documented`]) and the OpenAPI document ([`document()`]).

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
use axum::handler::Handler;
use axum::http::{HeaderMap, Uri};
use axum::routing::{MethodRouter, get};
use utoipa::openapi::OpenApi;
use utoipa::openapi::path::HttpMethod;
use utoipa::{OpenApi as _, Path as _};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::{PathItemExt, routes};

use crate::app::App;
use crate::document::Document;

/// Makes the router and the document of one list. They are made apart, because the document works its examples: that is
/// twenty times as long as the rest of a start, and for nothing unless somebody asks for the document.
macro_rules! listed {
    ($($module:ident :: $handler:ident)+) => {
        /// Every documented route.
        pub fn documented() -> Router<App> {
            utoipa_axum::paste! {
                Router::new()$(.route(
                    &$module::[<__path_ $handler>]::path(),
                    methods($module::[<__path_ $handler>]::methods(), $module::$handler),
                ))+
            }
        }

        /// The document that describes them.
        pub fn document() -> OpenApi {
            OpenApiRouter::<App>::with_openapi(Document::openapi())$(.routes(routes!($module::$handler)))+.into_openapi()
        }
    };
}

fn methods<H: Handler<T, App>, T: 'static>(methods: Vec<HttpMethod>, handler: H) -> MethodRouter<App> {
    let on = |router: MethodRouter<App>, method: HttpMethod| router.on(method.to_method_filter(), handler.clone());
    methods.into_iter().fold(MethodRouter::new(), on)
}

listed! {
    verifications::post
    batch::post
    body_sizes::list
    yarn_weights::list
    hooks::list
    stitches::list
    yarns::list
    yarns::post
    yarns::get
    yarns::put
    yarns::delete
    designs::list
    designs::post
    designs::get
    designs::put
    designs::delete
    revisions::list
    revisions::get
    revisions::restore
    changes::get
    reports::list
    reports::post
    reports::delete
    published::publish
    published::unpublish
    published::list
    published::get
    counts::get
    counts::embed
    pattern::get
    pictures::chart
    pictures::schematic
    embed::script
    oembed::get
    gauges::post
    gauge_conversions::post
    checkpoints::post
    gradings::post
    lengthenings::post
    yardages::post
    substitutions::post
    rules::list
    rules::get
    page::get
    openapi::get
    health::livez
    health::readyz
    problems::get
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
