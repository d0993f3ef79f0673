//! Lists that are read some at a time: where one goes on is said by a cursor, which names the last item rather than a number
//! of items, so that nothing is passed over or told twice while items come and go.

use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::Response;
use serde::Serialize;

use crate::cached;
use crate::calculate::written;
use crate::problem::{Problem, RequestError};
use crate::table;

/// How many items a list gives at once unless asked, and at most.
const USUAL_LIMIT: u32 = 50;
const LARGEST_LIMIT: u32 = 200;

/// What a list is asked for: how many at once, and after which place.
#[derive(Debug, Clone, Copy)]
pub struct Page {
    /// How many.
    pub limit: u32,
    /// After which place, where not from the start.
    pub after: Option<i64>,
}

impl Page {
    /// Reads a query that asks for nothing else; `mark` says which list's cursor it has to be, and in which version.
    ///
    /// # Errors
    /// With everything that is wrong.
    pub fn read(query: &str, mark: &str) -> Result<Self, Problem> {
        let mut errors = Vec::new();
        let [limit, cursor] = table::parameters(query, ["limit", "cursor"], &mut errors);
        let page = Self::of(mark, limit, cursor, &mut errors);
        if errors.is_empty() { Ok(page) } else { Err(Problem::invalid(errors)) }
    }

    /// The same of a query that was read already.
    pub fn of(mark: &str, given: Option<String>, cursor: Option<String>, errors: &mut Vec<RequestError>) -> Self {
        Self { limit: limit(given, errors), after: place(mark, cursor, errors) }
    }

    /// Cuts off the item that was asked for beyond the limit; the last one that stays, where the list goes on.
    pub fn cut<'i, T>(&self, items: &'i mut Vec<T>) -> Option<&'i T> {
        let goes_on = items.len() > self.limit as usize;
        items.truncate(self.limit as usize);
        items.last().filter(|_| goes_on)
    }
}

/// How many items are asked for at once.
pub fn limit(given: Option<String>, errors: &mut Vec<RequestError>) -> u32 {
    let Some(given) = given else { return USUAL_LIMIT };
    given.parse().ok().filter(|limit| (1..=LARGEST_LIMIT).contains(limit)).unwrap_or_else(|| {
        let detail = format!("must be a whole number from 1 to {LARGEST_LIMIT}");
        errors.push(RequestError::parameter("limit", detail));
        USUAL_LIMIT
    })
}

/// The place after which a list goes on.
fn place(mark: &str, given: Option<String>, errors: &mut Vec<RequestError>) -> Option<i64> {
    let given = given?;
    let digits = given.strip_prefix(mark).unwrap_or_default();
    let plain = !digits.is_empty() && digits.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'));
    let place = i64::from_str_radix(digits, 16).ok().filter(|_| plain);
    if place.is_none() {
        wrong_cursor(errors);
    }
    place
}

/// Says that a cursor is none of this list's.
pub fn wrong_cursor(errors: &mut Vec<RequestError>) {
    let detail = "is no cursor of this list; take it from `next`, or leave it out to begin at the start";
    errors.push(RequestError::parameter("cursor", detail));
}

/// The cursor of a place.
pub fn cursor(mark: &str, place: i64) -> String {
    format!("{mark}{place:x}")
}

/// The answer with a list, and with a link to where it goes on.
///
/// # Errors
/// Never with plain data.
pub fn answer(headers: &HeaderMap, list: &impl Serialize, next: Option<&str>) -> Result<Response, Problem> {
    Ok(linked(cached::stored(headers, written(list)?), next))
}

/// An answer with a link to where its list goes on.
pub fn linked(mut response: Response, next: Option<&str>) -> Response {
    if let Some(link) = next.and_then(|next| HeaderValue::from_str(&format!("<{next}>; rel=\"next\"")).ok()) {
        response.headers_mut().insert(header::LINK, link);
    }
    response
}
