//! Where settings come from: an option, else the environment, else a file, else the default. And what they come to, to be
//! printed without what is secret.

use std::collections::BTreeMap;
use std::fmt;
use std::path::Path;

use clap::parser::ValueSource;
use clap::{ArgMatches, Command};
use toml::Value;

use crate::config::ConfigError;
use crate::store::open::shown;

/// Options that make no sense in a file.
const NOT_IN_A_FILE: [&str; 3] = ["settings", "show_settings", "help"];

/// Settings as a file gives them: each as the option would be written.
pub type Given = BTreeMap<String, String>;

/// Reads a file of settings for the options of `command`.
///
/// # Errors
/// With everything that is wrong with it.
pub fn read(path: &Path, command: &Command) -> Result<Given, ConfigError> {
    let shown = path.display();
    let text = std::fs::read_to_string(path).map_err(|error| ConfigError::new(format!("{shown}: {error}")))?;
    let table: toml::Table = text.parse().map_err(|error| ConfigError::new(format!("{shown}: {error}")))?;
    let known: Vec<&str> =
        command.get_arguments().map(|arg| arg.get_id().as_str()).filter(|id| !NOT_IN_A_FILE.contains(id)).collect();
    let mut given = Given::new();
    let mut wrong = Vec::new();
    for (name, value) in table {
        if !known.contains(&name.as_str()) {
            wrong.push(format!("{name} is no setting; there are {}", known.join(", ")));
            continue;
        }
        match written(&value) {
            Some(text) => drop(given.insert(name, text)),
            None => wrong.push(format!("{name} must be a text, a number, true or false, or a list of these")),
        }
    }
    if wrong.is_empty() { Ok(given) } else { Err(ConfigError::new(format!("{shown}: {}", wrong.join("; ")))) }
}

fn written(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()),
        Value::Integer(number) => Some(number.to_string()),
        Value::Float(number) => Some(number.to_string()),
        Value::Boolean(flag) => Some(flag.to_string()),
        Value::Array(list) => Some(list.iter().map(written).collect::<Option<Vec<_>>>()?.join(",")),
        Value::Datetime(_) | Value::Table(_) => None,
    }
}

/// The same command with what a file gives in the place of its defaults, so that options and environment still win.
pub fn with_defaults(command: Command, given: &Given) -> Command {
    given.iter().fold(command, |command, (name, value)| {
        let value = value.clone();
        command.mut_arg(name, move |arg| arg.default_value(value))
    })
}

/// One setting as it is in force.
struct Entry {
    name: String,
    value: Option<String>,
    from: &'static str,
}

/// All settings as they are in force.
pub struct Effective(Vec<Entry>);

impl Effective {
    /// Of what was read from the command line of `command`.
    pub fn of(command: &Command, matches: &ArgMatches, file: &Given) -> Self {
        let names = command.get_arguments().map(|arg| arg.get_id().as_str()).filter(|id| !NOT_IN_A_FILE.contains(id));
        let entries = names.map(|name| {
            let from = match matches.value_source(name) {
                Some(ValueSource::CommandLine) => "option",
                Some(ValueSource::EnvVariable) => "environment",
                _ if file.contains_key(name) => "file",
                _ => "default",
            };
            let values = matches
                .get_raw(name)
                .map(|values| values.map(|value| value.to_string_lossy().into_owned()).collect::<Vec<_>>().join(","));
            let value = if name == "database" { values.map(|url| shown(&url)) } else { values };
            Entry { name: name.to_owned(), value, from }
        });
        Self(entries.collect())
    }

    /// In one line, for the log.
    pub fn line(&self) -> String {
        let set = self.0.iter().filter_map(|entry| Some((&entry.name, entry.value.as_ref()?)));
        set.map(|(name, value)| format!("{name}={value}")).collect::<Vec<_>>().join(" ")
    }
}

impl fmt::Display for Effective {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "# An option wins over the environment, that over a file like this one, and that over the default."
        )?;
        for Entry { name, value, from } in &self.0 {
            let variable = format!("EVENROUND_{}", name.to_uppercase());
            match value {
                Some(value) => writeln!(f, "{name} = {} # {from}; {variable}", as_toml(value))?,
                None => writeln!(f, "# {name} is not set; {variable}")?,
            }
        }
        Ok(())
    }
}

fn as_toml(value: &str) -> String {
    match value {
        "true" | "false" => value.to_owned(),
        number if !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit()) => number.to_owned(),
        text => Value::String(text.to_owned()).to_string(),
    }
}
