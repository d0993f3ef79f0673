//! What `evenround verify --mend` makes of faulty files where the text before the fault is known: what it restores, what it
//! leaves, and that it breaks nothing.

#[path = "mutants/change.rs"]
mod change;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use evenround::verify_command::accepted::Accepted;
use evenround::verify_command::one::{Answered, Manner, Mending, Outcome};
use evenround::verify_command::shelf::Found;
use evenround_calc::notation::{read, write::alike::patterns};
use evenround_calc::verify::{Request, Rule, Verification, judge};
use evenround_tests::generator::faults::{CLASSES, plant};
use evenround_tests::generator::tape::seeded;
use evenround_tests::generator::words::say;
use evenround_tests::generator::{Tape, make};

/// Patterns of each class of fault.
const PLANTED: u64 = if cfg!(debug_assertions) { 120 } else { 1000 };
/// Every how many changes of the patterns that hold one is tried.
const EVERY: usize = if cfg!(debug_assertions) { 41 } else { 7 };
/// Of the files that are mended, so many in a hundred say again what they said before the fault.
const RESTORED: f64 = 95.0;

/// What became of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Became {
    /// The text before the fault, to the letter.
    Same,
    /// Other words for the same.
    Alike,
    /// Something that holds, and was not meant.
    Other,
    /// Left to the designer, with choices.
    Choice,
    /// Left, since no single change mends it.
    Left,
}

/// A file on which the command works.
struct Bench {
    folder: PathBuf,
}

impl Bench {
    fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("evenround-mended-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a folder");
        Self { folder }
    }

    /// The text of a file once it was mended, and what was said.
    fn mend(&self, text: &str) -> (String, Box<Answered>) {
        let file = self.folder.join("pattern.txt");
        std::fs::write(&file, text).expect("a file");
        let accepted = Accepted::read(None).expect("nothing");
        let manner = Manner { settled: Request::default(), mending: Mending::Written, accepted: &accepted };
        let Outcome::Answered(answered) = manner.answer(&Found::File("pattern.txt".to_owned(), file.clone())) else {
            panic!("not verified: {text}")
        };
        let mended = std::fs::read_to_string(&file).expect("a file");
        assert_eq!(mended, answered.text, "the answer is about what the file holds");
        assert_eq!(std::fs::read_dir(&self.folder).expect("a folder").count(), 1, "nothing is left behind");
        (mended, answered)
    }

    fn became(&self, meant: &str, faulty: &str) -> Became {
        let (text, answered) = self.mend(faulty);
        let mended = answered.mended.as_ref().expect("mending was asked for");
        assert_eq!(mended.done.is_empty(), text == faulty, "what is said is what is done");
        assert!(answered.unwritten.is_none());
        if text != faulty {
            nothing_is_broken(faulty, &answered.look.answer);
        }
        match () {
            () if text == meant => Became::Same,
            () if text == faulty && mended.left.is_empty() => Became::Left,
            () if text == faulty => Became::Choice,
            () if is_alike(meant, &text) => Became::Alike,
            () => Became::Other,
        }
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

/// Fewer findings, none of a rule that had not as many before, and as many rows read.
fn nothing_is_broken(faulty: &str, after: &Verification) {
    let before = judge(&Request::of(faulty)).expect("a pattern");
    let count = |answer: &Verification, rule: Rule| answer.findings.iter().filter(|f| f.rule == rule).count();
    assert!(after.findings.len() < before.findings.len(), "{faulty}");
    assert!(Rule::ALL.iter().all(|rule| count(after, *rule) <= count(&before, *rule)), "{faulty}");
    assert!(after.coverage.read >= before.coverage.read && after.coverage.rows == before.coverage.rows, "{faulty}");
}

fn is_alike(one: &str, other: &str) -> bool {
    let (Ok(this), Ok(that)) = (read(one, &Request::of(one)), read(other, &Request::of(other))) else { return false };
    patterns(&this, one, &that, other).is_ok()
}

type Table = BTreeMap<String, BTreeMap<Became, u32>>;

/// Prints the table; how many in a hundred of the mended files say what they said.
fn share_restored(table: &Table) -> f64 {
    let columns = [Became::Same, Became::Alike, Became::Other, Became::Choice, Became::Left];
    println!("{:<30} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6}", "", "files", "same", "alike", "other", "choice", "left");
    let mut sums = BTreeMap::new();
    let line = |name: &str, counts: &BTreeMap<Became, u32>| {
        let cells = columns.map(|column| format!("{:>6}", counts.get(&column).unwrap_or(&0)));
        println!("{name:<30} {:>6} {}", counts.values().sum::<u32>(), cells.join(" "));
    };
    for (name, counts) in table {
        line(name, counts);
        for (became, count) in counts {
            *sums.entry(*became).or_insert(0) += count;
        }
    }
    line("all", &sums);
    let [same, alike, other, ..] = columns.map(|column| f64::from(*sums.get(&column).unwrap_or(&0)));
    let share = 100.0 * (same + alike) / (same + alike + other).max(1.0);
    println!("of the files mended {share:.1} % say what they said before the fault");
    share
}

/// The faults on the shelf that are mended, with what stood there before them; the others are left to the designer.
const ON_THE_SHELF: [(&str, &str, &str); 3] = [
    (
        "cockle-coaster.txt",
        "in each of next 5 sts, 2 sc in next st; rep from * around",
        "in each of next 4 sts, 2 sc in next st; rep from * around",
    ),
    ("oystercatcher-cap.txt", "(8, 9, 11, 11)", "(8, 9, 10, 11)"),
    ("sandpiper-ball.txt", "(44)", "(42)"),
];

#[test]
fn the_faulty_shelf() {
    let bench = Bench::new("shelf");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../src/service/demo/faulty");
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder).expect("the shelf").map(|entry| entry.expect("a file").path()).collect();
    files.sort();
    assert!(files.len() >= 10);
    let mut restored = 0;
    for path in files {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let faulty = std::fs::read_to_string(&path).expect("a pattern");
        let (text, answered) = bench.mend(&faulty);
        let mended = answered.mended.as_ref().expect("mending was asked for");
        for line in mended.done.iter().chain(&mended.left) {
            println!("{name:<24} {line}");
        }
        let told: Vec<&str> =
            answered.look.answer.findings.iter().filter(|f| f.fixes.is_empty()).map(|f| f.rule.name()).collect();
        if !told.is_empty() {
            println!("{name:<24} no single change mends {}", told.join(", "));
        }
        match ON_THE_SHELF.iter().find(|(file, ..)| *file == name) {
            Some((_, was, meant)) => {
                assert_eq!(faulty.matches(was).count(), 1, "{name}");
                assert_eq!(text, faulty.replace(was, meant), "{name}");
                restored += 1;
            }
            None => assert_eq!(text, faulty, "{name} is left"),
        }
    }
    assert_eq!(restored, ON_THE_SHELF.len());
}

#[test]
fn what_holds_is_not_touched() {
    let bench = Bench::new("holds");
    for (name, text) in holding() {
        assert_eq!(bench.mend(&text).0, text, "{name}");
    }
}

#[test]
fn planted_faults() {
    let bench = Bench::new("planted");
    let mut table = Table::new();
    for class in CLASSES {
        for seed in 0..PLANTED {
            let numbers = seeded(seed, 300);
            let mut tape = Tape::new(&numbers);
            let pattern = make(&mut tape, class.wishes());
            if let Some(fault) = plant(class, &pattern, &mut tape) {
                let became = bench.became(&say(&pattern, None).text, &fault.text.text);
                *table.entry(class.name().to_owned()).or_default().entry(became).or_default() += 1;
            }
        }
    }
    let share = share_restored(&table);
    assert!(share >= RESTORED, "{share:.1} %, not {RESTORED}");
}

#[test]
fn single_changes_of_what_holds() {
    let bench = Bench::new("changed");
    let mut table = Table::new();
    let mut nth = 0;
    for (_, text) in holding() {
        let sizes = judge(&Request::of(&text)).expect("a pattern").sizes.len();
        for change in change::all(&text, sizes) {
            nth += 1;
            let faulty = change.applied(&text);
            // A change that nothing shows cannot be mended.
            if nth % EVERY == 0 && !judge(&Request::of(&faulty)).expect("a pattern").findings.is_empty() {
                let became = bench.became(&text, &faulty);
                *table.entry(change.sort.name().to_owned()).or_default().entry(became).or_default() += 1;
            }
        }
    }
    let share = share_restored(&table);
    assert!(share >= RESTORED, "{share:.1} %, not {RESTORED}");
}

/// Patterns without a finding.
fn holding() -> Vec<(String, String)> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folders = ["../src/service/demo/holds", "../src/service/demo/collection", "whole"];
    let entries = folders.iter().flat_map(|folder| std::fs::read_dir(here.join(folder)).expect("a folder"));
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.expect("a file").path()).collect();
    paths.sort();
    paths.retain(|path| path.extension().is_some_and(|ending| ending == "txt"));
    let texts =
        paths.into_iter().map(|path| (path.display().to_string(), std::fs::read_to_string(path).expect("text")));
    let all: Vec<(String, String)> =
        texts.filter(|(_, text)| judge(&Request::of(text)).is_ok_and(|answer| answer.findings.is_empty())).collect();
    assert!(all.len() >= 20, "{}", all.len());
    all
}
