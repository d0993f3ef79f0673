//! The router in process, and how to ask it things.

#![allow(dead_code)] // each test binary uses its part

use axum::Router;
use axum::body::Body;
use axum::http::{HeaderMap, Method, Request, StatusCode};
use evenround::app::{self, App};
use evenround::config::Settings;
use evenround::store::Store;
use http_body_util::BodyExt;
use serde_json::Value;
use std::time::Duration;
use tower::ServiceExt;

/// The settings of the tests: like the defaults, where a test does not say otherwise.
pub fn settings() -> Settings {
    Settings {
        listen: ([127, 0, 0, 1], 0).into(),
        calculations: 2,
        queue: 8,
        request_timeout: Duration::from_secs(30),
        body_timeout: Duration::from_secs(20),
        drain_timeout: Duration::from_secs(5),
    }
}

/// The parts with a database in memory.
pub async fn app_with(settings: Settings) -> App {
    App::new(settings, Store::open("sqlite::memory:").await.unwrap())
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
