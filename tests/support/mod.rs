//! The router in process, and how to ask it things.

#![allow(dead_code)] // each test binary uses its part

use axum::Router;
use axum::body::Body;
use axum::http::{HeaderMap, Method, Request, StatusCode};
use evenround::access::StudioId;
use evenround::app::{self, App};
use evenround::config::Settings;
use evenround::key::Key;
use evenround::store::Store;
use evenround::store::keys::{self, StoredKey};
use http_body_util::BodyExt;
use serde_json::Value;
use sqlx::Connection;
use std::borrow::Borrow;
use std::sync::LazyLock;
use tokio::runtime::Runtime;
use tower::ServiceExt;

/// The settings of the tests: like the defaults, where a test does not say otherwise.
pub fn settings() -> Settings {
    Settings { listen: ([127, 0, 0, 1], 0).into(), calculations: 2, queue: 8, ..Settings::default() }
}

/// A new database, of the kind that `EVENROUND_TEST_STORE` says: in memory unless it is `postgres`. There it is a schema of
/// its own on the server that `tests/postgres` has started.
pub async fn database() -> String {
    match std::env::var("EVENROUND_TEST_STORE").as_deref() {
        Ok("postgres") => postgres().await.expect("tests/postgres runs tests on PostgreSQL"),
        _ => "sqlite::memory:".to_owned(),
    }
}

/// A new schema on the server that `tests/postgres` has started, where it has.
pub async fn postgres() -> Option<String> {
    let server = std::env::var("EVENROUND_TEST_POSTGRES").ok()?;
    let name = format!("t{}", uuid::Uuid::now_v7().simple());
    let mut connection = sqlx::PgConnection::connect(&server).await.expect("the server answers");
    sqlx::raw_sql(sqlx::AssertSqlSafe(format!("CREATE SCHEMA {name}"))).execute(&mut connection).await.unwrap();
    connection.close().await.unwrap();
    Some(format!("{server}?options=-c%20search_path%3D{name}"))
}

/// The parts with a database of their own.
pub async fn app_with(settings: Settings) -> App {
    App::new(settings, Store::open(&database().await).await.unwrap())
}

/// A key of the default studio's with this scope.
pub async fn key(app: &App, scope: &str) -> String {
    key_of(app, "default", scope, None).await
}

/// A key of a studio's, which is made where it is missing; with a time at which it ends.
pub async fn key_of(app: &App, studio: &str, scope: &str, expires_at: Option<&str>) -> String {
    let key = Key::generate().unwrap();
    let (prefix, hash, scope) = (key.prefix().to_owned(), key.hash().to_vec(), scope.to_owned());
    let (studio, expires_at) = (studio.to_owned(), expires_at.map(str::to_owned));
    app.store
        .write(StudioId::DEFAULT, move |connection| {
            Box::pin(async move {
                let known = keys::studio_named(&mut *connection, &studio).await?;
                let studio = match known {
                    Some(studio) => studio,
                    None => keys::add_studio(&mut *connection, &studio).await?,
                };
                let stored =
                    StoredKey { prefix, studio_id: studio.number(), hash, scope, expires_at, revoked_at: None };
                Ok(keys::insert(connection, &stored, "a test").await?)
            })
        })
        .await
        .unwrap();
    key.reveal().to_owned()
}

/// The whole service.
pub async fn service() -> Router {
    app::router(&app_with(settings()).await)
}

/// An answer, read to its end.
#[derive(Debug)]
pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }

    pub fn text(&self) -> &str {
        std::str::from_utf8(&self.body).unwrap()
    }

    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|error| panic!("{error}: {}", self.text()))
    }
}

pub async fn send(service: &Router, request: Request<Body>) -> Answer {
    let response = service.clone().oneshot(request).await.unwrap();
    let (parts, body) = response.into_parts();
    let body = body.collect().await.unwrap().to_bytes().to_vec();
    Answer { status: parts.status, headers: parts.headers, body }
}

pub fn request(method: Method, path: &str, headers: &[(&str, &str)], body: impl Into<Body>) -> Request<Body> {
    let mut request = Request::builder().method(method).uri(path);
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    request.body(body.into()).unwrap()
}

pub async fn get(service: &Router, path: &str) -> Answer {
    send(service, request(Method::GET, path, &[], Body::empty())).await
}

pub async fn post(service: &Router, path: &str, headers: &[(&str, &str)], body: impl Into<Body>) -> Answer {
    send(service, request(Method::POST, path, headers, body)).await
}

/// Sends JSON for verification.
pub async fn post_json(service: &Router, body: impl Into<Body>) -> Answer {
    post(service, "/v1/verifications", &[("content-type", "application/json")], body).await
}

const JSON: (&str, &str) = ("content-type", "application/json");

/// Asks a calculation.
pub async fn ask(path: &str, body: &Value) -> Answer {
    post(&service().await, path, &[JSON], body.to_string()).await
}

/// What a calculation answers to a body that fits.
pub async fn answered(path: &str, body: impl Borrow<Value>) -> Value {
    let body = body.borrow();
    let answer = ask(path, body).await;
    assert_eq!(answer.status, StatusCode::OK, "{body}: {}", answer.text());
    answer.json()
}

/// What is wrong with a request: places and words, in order.
async fn refused(path: &str, body: &Value) -> Vec<(String, String)> {
    let answer = ask(path, body).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{body}: {}", answer.text());
    let errors = answer.json()["errors"].as_array().unwrap().clone();
    let text = |error: &Value, name: &str| error[name].as_str().unwrap().to_owned();
    errors.iter().map(|error| (text(error, "pointer"), text(error, "detail"))).collect()
}

/// A body is refused for these reasons and no others: where, and words of what is said there.
pub async fn assert_refused(path: &str, body: impl Borrow<Value>, expected: &[(&str, &str)]) {
    let body = body.borrow();
    let found = refused(path, body).await;
    assert_eq!(found.len(), expected.len(), "{body}: {found:#?}");
    for ((place, detail), (at, what)) in found.iter().zip(expected) {
        assert!(place == at && detail.contains(what), "{body}: {place}: {detail}");
    }
}

/// What is wrong with a request that was refused: places (a parameter of the query with its `?`) and words, in order.
pub fn assert_refused_by(answer: &Answer) -> Vec<(String, String)> {
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", answer.text());
    assert_eq!(answer.header("content-type"), "application/problem+json");
    let errors = answer.json()["errors"].as_array().unwrap().clone();
    let place = |error: &Value| match (error["pointer"].as_str(), error["parameter"].as_str()) {
        (Some(pointer), None) => pointer.to_owned(),
        (None, Some(name)) => format!("?{name}"),
        other => panic!("one of pointer and parameter: {other:?}"),
    };
    errors.iter().map(|error| (place(error), error["detail"].as_str().unwrap().to_owned())).collect()
}

/// Asks a calculation of one service for all generated requests.
pub fn ask_again(path: &str, body: &Value) -> Answer {
    static SERVICE: LazyLock<(Runtime, Router)> = LazyLock::new(|| {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        let service = runtime.block_on(service());
        (runtime, service)
    });
    let (runtime, service) = &*SERVICE;
    runtime.block_on(post(service, path, &[JSON], body.to_string()))
}

/// Whether a value, or one in it, is missing where a number should be.
pub fn has_null(value: &Value) -> bool {
    match value {
        Value::Null => true,
        Value::Array(list) => list.iter().any(has_null),
        Value::Object(map) => map.values().any(has_null),
        _ => false,
    }
}
