//! The time as it is stored: RFC 3339 in UTC to the millisecond, so that texts compare as times do. It is this machine's,
//! because the two databases tell theirs in different ways.

use std::time::Duration;

use jiff::Timestamp;

/// Now.
pub fn now() -> String {
    written(Timestamp::now())
}

/// As long ago, or the beginning of all time.
pub fn ago(time: Duration) -> String {
    let before = jiff::SignedDuration::try_from(time).ok().and_then(|time| Timestamp::now().checked_sub(time).ok());
    written(before.unwrap_or(Timestamp::UNIX_EPOCH))
}

/// A time as it is stored.
pub fn written(time: Timestamp) -> String {
    format!("{time:.3}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_written_with_its_milliseconds_so_that_it_sorts() {
        assert_eq!(written(Timestamp::UNIX_EPOCH), "1970-01-01T00:00:00.000Z");
        let now = now();
        assert!(now.len() == 24 && now.ends_with('Z') && ago(Duration::from_secs(1)) < now, "{now}");
        assert_eq!(ago(Duration::MAX), "1970-01-01T00:00:00.000Z");
    }
}
