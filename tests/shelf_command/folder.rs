//! A folder with patterns in it, and the program run there.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};

use serde_json::Value;

/// Holds.
pub const BALL: &str = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nRnd 3: [sc in next st, inc] 6 times. (18)\nRnd 4: [sc in next 2 sts, inc] 6 times. (24)\n";

/// With a printed count that leaves no choice.
pub fn miscounted() -> String {
    BALL.replace("(18)", "(19)")
}

/// With a fault that two single changes would mend.
pub const TWO_WAYS: &str = "Ch 33.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (33)\nRow 2: Ch 1, sc in each st across. (33)\n";

/// Holds, but for a warning.
pub const GAP: &str =
    "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Sc in each st around. (6)\nRnd 4: Sc in each st around. (6)\n";

/// With a clause that nobody can read.
pub const UNREAD: &str =
    "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Frobnicate 3 gubbins in each st around.\nRnd 3: Sc in each st around.\n";

/// A folder of a test's own, gone with it.
pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new() -> Self {
        static NEXT: AtomicUsize = AtomicUsize::new(0);
        let own = format!("evenround-shelf-{}-{}", std::process::id(), NEXT.fetch_add(1, Ordering::Relaxed));
        let path = std::env::temp_dir().join(own);
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    /// With these files in it.
    pub fn of(files: &[(&str, &str)]) -> Self {
        let folder = Self::new();
        for (name, text) in files {
            folder.write(name, text);
        }
        folder
    }

    pub fn path(&self, name: impl AsRef<Path>) -> PathBuf {
        self.0.join(name)
    }

    pub fn write(&self, name: impl AsRef<Path>, text: impl AsRef<[u8]>) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    pub fn read(&self, name: impl AsRef<Path>) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    /// Every name in it, also the hidden ones.
    pub fn names(&self) -> Vec<String> {
        let entries = std::fs::read_dir(&self.0).unwrap();
        let mut names: Vec<String> = entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_evenround"));
        command.arg("verify").args(arguments).current_dir(&self.0).stdin(Stdio::null());
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Run {
        Run(self.command(arguments).output().unwrap())
    }

    pub fn run_with(&self, arguments: &[&str], input: &str) -> Run {
        let mut command = self.command(arguments);
        let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
        Run(child.wait_with_output().unwrap())
    }

    /// The files that are answered, in order.
    pub fn answered(&self, arguments: &[&str]) -> Vec<String> {
        self.run(&[arguments, &["--format=ndjson"]].concat()).files()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// What the program said.
pub struct Run(pub Output);

impl Run {
    pub fn code(&self) -> i32 {
        self.0.status.code().unwrap_or(-1)
    }

    pub fn out(&self) -> String {
        String::from_utf8(self.0.stdout.clone()).unwrap()
    }

    pub fn complaints(&self) -> String {
        String::from_utf8(self.0.stderr.clone()).unwrap()
    }

    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out()).unwrap_or_else(|error| panic!("{error}: {}", self.out()))
    }

    pub fn lines(&self) -> Vec<Value> {
        self.out().lines().map(|line| serde_json::from_str(line).unwrap()).collect()
    }

    pub fn files(&self) -> Vec<String> {
        self.lines().iter().filter_map(|line| Some(line["file"].as_str()?.to_owned())).collect()
    }
}
