//! How many requests one client may send: so many a minute, evenly refilled, with the fields that say how many are left.
//!
//! The fields are those of the IETF's draft "RateLimit header fields for HTTP" (draft-ietf-httpapi-ratelimit-headers):
//! `RateLimit-Policy` names the quota and its window, `RateLimit` what is left of it and the seconds until all of it is back.

use std::net::IpAddr;
use std::num::NonZeroU32;
use std::time::Duration;

use axum::http::{HeaderMap, HeaderName, HeaderValue};
use governor::clock::{Clock, DefaultClock};
use governor::middleware::StateInformationMiddleware;
use governor::state::keyed::DefaultKeyedStateStore;
use governor::{Quota, RateLimiter};

use crate::problem::{self, Problem};

/// The quota's name.
const NAME: &str = "requests";
/// Its window in seconds.
const WINDOW: u32 = 60;
/// What was sent by clients who have not come for a while is forgotten so often.
pub const TIDY: Duration = Duration::from_secs(60);

type Limiter = RateLimiter<IpAddr, DefaultKeyedStateStore<IpAddr>, DefaultClock, StateInformationMiddleware>;

/// What each client has left.
pub struct Rate {
    limiter: Limiter,
    clock: DefaultClock,
    quota: NonZeroU32,
    policy: HeaderValue,
}

impl std::fmt::Debug for Rate {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Rate({} a minute)", self.quota)
    }
}

/// The fields of an answer.
#[derive(Debug, Clone)]
pub struct Fields {
    policy: HeaderValue,
    left: HeaderValue,
}

impl Rate {
    /// So many requests a minute.
    pub fn new(quota: NonZeroU32) -> Self {
        let clock = DefaultClock::default();
        Self {
            limiter: RateLimiter::hashmap_with_clock(Quota::per_minute(quota), clock.clone()).with_middleware(),
            clock,
            quota,
            policy: value(format!("\"{NAME}\";q={quota};w={WINDOW}")),
        }
    }

    /// Counts a request: what is left, and the refusal where there was none left; it says when there is one again.
    pub fn count(&self, client: IpAddr) -> (Fields, Option<Problem>) {
        match self.limiter.check_key(&client) {
            Ok(state) => (self.fields(state.remaining_burst_capacity()), None),
            Err(until) => {
                let wait = seconds(until.wait_time_from(self.clock.now()));
                let detail = format!(
                    "this client may send {} requests a minute, and has sent them; the next one is taken in {wait} s",
                    self.quota
                );
                (self.fields(0), Some(Problem::new(problem::TOO_MANY_REQUESTS, detail).retry_after(wait)))
            }
        }
    }

    fn fields(&self, left: u32) -> Fields {
        let missing = u64::from(self.quota.get().saturating_sub(left));
        let full = (missing * u64::from(WINDOW)).div_ceil(u64::from(self.quota.get()));
        Fields { policy: self.policy.clone(), left: value(format!("\"{NAME}\";r={left};t={full}")) }
    }

    /// Forgets clients who have all of their quota again.
    pub fn tidy(&self) {
        self.limiter.retain_recent();
        self.limiter.shrink_to_fit();
    }
}

impl Fields {
    /// Puts them on an answer.
    pub fn put(self, headers: &mut HeaderMap) {
        headers.insert(HeaderName::from_static("ratelimit-policy"), self.policy);
        headers.insert(HeaderName::from_static("ratelimit"), self.left);
    }
}

fn seconds(wait: Duration) -> u32 {
    u32::try_from(wait.as_millis().div_ceil(1000)).unwrap_or(u32::MAX).max(1)
}

fn value(text: String) -> HeaderValue {
    HeaderValue::from_str(&text).expect("letters, digits and marks of ASCII")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(fields: Fields) -> [String; 2] {
        let mut headers = HeaderMap::new();
        fields.put(&mut headers);
        ["ratelimit-policy", "ratelimit"].map(|name| headers[name].to_str().unwrap().to_owned())
    }

    #[test]
    fn each_client_has_a_quota_of_its_own_that_is_told() {
        let rate = Rate::new(NonZeroU32::new(3).unwrap());
        let [one, other] = ["192.0.2.1", "192.0.2.2"].map(|address| address.parse().unwrap());
        for left in [2, 1, 0] {
            let [policy, field] = shown(rate.count(one).0);
            assert_eq!(policy, "\"requests\";q=3;w=60");
            assert_eq!(field, format!("\"requests\";r={left};t={}", (3 - left) * 20));
        }
        let (fields, refusal) = rate.count(one);
        let refusal = refusal.unwrap();
        assert_eq!(shown(fields)[1], "\"requests\";r=0;t=60");
        assert_eq!(refusal.kind().name, "too-many-requests");
        assert!(
            refusal.detail().contains("3 requests a minute") && refusal.detail().contains("in 20 s"),
            "{refusal:?}"
        );
        assert!(rate.count(other).1.is_none());
        rate.tidy();
        assert!(rate.count(one).1.is_some(), "tidying forgets nobody who has something to wait for");
    }
}
