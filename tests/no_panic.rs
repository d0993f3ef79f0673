//! Whatever is sent, an answer comes back: no panic, no hang, and every place in it is a place in the text.

use evenround_calc::verify::{Request, Settled, TurningChain, Verification, census, verify};
use evenround_tests::answer::misplaced;
use evenround_tests::shown::misshown;
use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestRunner};
use std::sync::Mutex;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::{Duration, Instant};

/// Texts of each kind.
const TEXTS: u32 = if cfg!(debug_assertions) { 256 } else { 2048 };
/// Texts from this length on are long.
const LONG: usize = 50_000;
/// A set of texts that takes longer hangs.
const PATIENCE: Duration = Duration::from_secs(30);

/// Runs a set of texts on a thread of its own, so that a hang is a failure and not a wait.
fn within_patience(name: &'static str, set: impl FnOnce(&Mutex<Slowest>) + Send + 'static) {
    let (done, finished) = channel();
    let worker = std::thread::spawn(move || {
        let slowest = Mutex::new(Slowest::default());
        set(&slowest);
        let slowest = slowest.into_inner().expect("no text panicked while it was timed");
        println!("{name}: slowest {:?} on {} bytes: {:?}", slowest.took, slowest.bytes, slowest.beginning);
        // Nobody waits any more if the patience was over.
        let _ = done.send(());
    });
    match finished.recv_timeout(PATIENCE) {
        Ok(()) => worker.join().expect("the set was finished"),
        Err(RecvTimeoutError::Disconnected) => {
            if let Err(panic) = worker.join() {
                std::panic::resume_unwind(panic);
            }
        }
        Err(RecvTimeoutError::Timeout) => panic!("{name}: no answer within {PATIENCE:?}"),
    }
}

#[derive(Default)]
struct Slowest {
    took: Duration,
    bytes: usize,
    beginning: String,
}

/// Verifies one text under several settings and holds the answer to the text.
fn check(text: &str, slowest: &Mutex<Slowest>) -> Result<(), String> {
    let requests = [
        Request::of(text),
        Request {
            sizes: Some(vec!["S".to_owned(), "M".to_owned(), "L".to_owned()]),
            settled: Settled { turning_chain: Some(TurningChain::Counts), ..Settled::default() },
            ..Request::of(text)
        },
    ];
    for request in requests {
        let start = Instant::now();
        let answer = verify(&request);
        let took = start.elapsed();
        if let Ok(mut slowest) = slowest.lock()
            && took > slowest.took
        {
            *slowest = Slowest { took, bytes: text.len(), beginning: text.chars().take(60).collect() };
        }
        // Names of sizes that do not fit the text are refused, and that is an answer.
        if let Ok(answer) = answer {
            let wrong = misplaced(text, &answer);
            if !wrong.is_empty() {
                return Err(format!("{}\n{text:?}", wrong.join("\n")));
            }
            // What is shown works a text several times over; of a very long one once is enough.
            let once = text.len() < LONG || request.sizes.is_none();
            let wrong = if once { misshown(&request, &answer) } else { Vec::new() };
            if !wrong.is_empty() {
                return Err(format!("{}\n{text:?}", wrong.join("\n")));
            }
            consistent(&answer).map_err(|why| format!("{why}\n{text:?}"))?;
            let census = census(&request).map_err(|why| format!("counted, and refused: {why}\n{text:?}"))?;
            if census.sizes.iter().map(|size| &size.name).ne(&answer.sizes) {
                return Err(format!("counted in other sizes than verified\n{text:?}"));
            }
        }
    }
    Ok(())
}

/// What must be so in any answer.
fn consistent(answer: &Verification) -> Result<(), String> {
    let coverage = answer.coverage;
    if coverage.read + coverage.partial + coverage.unread != coverage.rows {
        return Err(format!("{coverage:?} does not add up"));
    }
    let places: Vec<u32> = answer.findings.iter().map(|finding| finding.place.start).collect();
    if !places.is_sorted() {
        return Err(format!("findings are not in the order of the text: {places:?}"));
    }
    Ok(())
}

fn run(texts: impl Strategy<Value = String>, slowest: &Mutex<Slowest>) {
    let config = ProptestConfig {
        cases: evenround_tests::cases(TEXTS),
        rng_seed: RngSeed::Fixed(9),
        failure_persistence: None,
        ..Default::default()
    };
    let outcome = TestRunner::new(config).run(&texts, |text| check(&text, slowest).map_err(TestCaseError::fail));
    if let Err(why) = outcome {
        panic!("{why}");
    }
}

/// Words, numbers and marks of the trade, and some that only look like them.
const WORDS: &[&str] = &[
    "With A,",
    "change to B",
    "join C.",
    "(make 2)",
    "held together",
    "Rnd",
    "Round",
    "Rnds",
    "Row",
    "Rows",
    "R4:",
    "4.",
    "1st row:",
    "Next row:",
    "1:",
    "2:",
    "3-9:",
    "4–7",
    ":",
    ".",
    ",",
    ";",
    "sc",
    "hdc",
    "dc",
    "tr",
    "htr",
    "dtr",
    "sl st",
    "ss",
    "ch",
    "ch 3",
    "ch-3 sp",
    "ch-2 sps",
    "inc",
    "dec",
    "sc2tog",
    "dc3tog",
    "tog",
    "in",
    "next",
    "each",
    "first",
    "last",
    "st",
    "sts",
    "sp",
    "around",
    "across",
    "to end",
    "to last 2 sts",
    "rep",
    "from",
    "*",
    "**",
    "†",
    "rep from *",
    "rep Row 2",
    "Rep Rows 2 and 3",
    "times",
    "more",
    "twice",
    "x",
    "×",
    "[",
    "]",
    "(",
    ")",
    "{",
    "}",
    "<",
    ">",
    "(24)",
    "[24]",
    "= 24",
    "– 24 sts.",
    "Sizes: S (M, L)",
    "Size M only:",
    "18 (24, 30)",
    "- (2, 4)",
    "0",
    "1",
    "2",
    "6",
    "24",
    "magic ring",
    "Ch 21.",
    "from hook",
    "2nd ch from hook",
    "turn",
    "join",
    "counts as a dc",
    "does not count",
    "skip",
    "sk",
    "miss",
    "same st",
    "until",
    "until 8 sts rem",
    "leave",
    "unworked",
    "shell",
    "Shell:",
    "V-st =",
    "Special stitches",
    "Notes:",
    "EAR (make 2)",
    "fasten off",
    "BLO",
    "FPdc",
    "over",
    "and",
    "or",
    "as",
    "same as Rnd 2",
    "\n",
    "\n",
    "\n\n",
    "\r\n",
    "\t",
    "½",
    "’",
    "ѕс",
    "\u{feff}",
    "\u{200b}",
    "99999999999999999999",
    "18446744073709551615",
    "4294967296",
    "-1",
];

fn trade_words() -> impl Strategy<Value = String> {
    prop::collection::vec((prop::sample::select(WORDS), any::<bool>()), 0..120)
        .prop_map(|words| words.iter().flat_map(|(word, space)| [*word, if *space { " " } else { "" }]).collect())
}

/// A good pattern with something cut out, put in twice, or put in from the trade's words.
fn damaged() -> impl Strategy<Value = String> {
    let good = "Sizes: S (M, L)\n\nCh 21 (25, 29).\nRow 1: Sc in 2nd ch from hook and in each ch across. (20 (24, 28))\n\
                Row 2: Ch 1, *sc in next 3 sts, 2 sc in next st; rep from * across, turn. (25 (30, 35))\n\
                Rows 3–6: Ch 3 (counts as dc), dc in each st to last 2 sts, dc2tog, turn.\n\
                Sizes M (L) only:\nRow 7: Rep Row 2, ending last rep at **. [31 (37, 43) sts]\n";
    let cut = (any::<prop::sample::Index>(), any::<prop::sample::Index>(), prop::sample::select(WORDS), 0..3_u8);
    prop::collection::vec(cut, 1..5).prop_map(move |cuts| {
        let mut chars: Vec<char> = good.chars().collect();
        for (from, to, word, kind) in cuts {
            let (a, b) = (from.index(chars.len() + 1), to.index(chars.len() + 1));
            let (a, b) = (a.min(b), a.max(b).min(a.min(b) + 40));
            match kind {
                0 => drop(chars.drain(a..b)),
                1 => {
                    let twice: Vec<char> = chars[a..b].to_vec();
                    chars.splice(a..a, twice);
                }
                _ => drop(chars.splice(a..a, word.chars())),
            }
        }
        chars.into_iter().collect()
    })
}

#[test]
fn any_bytes() {
    within_patience("any bytes", |slowest| {
        let bytes = prop::collection::vec(any::<u8>(), 0..2000);
        run(bytes.prop_map(|bytes| String::from_utf8_lossy(&bytes).into_owned()), slowest);
    });
}

#[test]
fn any_characters() {
    within_patience("any characters", |slowest| run(any::<String>(), slowest));
}

#[test]
fn any_words_of_the_trade() {
    within_patience("words of the trade", |slowest| run(trade_words(), slowest));
}

#[test]
fn a_good_pattern_damaged() {
    within_patience("damaged", |slowest| run(damaged(), slowest));
}

#[test]
fn deep_and_long_and_huge() {
    within_patience("extremes", |slowest| {
        let body = "sc in next st, ";
        let mut texts = vec![String::new(), "\n".repeat(100_000), " ".repeat(100_000), "\u{feff}".to_owned()];
        // Texts that once broke something.
        texts.push("\nRows  18446744073709551615 \nLast rnd:  ".to_owned());
        texts.push("(2,N*across**0,A".to_owned());
        texts.push(format!("Ch 35.\nRow 1: Sc in 2nd ch from hook and in each ch across. 34 sc.\nRow 2: sc {} in each st, ch 1. 34 sts.\n", "2".repeat(80)));
        texts.push(format!("Rnd 1: 6 sc in ring.\nRnd 2: {}", "rep from * around, ".repeat(20_000)));
        for (open, close) in [("(", ")"), ("[", "]"), ("{", "}"), ("*", "*"), ("**", "; rep from **")] {
            let (many, shut) = (open.repeat(100_000), close.repeat(100_000));
            texts.push(many.clone());
            texts.push(shut.clone());
            texts.push(format!("Rnd 1: 6 sc in magic ring.\nRnd 2: {many}sc in next st{shut} 2 times. (12)\n"));
            texts.push(format!("Rnd 1: 6 sc in magic ring. (6)\nRnd 2: {}sc{}\n", open.repeat(70), close.repeat(70)));
        }
        texts.push(format!("Rnd 1: 6 sc in ring.\nRnd 2: {}", body.repeat(20_000)));
        texts.push(format!("Rnd 1: {} sc in ring. ({})\n", "9".repeat(50_000), "9".repeat(50_000)));
        texts.push(format!("Sizes: S{}\nCh 20{}.\n", ", M".repeat(20_000), " (21".repeat(20_000)));
        texts.push(format!("Ch 20 ({}).\n", "21, ".repeat(50_000)));
        texts.push("Rnd 1: 9007199254740991 sc in ring.\nRnd 2: 2 sc in each st around.\n".repeat(50));
        let doubling: String = (2..200).map(|n| format!("Rnd {n}: 2 sc in each st around.\n")).collect();
        texts.push(format!("Rnd 1: 6 sc in magic ring.\n{doubling}"));
        let nested = (0..60).fold("sc in next st".to_owned(), |inner, _| format!("[{inner}] 4294967295 times"));
        texts.push(format!("Rnd 1: 6 sc in magic ring.\nRnd 2: {nested}. (6)\n"));
        texts.push("Rnd 1: 6 sc in magic ring.\nRnds 2-18446744073709551615: Sc in each st around. (6)\n".to_owned());
        texts.push("Rnd 1: 6 sc in magic ring.\nRnds 2-4000000000: 2 sc in each st around.\n".to_owned());
        texts.push("Ch 9.\nRow 1: Sc in 99999999999th ch from hook.\nRows 2-2000000: Rep Rows 1 and 2.\n".to_owned());
        texts.push((2..20_000).map(|n| format!("Row {n}: Rep Row {}.\n", n + 1)).collect());
        texts.push((2..20_000).rev().map(|n| format!("Row {n}: Rep Row {}.\n", n - 1)).collect());
        texts.push((1..5_000).map(|n| format!("Row {n}: Rep Rows 1-{n}, {n} more times.\n")).collect());
        texts.push((0..20_000).map(|n| format!("Stitch{n} (st{n}): work stitch{} in next st.\n", n + 1)).collect());
        texts.push("x".repeat(evenround_calc::verify::MAX_TEXT_BYTES + 1));
        for text in &texts {
            if let Err(why) = check(text, slowest) {
                panic!("{}", why.chars().take(500).collect::<String>());
            }
        }
    });
}
