//! How the service is told to run, checked before anything is opened.

use std::fmt;
use std::net::SocketAddr;
use std::num::NonZeroU32;
use std::path::PathBuf;
use std::time::Duration;

use clap::{Args, ValueEnum};
use ipnet::IpNet;

/// Options of `serve`, each also an environment variable.
#[derive(Debug, Clone, Args)]
pub struct ServeOptions {
    /// Address and port to listen on; port 0 picks a free one
    #[arg(long, env = "EVENROUND_LISTEN", value_name = "ADDRESS", default_value = "127.0.0.1:4646")]
    pub listen: SocketAddr,

    /// Where to keep things: sqlite:FILE, postgres://USER@HOST/NAME, or sqlite::memory: to keep nothing
    #[arg(long, env = "EVENROUND_DATABASE", value_name = "URL", default_value = "sqlite:evenround.db")]
    pub database: String,

    /// Begin with nothing kept, instead of the demo collection
    #[arg(long, env = "EVENROUND_WITHOUT_DEMO")]
    pub without_demo: bool,

    /// The address under which others reach the service, such as `https://counts.example`
    #[arg(long, env = "EVENROUND_PUBLIC_ADDRESS", value_name = "URL", value_parser = public_address)]
    pub public_address: Option<String>,

    /// Let anybody who reaches the address use the service without a key, as the default studio
    #[arg(long, env = "EVENROUND_OPEN")]
    pub open: bool,

    /// Calculations at once; as many as there are processors unless given
    #[arg(long, env = "EVENROUND_CALCULATIONS", value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub calculations: Option<u16>,

    /// Calculations that may wait for their turn before the service says that it is busy
    #[arg(long, env = "EVENROUND_QUEUE", value_name = "NUMBER", default_value_t = 64)]
    pub queue: u16,

    /// Connections at once; the one that has lain idle for the longest makes room for another
    #[arg(long, env = "EVENROUND_CONNECTIONS", value_name = "NUMBER", default_value = "16384", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub connections: u32,

    /// Requests that one client may send in a minute; without this as many as it likes
    #[arg(long, env = "EVENROUND_RATE_LIMIT", value_name = "NUMBER")]
    pub rate_limit: Option<NonZeroU32>,

    /// Proxies whose word is taken for who asks (X-Forwarded-For): addresses or networks such as 10.0.0.0/8, with commas
    #[arg(long, env = "EVENROUND_TRUSTED_PROXIES", value_name = "ADDRESSES", value_delimiter = ',', value_parser = network)]
    pub trusted_proxies: Vec<IpNet>,

    /// Address and port on which to show figures about the service at /metrics; without this nowhere
    #[arg(long, env = "EVENROUND_METRICS", value_name = "ADDRESS")]
    pub metrics: Option<SocketAddr>,

    /// Seconds within which a request is answered
    #[arg(long, env = "EVENROUND_REQUEST_TIMEOUT", value_name = "SECONDS", default_value = "30", value_parser = seconds)]
    pub request_timeout: Duration,

    /// Seconds within which a body has to arrive
    #[arg(long, env = "EVENROUND_BODY_TIMEOUT", value_name = "SECONDS", default_value = "20", value_parser = seconds)]
    pub body_timeout: Duration,

    /// Seconds within which the next line of a batch has to arrive
    #[arg(long, env = "EVENROUND_LINE_TIMEOUT", value_name = "SECONDS", default_value = "30", value_parser = seconds)]
    pub line_timeout: Duration,

    /// Seconds within which a client takes in some of its answer
    #[arg(long, env = "EVENROUND_WRITE_TIMEOUT", value_name = "SECONDS", default_value = "30", value_parser = seconds)]
    pub write_timeout: Duration,

    /// Seconds that requests in progress are given when the service stops
    #[arg(long, env = "EVENROUND_DRAIN_TIMEOUT", value_name = "SECONDS", default_value = "10", value_parser = seconds)]
    pub drain_timeout: Duration,

    /// A file with settings in TOML, one for each option: line_timeout = 30. Options and the environment win over it
    #[arg(long, env = "EVENROUND_SETTINGS", value_name = "FILE")]
    pub settings: Option<PathBuf>,

    /// Print the settings that would be in force, as such a file, and end
    #[arg(long, env = "EVENROUND_SHOW_SETTINGS")]
    pub show_settings: bool,

    /// What to log: error, warn, info, debug, or a filter such as info,sqlx=debug
    #[arg(long, env = "EVENROUND_LOG", value_name = "FILTER", default_value = "info")]
    pub log: String,

    /// How to write the log
    #[arg(long, env = "EVENROUND_LOG_FORMAT", value_name = "FORMAT", default_value = "text")]
    pub log_format: LogFormat,
}

/// How the log is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LogFormat {
    /// For people.
    Text,
    /// One JSON object a line.
    Json,
}

/// Checked options, in the shape that the service uses.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Where to listen.
    pub listen: SocketAddr,
    /// Under which address others reach it: scheme, host and port, without a slash behind them.
    pub public_address: Option<String>,
    /// Whether anybody who reaches it may use it.
    pub open: bool,
    /// Calculations at once.
    pub calculations: usize,
    /// Calculations that may wait.
    pub queue: usize,
    /// Within this a request is answered.
    pub request_timeout: Duration,
    /// Within this a body arrives.
    pub body_timeout: Duration,
    /// Within this the next line of a batch arrives.
    pub line_timeout: Duration,
    /// Within this a client takes in some of its answer.
    pub write_timeout: Duration,
    /// Within this requests in progress end when the service stops.
    pub drain_timeout: Duration,
    /// Connections at once.
    pub connections: usize,
    /// Requests that one client may send in a minute.
    pub rate_limit: Option<NonZeroU32>,
    /// Proxies whose word is taken for who asks.
    pub trusted_proxies: Vec<IpNet>,
}

/// Why the service does not start with these options, for a person.
#[derive(Debug, PartialEq, Eq)]
pub struct ConfigError(String);

impl fmt::Display for ConfigError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for ConfigError {}

impl ConfigError {
    /// A sentence or more.
    pub fn new(what: String) -> Self {
        Self(what)
    }
}

/// As without any option.
impl Default for Settings {
    fn default() -> Self {
        #[derive(clap::Parser)]
        struct Only {
            #[command(flatten)]
            options: ServeOptions,
        }
        <Only as clap::Parser>::parse_from(["evenround"]).options.settings()
    }
}

impl ServeOptions {
    /// The options in the shape that the service uses.
    pub fn settings(&self) -> Settings {
        let processors = || std::thread::available_parallelism().map_or(1, usize::from);
        Settings {
            listen: self.listen,
            public_address: self.public_address.clone(),
            open: self.open,
            calculations: self.calculations.map_or_else(processors, usize::from),
            queue: usize::from(self.queue),
            request_timeout: self.request_timeout,
            body_timeout: self.body_timeout,
            line_timeout: self.line_timeout,
            write_timeout: self.write_timeout,
            drain_timeout: self.drain_timeout,
            connections: self.connections as usize,
            rate_limit: self.rate_limit,
            trusted_proxies: self.trusted_proxies.clone(),
        }
    }
}

impl Settings {
    /// Whether other machines reach the service, and keys tell callers apart.
    pub fn needs_keys(&self) -> bool {
        !self.listen.ip().is_loopback() && !self.open
    }

    /// Refuses to be reached from other machines with nothing to tell callers apart by; `keys` are those that would be taken.
    ///
    /// # Errors
    /// With what to do.
    pub fn guarded(&self, keys: i64) -> Result<(), ConfigError> {
        if !self.needs_keys() || keys > 0 {
            return Ok(());
        }
        Err(ConfigError(format!(
            "{} can be reached from other machines, and there is no key to tell callers apart. Make one with `evenround \
             key create`, or listen on 127.0.0.1, or say --open if anybody who reaches it may use it",
            self.listen
        )))
    }
}

/// An origin: a scheme and a host, perhaps a port.
fn public_address(text: &str) -> Result<String, String> {
    let url =
        url::Url::parse(text).map_err(|error| format!("must be an address such as https://counts.example: {error}"))?;
    let bare = url.path() == "/" && url.query().is_none() && url.fragment().is_none() && url.username().is_empty();
    if !matches!(url.scheme(), "http" | "https") || url.host_str().is_none() || !bare || url.password().is_some() {
        return Err("must be http:// or https:// and a host, with nothing behind it: https://counts.example".to_owned());
    }
    Ok(url.origin().ascii_serialization())
}

/// One address, or a network of them.
fn network(text: &str) -> Result<IpNet, String> {
    let address = || text.parse::<std::net::IpAddr>().map(IpNet::from);
    text.parse().or_else(|_| address()).map_err(|_| "must be an address, or a network such as 10.0.0.0/8".to_owned())
}

fn seconds(text: &str) -> Result<Duration, String> {
    let seconds: f64 = text.parse().map_err(|_| "must be a number of seconds".to_owned())?;
    if !(0.01..=86_400.0).contains(&seconds) {
        return Err("must be between 0.01 and 86400 seconds".to_owned());
    }
    Ok(Duration::from_secs_f64(seconds))
}

/// Refuses environment variables that start like ours but are not: a misspelt one would otherwise do nothing, silently.
///
/// # Errors
/// With the names.
pub fn refuse_unknown_variables(names: impl Iterator<Item = String>, known: &[String]) -> Result<(), ConfigError> {
    let mut unknown: Vec<String> =
        names.filter(|name| name.starts_with("EVENROUND_") && !known.contains(name)).collect();
    unknown.sort();
    if unknown.is_empty() {
        return Ok(());
    }
    Err(ConfigError(format!("unknown in the environment: {}. Known are {}", unknown.join(", "), known.join(", "))))
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use super::*;

    #[derive(Parser)]
    struct Only {
        #[command(flatten)]
        options: ServeOptions,
    }

    fn settings(arguments: &[&str]) -> Settings {
        Only::parse_from([&["evenround"], arguments].concat()).options.settings()
    }

    #[test]
    fn other_machines_are_let_in_only_on_purpose_or_with_keys() {
        for address in ["0.0.0.0:0", "[::]:0", "192.0.2.7:4646"] {
            let refused = settings(&["--listen", address]).guarded(0).unwrap_err().to_string();
            assert!(refused.contains("--open") && refused.contains("key create"), "{refused}");
            assert!(settings(&["--listen", address]).guarded(1).is_ok());
            assert!(settings(&["--listen", address, "--open"]).guarded(0).is_ok());
        }
        for address in ["127.0.0.1:0", "127.9.9.9:1", "[::1]:0"] {
            assert!(settings(&["--listen", address]).guarded(0).is_ok(), "{address}");
        }
    }

    #[test]
    fn misspelt_variables_are_named() {
        let known = ["EVENROUND_LISTEN".to_owned()];
        let names = |names: &[&str]| names.iter().map(|&name| name.to_owned()).collect::<Vec<_>>().into_iter();
        assert!(refuse_unknown_variables(names(&["PATH", "EVENROUND_LISTEN"]), &known).is_ok());
        let refused = refuse_unknown_variables(names(&["EVENROUND_LISEN"]), &known).unwrap_err().to_string();
        assert!(refused.contains("EVENROUND_LISEN"), "{refused}");
    }

    #[test]
    fn times_are_seconds_in_a_range() {
        assert_eq!(seconds("0.5"), Ok(Duration::from_millis(500)));
        for bad in ["", "soon", "0", "-1", "NaN", "inf", "1e9"] {
            assert!(seconds(bad).is_err(), "{bad}");
        }
    }
}
