//! Whose things a request is about, and whether it may ask for them. The one place that says so: keys come in here.

use std::net::IpAddr;

use axum::http::{HeaderMap, HeaderName, Uri, header};

use crate::app::App;
use crate::key::{Key, Scope};
use crate::problem::{self, Problem};
use crate::store::{clock, keys};

/// A studio: the owner of what is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StudioId(i64);

impl StudioId {
    /// The one that is there from the start.
    pub const DEFAULT: Self = Self(1);

    /// The one with this number.
    pub const fn numbered(number: i64) -> Self {
        Self(number)
    }

    /// Its number in the store.
    pub const fn number(self) -> i64 {
        self.0
    }
}

const FORWARDED: [HeaderName; 5] = [
    HeaderName::from_static("forwarded"),
    HeaderName::from_static("via"),
    HeaderName::from_static("x-real-ip"),
    HeaderName::from_static("x-forwarded-for"),
    HeaderName::from_static("x-forwarded-host"),
];

/// The studio whose tables anybody may read.
pub fn reading_tables() -> StudioId {
    StudioId::DEFAULT
}

/// What a request is about to do with a studio's things.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wish {
    /// Look at them.
    Read,
    /// Change them.
    Write,
}

/// The studio whose own things this request may see, or change.
///
/// A key says which one. Without a key whoever is on this machine is the default studio. That trust is for requests which
/// come straight: a page of another origin that is open in somebody's browser, or a proxy that lets others in, is not on
/// this machine.
///
/// # Errors
/// Where there is neither, or the key is no good or not enough.
pub async fn studio(app: &App, uri: &Uri, headers: &HeaderMap, wish: Wish) -> Result<StudioId, Problem> {
    match given_key(headers)? {
        Some(key) => studio_of(app, &key, wish).await,
        None => without_key(app, uri, headers),
    }
}

/// The key that a request carries.
fn given_key(headers: &HeaderMap) -> Result<Option<Key>, Problem> {
    let mut values = headers.get_all(header::AUTHORIZATION).iter();
    let Some(value) = values.next() else { return Ok(None) };
    if values.next().is_some() {
        return Err(refused("there are two Authorization headers; send one"));
    }
    let value = value.to_str().unwrap_or_default().trim();
    let (scheme, key) = value.split_once(' ').unwrap_or((value, ""));
    if !scheme.eq_ignore_ascii_case("bearer") {
        return Err(refused("the Authorization header has to be: Bearer KEY"));
    }
    match Key::parse(key.trim()) {
        Some(key) => Ok(Some(key)),
        None => Err(refused("it is no key of this service's, or there is a slip in it; a key begins with evr_")),
    }
}

async fn studio_of(app: &App, key: &Key, wish: Wish) -> Result<StudioId, Problem> {
    let known = keys::get(app.store.readers(), key.prefix()).await?;
    // What is known of a key is told only to whoever has all of it.
    let Some(known) = known.filter(|known| known.hash[..] == key.hash()) else {
        return Err(refused("no studio has this key"));
    };
    if let Some(at) = known.revoked_at {
        return Err(refused(format!("the key {}… was revoked at {at}", known.prefix)));
    }
    if let Some(at) = known.expires_at.filter(|at| *at <= clock::now()) {
        return Err(refused(format!("the key {}… ended at {at}", known.prefix)));
    }
    if wish == Wish::Write && known.scope != Scope::Write.name() {
        let detail = format!("the key {}… is one for reading, and this would change something", known.prefix);
        return Err(Problem::new(problem::KEY_MAY_ONLY_READ, detail));
    }
    Ok(StudioId(known.studio_id))
}

fn without_key(app: &App, uri: &Uri, headers: &HeaderMap) -> Result<StudioId, Problem> {
    let host = headers.get(header::HOST).map(|host| host.to_str().unwrap_or_default());
    let host = host.or(uri.authority().map(|authority| authority.as_str()));
    if let Some(origin) = headers.get(header::ORIGIN) {
        let origin = origin.to_str().unwrap_or_default();
        let own =
            host.is_some_and(|host| origin.split_once("://").is_some_and(|(_, from)| from.eq_ignore_ascii_case(host)));
        if !own {
            return Err(needed(format!("it was sent by a page of {origin:?}")));
        }
    }
    // With --open anybody who reaches the address may use the service, whatever they call it.
    if app.settings.open {
        return Ok(StudioId::DEFAULT);
    }
    if !app.settings.listen.ip().is_loopback() {
        return Err(needed("it carries none, and this service can be reached from other machines".to_owned()));
    }
    if let Some(host) = host.filter(|host| !is_this_machine(host)) {
        return Err(needed(format!("it was sent to {host:?}, which is no name of this machine's own")));
    }
    if let Some(name) = FORWARDED.iter().find(|name| headers.contains_key(*name)) {
        return Err(needed(format!("it was passed on by a proxy (it carries {name})")));
    }
    Ok(StudioId::DEFAULT)
}

/// Whether a `Host` names the loopback address: a page elsewhere can point a name of its own at it.
pub fn is_this_machine(host: &str) -> bool {
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|byte| byte.is_ascii_digit()) => name,
        _ => host,
    };
    let address = name.trim_start_matches('[').trim_end_matches(']');
    name.eq_ignore_ascii_case("localhost") || address.parse::<IpAddr>().is_ok_and(|address| address.is_loopback())
}

fn needed(why: String) -> Problem {
    Problem::new(
        problem::KEY_NEEDED,
        format!("this request needs a key: {why}. Only requests that come straight from this machine go without"),
    )
}

fn refused(why: impl Into<String>) -> Problem {
    Problem::new(problem::KEY_REFUSED, why)
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
