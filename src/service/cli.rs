//! The command line.

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{ArgMatches, CommandFactory, FromArgMatches, Parser, Subcommand};

use crate::config::{ConfigError, ServeOptions};
use crate::healthcheck::HealthcheckOptions;
use crate::keep_command::{BackupOptions, ExportOptions, ImportOptions, KeyCommand, RestoreOptions};
use crate::settings::{self, Effective, Given};
use crate::verify_command::VerifyOptions;
use crate::{healthcheck, keep_command, serve, verify_command};

/// The arithmetic behind a crochet pattern: every row worked and counted, in every size.
#[derive(Debug, Parser)]
#[command(
    name = "evenround",
    version,
    args_conflicts_with_subcommands = true,
    after_help = "With no command, it serves."
)]
struct Cli {
    #[command(subcommand)]
    command: Option<Command>,

    #[command(flatten)]
    serve: ServeOptions,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Answer over HTTP
    Serve(ServeOptions),
    /// Verify written patterns, files or whole folders of them; exits with 0 if all hold, 1 if one does not, 2 if one could not
    /// be verified
    Verify(VerifyOptions),
    /// Make, list and revoke the keys that stand for studios
    #[command(subcommand)]
    Key(KeyCommand),
    /// Copy an SQLite database to a file, while the service runs or not
    Backup(BackupOptions),
    /// Put a backup in the place of a database that is not there
    Restore(RestoreOptions),
    /// Write all that is kept as JSON lines, which either database takes in
    Export(ExportOptions),
    /// Take in what was exported: all of it, or nothing
    Import(ImportOptions),
    /// Ask the service on this machine whether it is ready; exits with 0 if it is
    Healthcheck(HealthcheckOptions),
}

/// Reads the command line and does what it says.
pub fn main(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    let matches = Cli::command().get_matches_from(&arguments);
    let cli = Cli::from_arg_matches(&matches).unwrap_or_else(|error| error.exit());
    match cli.command {
        None => serve_with(&cli.serve, &arguments),
        Some(Command::Serve(options)) => serve_with(&options, &arguments),
        Some(Command::Verify(options)) => verify_command::run(&options),
        Some(Command::Key(command)) => keep_command::key(&command),
        Some(Command::Backup(options)) => keep_command::back_up(&options),
        Some(Command::Restore(options)) => keep_command::restore(&options),
        Some(Command::Export(options)) => keep_command::export(&options),
        Some(Command::Import(options)) => keep_command::import(&options),
        Some(Command::Healthcheck(options)) => healthcheck::run(&options),
    }
}

/// Serves, with what a file of settings adds to the options.
fn serve_with(options: &ServeOptions, arguments: &[OsString]) -> ExitCode {
    match settled(options, arguments) {
        Ok((options, effective)) if options.show_settings => {
            print!("{effective}");
            ExitCode::SUCCESS
        }
        Ok((options, effective)) => serve::run(&options, &effective, &variables()),
        Err(error) => {
            eprintln!("evenround: {error}");
            ExitCode::from(2)
        }
    }
}

/// The options once more, with a file's settings as their defaults.
fn settled(options: &ServeOptions, arguments: &[OsString]) -> Result<(ServeOptions, Effective), ConfigError> {
    let root = Cli::command();
    let file = match &options.settings {
        Some(path) => settings::read(path, &root)?,
        None => Given::new(),
    };
    let command = settings::with_defaults(root.clone(), &file)
        .mut_subcommand("serve", |serve| settings::with_defaults(serve, &file));
    let matches = command.get_matches_from(arguments);
    let own: &ArgMatches = matches.subcommand_matches("serve").unwrap_or(&matches);
    let options = ServeOptions::from_arg_matches(own).unwrap_or_else(|error| error.exit());
    Ok((options, Effective::of(&root, own, &file)))
}

/// The environment variables that mean something.
fn variables() -> Vec<String> {
    let command = Cli::command();
    command
        .get_arguments()
        .filter_map(|argument| argument.get_env())
        .map(|name| name.to_string_lossy().into_owned())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_line_is_consistent() {
        Cli::command().debug_assert();
    }

    #[test]
    fn every_option_of_serve_has_a_variable_named_like_it() {
        let command = Cli::command();
        let serve = command.find_subcommand("serve").unwrap();
        let options: Vec<_> = serve.get_arguments().filter(|argument| argument.get_id() != "help").collect();
        assert!(options.len() >= 10);
        for option in options {
            let expected = format!("EVENROUND_{}", option.get_id().as_str().to_uppercase());
            assert_eq!(option.get_env().and_then(|name| name.to_str()), Some(expected.as_str()), "{}", option.get_id());
        }
    }
}
