//! The log: structured, on standard error, without any text of a pattern.

use std::panic;

use tracing_subscriber::EnvFilter;

use crate::config::LogFormat;

/// Starts logging.
///
/// # Errors
/// Where the filter makes no sense.
pub fn start(filter: &str, format: LogFormat) -> Result<(), String> {
    let filter =
        EnvFilter::try_new(filter).map_err(|error| format!("the log filter {filter:?} makes no sense: {error}"))?;
    let log = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).with_ansi(false);
    let started = match format {
        LogFormat::Text => log.try_init(),
        LogFormat::Json => log.json().flatten_event(true).try_init(),
    };
    started.map_err(|error| error.to_string())?;
    // The usual message of a panic may quote the text that was being cut, so only the place is logged.
    panic::set_hook(Box::new(|panic| {
        let place = panic.location().map(ToString::to_string).unwrap_or_default();
        tracing::error!(place, "a fault in the program");
    }));
    Ok(())
}
