//! Request ids: the caller's own where it is harmless, else one of ours.

use std::hash::{BuildHasher, RandomState};
use std::sync::atomic::{AtomicU64, Ordering};

use axum::http::HeaderValue;

use crate::app::App;

/// The longest id that is taken over from a caller.
const LONGEST: usize = 64;

/// Makes ids: 64 random bits for the process and a running number, so that making one needs no system call.
#[derive(Debug)]
pub struct RequestIds {
    process: u64,
    next: AtomicU64,
}

impl Default for RequestIds {
    fn default() -> Self {
        // The standard library's hasher keys are the one source of randomness that needs no further crate.
        Self { process: RandomState::new().hash_one(std::process::id()), next: AtomicU64::new(1) }
    }
}

impl RequestIds {
    fn make(&self) -> HeaderValue {
        let number = self.next.fetch_add(1, Ordering::Relaxed);
        HeaderValue::from_str(&format!("{:016x}-{number:x}", self.process)).expect("hexadecimal digits and a hyphen")
    }
}

/// An id of letters, digits, `-`, `_` and `.` only: safe in a header, a log line and a page.
#[derive(Debug, Clone)]
pub struct RequestId(HeaderValue);

impl RequestId {
    /// The caller's id if it is harmless, else a new one.
    pub fn of(given: Option<&HeaderValue>, app: &App) -> Self {
        match given {
            Some(value) if is_harmless(value.as_bytes()) => Self(value.clone()),
            _ => Self(app.request_ids.make()),
        }
    }

    /// As text.
    pub fn as_str(&self) -> &str {
        self.0.to_str().unwrap_or_default()
    }

    /// As the value of a header.
    pub fn header(&self) -> HeaderValue {
        self.0.clone()
    }
}

fn is_harmless(bytes: &[u8]) -> bool {
    (1..=LONGEST).contains(&bytes.len())
        && bytes.iter().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_' | b'.'))
}
