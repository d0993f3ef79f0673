//! `evenround healthcheck`: asks the service on this machine whether it is ready, so that an image needs no other program
//! for it.

use std::io::{self, Read, Write};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, TcpStream};
use std::process::ExitCode;
use std::time::Duration;

use clap::Args;

const PATIENCE: Duration = Duration::from_secs(2);

/// Options of `healthcheck`.
#[derive(Debug, Args)]
pub struct HealthcheckOptions {
    /// Address and port that the service was told to listen on
    #[arg(long, env = "EVENROUND_LISTEN", value_name = "ADDRESS", default_value = "127.0.0.1:4646")]
    listen: SocketAddr,
}

/// Asks once; exits with 0 if the service is ready, else with 1 and the reason.
pub fn run(options: &HealthcheckOptions) -> ExitCode {
    match ask(reachable(options.listen)) {
        Ok(answer) if answer.starts_with("HTTP/1.1 200 ") => ExitCode::SUCCESS,
        Ok(answer) => {
            eprintln!("evenround: {}", answer.lines().next().unwrap_or("no answer"));
            ExitCode::FAILURE
        }
        Err(error) => {
            eprintln!("evenround: {}: {error}", options.listen);
            ExitCode::FAILURE
        }
    }
}

/// "Every address of this machine" is one to listen on, not one to call.
fn reachable(listen: SocketAddr) -> SocketAddr {
    let address = match listen.ip() {
        IpAddr::V4(address) if address.is_unspecified() => Ipv4Addr::LOCALHOST.into(),
        IpAddr::V6(address) if address.is_unspecified() => Ipv6Addr::LOCALHOST.into(),
        address => address,
    };
    SocketAddr::new(address, listen.port())
}

fn ask(address: SocketAddr) -> io::Result<String> {
    let mut stream = TcpStream::connect_timeout(&address, PATIENCE)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.write_all(format!("GET /readyz HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").as_bytes())?;
    let mut answer = String::new();
    stream.take(64 * 1024).read_to_string(&mut answer)?;
    Ok(answer)
}
