//! `evenround serve`: opens the store, listens, says where, and stops in good order.

use std::io::Write;
use std::process::ExitCode;

use tokio::net::TcpListener;
use tokio::signal::unix::{Signal, SignalKind, signal};

use crate::app::{self, App};
use crate::config::{self, ServeOptions};
use crate::listener::{self, Limits};
use crate::settings::Effective;
use crate::store::{Store, keys};
use crate::{demo, rate, telemetry, watched};

/// Runs the service until it is told to stop. `effective` is what the options come to, `variables` are the environment
/// variables that mean something.
pub fn run(options: &ServeOptions, effective: &Effective, variables: &[String]) -> ExitCode {
    match start(options, effective, variables) {
        Ok(code) => code,
        Err(message) => {
            eprintln!("evenround: {message}");
            ExitCode::from(2)
        }
    }
}

fn start(options: &ServeOptions, effective: &Effective, variables: &[String]) -> Result<ExitCode, String> {
    let names = std::env::vars_os().filter_map(|(name, _)| name.into_string().ok());
    config::refuse_unknown_variables(names, variables).map_err(|error| error.to_string())?;
    let settings = options.settings();
    telemetry::start(&options.log, options.log_format)?;
    tracing::info!(target: "evenround::settings", version = env!("CARGO_PKG_VERSION"), settings = effective.line(), "starting");
    let connections = listener::connections_within(settings.connections)?;
    if connections < settings.connections {
        let wanted = settings.connections;
        tracing::warn!(wanted, connections, "the system gives file handles for fewer connections (ulimit -n)");
    }
    let limits = Limits { connections, write_timeout: settings.write_timeout };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|error| format!("no threads to be had: {error}"))?;
    let code = runtime.block_on(async {
        let store = Store::open(&options.database).await.map_err(|error| error.to_string())?;
        if !options.without_demo && !options.database.ends_with("mode=ro") {
            let seeded = demo::collection::seed(&store).await;
            seeded.map_err(|problem| format!("the demo collection could not be kept: {}", problem.detail()))?;
        }
        if settings.needs_keys() {
            let keys =
                keys::alive(store.readers()).await.map_err(|error| format!("the keys cannot be read: {error}"))?;
            settings.guarded(keys).map_err(|error| error.to_string())?;
        }
        let listener = TcpListener::bind(settings.listen)
            .await
            .map_err(|error| format!("cannot listen on {}: {error}", settings.listen))?;
        let figures = match options.metrics {
            Some(address) => {
                let bound = TcpListener::bind(address).await;
                Some(bound.map_err(|error| format!("cannot show figures on {address}: {error}"))?)
            }
            None => None,
        };
        serve(App::new(settings, store), listener, figures, limits).await
    });
    // Calculations that outlived their request are not worth waiting for.
    runtime.shutdown_background();
    code
}

async fn serve(
    app: App,
    listener: TcpListener,
    figures: Option<TcpListener>,
    limits: Limits,
) -> Result<ExitCode, String> {
    let mut signals = Signals::new().map_err(|error| format!("cannot hear signals: {error}"))?;
    let address = listener.local_addr().map_err(|error| error.to_string())?;
    announce(&format!(
        "Evenround listens on http://{address} (what it does: http://{address}/, the reference: http://{address}/docs)"
    ));

    if let Some(figures) = figures {
        let address = figures.local_addr().map_err(|error| error.to_string())?;
        tracing::info!(%address, "figures are at /metrics");
        tokio::spawn(watched::serve(figures, app.clone()));
    }
    if app.rate.is_some() {
        tokio::spawn(tidy(app.clone()));
    }

    let drain = app.settings.drain_timeout;
    let draining = app.clone();
    let stop = async {
        let signal = signals.next().await;
        tracing::info!(signal, "stopping");
        draining.start_draining();
    };
    let all_ended = listener::serve(listener, app::router(&app), limits, &app.metrics, stop, drain).await;
    app.store.close().await;
    if all_ended {
        tracing::info!("stopped");
    } else {
        tracing::warn!(seconds = drain.as_secs_f64(), "stopped with requests still in progress");
    }
    Ok(ExitCode::SUCCESS)
}

/// Forgets, now and then, clients who have not come for a while.
async fn tidy(app: App) {
    loop {
        tokio::time::sleep(rate::TIDY).await;
        if let Some(rate) = &app.rate {
            rate.tidy();
        }
    }
}

/// The one line on standard output, at once even if that is a pipe.
fn announce(line: &str) {
    let mut out = std::io::stdout().lock();
    // Whoever started the service may not care to listen.
    let _ = writeln!(out, "{line}").and_then(|()| out.flush());
}

struct Signals {
    interrupt: Signal,
    terminate: Signal,
}

impl Signals {
    fn new() -> std::io::Result<Self> {
        Ok(Self { interrupt: signal(SignalKind::interrupt())?, terminate: signal(SignalKind::terminate())? })
    }

    async fn next(&mut self) -> &'static str {
        tokio::select! {
            _ = self.interrupt.recv() => "SIGINT",
            _ = self.terminate.recv() => "SIGTERM",
        }
    }
}
