//! The binary; everything is in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    evenround::cli::main(std::env::args_os())
}
