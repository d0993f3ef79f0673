//! What was made of a published revision, kept for whoever asks next: a revision never changes, so neither does what is made
//! of it while the program runs.

use std::fmt;

use axum::body::Bytes;
use quick_cache::Weighter;
use quick_cache::sync::Cache;

use crate::app::App;
use crate::problem::Problem;

/// Bytes that are kept at most.
const MOST: u64 = 16 * 1024 * 1024;
/// About how many answers that is.
const ABOUT: usize = 1_024;

/// By length, and a little for the key.
#[derive(Debug, Clone, Copy)]
struct Length;

impl Weighter<String, Bytes> for Length {
    fn weight(&self, key: &String, body: &Bytes) -> u64 {
        (key.len() + body.len() + 64) as u64
    }
}

/// Answers by what they show.
pub struct Kept(Cache<String, Bytes, Length>);

impl Default for Kept {
    fn default() -> Self {
        Self(Cache::with_weighter(ABOUT, MOST, Length))
    }
}

impl fmt::Debug for Kept {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("Kept").field(&self.0.len()).finish()
    }
}

/// The answer of this key, made when its turn comes unless it is kept.
///
/// # Errors
/// As `work`, whose refusals are not kept.
pub async fn kept(
    app: &App,
    key: String,
    work: impl FnOnce() -> Result<Vec<u8>, Problem> + Send + 'static,
) -> Result<Vec<u8>, Problem> {
    if let Some(body) = app.kept.0.get(&key) {
        return Ok(body.to_vec());
    }
    let body = app.calculator.run_in_turn(work).await??;
    app.kept.0.insert(key, Bytes::from(body.clone()));
    Ok(body)
}
