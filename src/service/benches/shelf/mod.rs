//! What the benches of the running program share: patterns to verify, and the program itself.

#![allow(dead_code)] // each bench uses its part

use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// xorshift64*: everything that is drawn follows from its seed.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33) as usize % most
    }
}

/// The patterns of the demo shelf that hold.
pub fn shelf() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/holds");
    let mut files: Vec<_> =
        std::fs::read_dir(folder).expect("the shelf").map(|entry| entry.expect("a file").path()).collect();
    files.sort();
    files.iter().map(|file| std::fs::read_to_string(file).expect("a pattern")).collect()
}

/// So many patterns: those of the shelf in turn, every other one with a number that is one more or one less.
pub fn patterns(number: usize) -> Vec<String> {
    let shelf = shelf();
    let mut dice = Dice::new(0x5eed_0000_0000_0001);
    let pattern = |at: usize| {
        let text = &shelf[at / 2 % shelf.len()];
        if at.is_multiple_of(2) { text.clone() } else { slipped(text, &mut dice) }
    };
    (0..number).map(pattern).collect()
}

fn slipped(text: &str, dice: &mut Dice) -> String {
    let digits: Vec<usize> =
        text.bytes().enumerate().filter(|(_, byte)| byte.is_ascii_digit()).map(|(at, _)| at).collect();
    let begins: Vec<usize> = digits.iter().copied().filter(|at| *at == 0 || !digits.contains(&(at - 1))).collect();
    let at = begins[dice.below(begins.len())];
    let end = at + text[at..].bytes().take_while(u8::is_ascii_digit).count();
    let number: u64 = text[at..end].parse().expect("a number");
    let other = if dice.below(2) == 0 { number + 1 } else { number.saturating_sub(1) };
    format!("{}{other}{}", &text[..at], &text[end..])
}

/// The program, serving on a free port; it ends with the bench.
pub struct Server {
    child: Child,
    pub address: SocketAddr,
}

impl Server {
    /// Starts it with these words before its own, such as `taskset`, and these options.
    pub fn start(before: &[&str], options: &[&str]) -> Self {
        let words =
            [before, &[env!("CARGO_BIN_EXE_evenround"), "serve", "--listen", "127.0.0.1:0", "--log", "error"], options]
                .concat();
        let mut child = Command::new(words[0]).args(&words[1..]).stdout(Stdio::piped()).spawn().expect("the program");
        let mut line = String::new();
        BufReader::new(child.stdout.take().expect("its output")).read_line(&mut line).expect("a line");
        let address = line.split("http://").nth(1).and_then(|rest| rest.split_whitespace().next()?.parse().ok());
        Self { child, address: address.expect("an address") }
    }

    /// A figure of its memory in KiB: `VmHWM` at its most, `VmRSS` now.
    pub fn memory(&self, name: &str) -> u64 {
        let status = self.proc("status");
        let line = status.lines().find(|line| line.starts_with(name)).expect("a figure of memory");
        line.split_whitespace().nth(1).and_then(|number| number.parse().ok()).expect("a number of KiB")
    }

    /// The processor's time that it has used.
    pub fn used(&self) -> Duration {
        let stat = self.proc("stat");
        let fields: Vec<&str> = stat.rsplit(") ").next().expect("fields").split(' ').collect();
        // utime and stime, 14 and 15 counted from 1 with the two before the name's end; a hundred ticks are a second.
        let ticks: u64 = fields[11].parse::<u64>().expect("ticks") + fields[12].parse::<u64>().expect("ticks");
        Duration::from_millis(ticks * 10)
    }

    fn proc(&self, name: &str) -> String {
        std::fs::read_to_string(format!("/proc/{}/{name}", self.child.id())).expect("this needs Linux")
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
