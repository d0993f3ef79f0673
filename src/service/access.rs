//! Whose things a request is about, and whether it may ask for them. The one place that says so: keys come in here.

use std::net::IpAddr;

use axum::http::{HeaderMap, HeaderName, Uri, header};

use crate::app::App;
use crate::problem::{self, Problem};

/// A studio: the owner of what is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StudioId(i64);

impl StudioId {
    /// The one that is there from the start.
    pub const DEFAULT: Self = Self(1);

    /// The one with this number.
    #[cfg(test)]
    pub const fn numbered(number: i64) -> Self {
        Self(number)
    }

    /// Its number in the store.
    pub const fn number(self) -> i64 {
        self.0
    }
}

const FORWARDED: [HeaderName; 3] = [
    HeaderName::from_static("forwarded"),
    HeaderName::from_static("x-forwarded-for"),
    HeaderName::from_static("x-forwarded-host"),
];

/// The studio whose tables anybody may read.
pub fn reading_tables() -> StudioId {
    StudioId::DEFAULT
}

/// The studio whose own things this request may see and change.
///
/// Without keys whoever is on this machine is the default studio. That trust is for requests which come straight: a page of
/// another origin that is open in somebody's browser, or a proxy that lets others in, is not on this machine.
///
/// # Errors
/// Where the request came by such a way.
pub fn studio(app: &App, uri: &Uri, headers: &HeaderMap) -> Result<StudioId, Problem> {
    let host = headers.get(header::HOST).map(|host| host.to_str().unwrap_or_default());
    let host = host.or(uri.authority().map(|authority| authority.as_str()));
    if let Some(origin) = headers.get(header::ORIGIN) {
        let origin = origin.to_str().unwrap_or_default();
        let own =
            host.is_some_and(|host| origin.split_once("://").is_some_and(|(_, from)| from.eq_ignore_ascii_case(host)));
        if !own {
            return Err(foreign(format!("it was sent by a page of {origin:?}")));
        }
    }
    // With --open anybody who reaches the address may use the service, whatever they call it.
    if app.settings.listen.ip().is_loopback() {
        if let Some(host) = host.filter(|host| !is_this_machine(host)) {
            return Err(foreign(format!("it was sent to {host:?}, which is no name of this machine's own")));
        }
        if let Some(name) = FORWARDED.iter().find(|name| headers.contains_key(*name)) {
            return Err(foreign(format!("it was passed on by a proxy (it carries {name})")));
        }
    }
    Ok(StudioId::DEFAULT)
}

/// Whether a `Host` names the loopback address: a page elsewhere can point a name of its own at it.
fn is_this_machine(host: &str) -> bool {
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|byte| byte.is_ascii_digit()) => name,
        _ => host,
    };
    let address = name.trim_start_matches('[').trim_end_matches(']');
    name.eq_ignore_ascii_case("localhost") || address.parse::<IpAddr>().is_ok_and(|address| address.is_loopback())
}

fn foreign(why: String) -> Problem {
    Problem::new(
        problem::FOREIGN_REQUEST,
        format!("{why}, and what a studio keeps is only for requests that come straight from this machine"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn this_machine_is_known_by_its_addresses_and_its_one_name() {
        for (host, own) in [
            ("127.0.0.1:4646", true),
            ("127.9.9.9", true),
            ("localhost", true),
            ("LOCALHOST:4646", true),
            ("[::1]:4646", true),
            ("[::1]", true),
            ("driftline.example", false),
            ("localhost.driftline.example", false),
            ("127.0.0.1.driftline.example:4646", false),
            ("192.0.2.7:4646", false),
            ("", false),
        ] {
            assert_eq!(is_this_machine(host), own, "{host}");
        }
    }
}
