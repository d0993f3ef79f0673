//! Keeping something new: done once however often it is sent, answered with where it is.

use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::Response;
use futures_util::future::BoxFuture;

use crate::access::StudioId;
use crate::app::App;
use crate::cached;
use crate::problem::{self, Problem};
use crate::store::Connection;
use crate::store::idempotency::{Earlier, Kept, Key};

/// Keeps what `insert` inserts, unless `key` says that it was kept before, and answers 201.
///
/// # Errors
/// Where the key came with another body, and what `insert` refuses.
pub async fn created(
    app: &App,
    studio: StudioId,
    key: Option<Key>,
    insert: impl for<'c> FnOnce(&'c mut Connection) -> BoxFuture<'c, Result<Kept, Problem>> + Send + 'static,
) -> Result<Response, Problem> {
    let write = app.store.write(studio, move |connection| {
        Box::pin(async move {
            let Some(key) = key else { return insert(connection).await };
            match key.earlier(connection, studio).await? {
                Earlier::Nothing => {}
                Earlier::Same(kept) => return Ok(kept),
                Earlier::Other => return Err(used_key()),
            }
            let kept = insert(connection).await?;
            key.keep(connection, studio, &kept).await?;
            Ok(kept)
        })
    });
    let kept = write.await?;
    let mut response = cached::stored(&HeaderMap::new(), kept.body);
    *response.status_mut() = StatusCode::from_u16(kept.status).unwrap_or(StatusCode::CREATED);
    if let Ok(location) = HeaderValue::from_str(&kept.location) {
        response.headers_mut().insert(header::LOCATION, location);
    }
    Ok(response)
}

fn used_key() -> Problem {
    Problem::new(
        problem::KEY_USED,
        "this Idempotency-Key came with another body before; send that body again, or use a new key",
    )
}
