//! How reading and verifying compare with their neighbours: every figure is a ratio of times taken in turn within one run,
//! so that it does not depend on the machine and little on who else is using it. Nothing here passes or fails; each line
//! stands beside what it is meant to be. `cargo bench -p evenround-calc --bench ratios`
//!
//! Ten percent of spread between the quartiles is usual on a shared machine. Run under `cargo test`, each piece of work is
//! done once, to see that it can be.

mod clock;
mod inputs;

use clock::{Clock, Series, rate, ratio, timed};
use evenround_calc::notation;
use evenround_calc::notation::tree::Pattern;
use evenround_calc::verify::{OwnStitch, Request, Verification, judge as judged, verify};
use std::hint::black_box;
use std::io::Write as _;

const KIB: usize = 1024;
const MIB: usize = 1024 * KIB;

fn main() {
    let clock = Clock::new(std::env::args().any(|argument| argument == "--bench"));
    said();
    let python = inputs::python(inputs::LONG);
    beside_python(&clock, &python);
    small_pattern(&clock);
    repairs(&clock);
    large_numbers(&clock);
    doubled(&clock);
    hostile(&clock);
    short(&clock);
}

fn read(text: &str) -> Pattern {
    notation::read(black_box(text), &Request::of(text)).expect("nothing is asked that cannot fit")
}

fn judge(text: &str) -> Verification {
    judged(&Request::of(black_box(text))).expect("nothing is asked that cannot fit")
}

/// With repairs, each of which is proved by verifying again.
fn repaired(text: &str) -> Verification {
    verify(&Request::of(black_box(text))).expect("nothing is asked that cannot fit")
}

/// What the verifier says about the inputs. A figure for a text that is not read is a figure for nothing.
fn said() {
    println!("\nThe inputs");
    println!("  {:<34} {:>9} {:>7} {:>7} {:>9} {:>6}", "", "bytes", "rows", "read", "findings", "holds");
    let scaled = [1, 1_000_000].map(|factor| inputs::scaled(16 * KIB, factor));
    for (name, text) in [
        ("mixed, 200 KiB", &inputs::mixed(inputs::LONG)),
        ("four sizes, 200 KiB", &inputs::sized(inputs::LONG)),
        ("lace, 200 KiB", &inputs::lace(inputs::LONG)),
        ("own stitches, 200 KiB", &inputs::defined(inputs::LONG)),
        ("cap in four sizes", &inputs::CAP.to_owned()),
        ("cap of lace in four sizes", &inputs::LACE_CAP.to_owned()),
        ("stitch numbers as they are", &scaled[0]),
        ("stitch numbers times a million", &scaled[1]),
    ] {
        let answer = judge(text);
        println!(
            "  {name:<34} {:>9} {:>7} {:>7} {:>9} {:>6}",
            text.len(),
            answer.coverage.rows,
            answer.coverage.read,
            answer.findings.len(),
            answer.holds
        );
    }
}

fn heading(title: &str) {
    println!("\n{title}");
    println!("  {:<34} {:>9}  {:<17} goal", "", "median", "  (quartiles)");
}

fn line(name: &str, series: &Series, unit: &str, goal: &str) {
    println!(
        "  {name:<34} {:>9} {unit:<5}{:<14} {goal}",
        clock::figure(series.median()),
        format!("({} – {})", clock::figure(series.quartile(1)), clock::figure(series.quartile(3))),
    );
}

/// `≥ 0.5` and whether it is so.
fn at_least(goal: f64, series: &Series) -> String {
    format!("≥ {goal}: {}", if series.median() >= goal { "met" } else { "SHORT" })
}

fn at_most(goal: f64, series: &Series) -> String {
    format!("≤ {goal}: {}", if series.median() <= goal { "met" } else { "SHORT" })
}

fn beside_python(clock: &Clock, python: &str) {
    for (name, text) in [
        ("mixed styles", inputs::mixed(inputs::LONG)),
        ("four sizes", inputs::sized(inputs::LONG)),
        ("lace", inputs::lace(inputs::LONG)),
        ("own stitches", inputs::defined(inputs::LONG)),
    ] {
        let times = clock.race(&mut [
            timed(|| inputs::split(black_box(&text))),
            timed(|| ruff_python_parser::parse_module(black_box(python)).expect("right Python")),
            timed(|| read(&text)),
            timed(|| judge(&text)),
        ]);
        let megabytes = [
            rate(text.len(), &times[0]),
            rate(python.len(), &times[1]),
            rate(text.len(), &times[2]),
            rate(text.len(), &times[3]),
        ];
        let [split, other, reading, whole] = &megabytes;
        heading(&format!("{} KiB, {name}", text.len() / KIB));
        line("split into lines and words", split, "MB/s", "");
        line("ruff_python_parser", other, "MB/s", "");
        line("reading", reading, "MB/s", "");
        line("verifying", whole, "MB/s", "");
        let reading_to_python = ratio(reading, other);
        line("reading / ruff_python_parser", &reading_to_python, "", &at_least(1.0, &reading_to_python));
        line("reading / split", &ratio(reading, split), "", "");
        let whole_to_reading = ratio(whole, reading);
        line("verifying / reading", &whole_to_reading, "", &at_least(0.5, &whole_to_reading));
    }
}

fn small_pattern(clock: &Clock) {
    for (name, text) in [("solid", inputs::CAP), ("lace", inputs::LACE_CAP)] {
        let times = clock.race(&mut [timed(|| read(text)), timed(|| judge(text))]);
        heading(&format!("One pattern of {} bytes in four sizes, {name}", text.len()));
        line("reading", &times[0].times(1e6), "µs", "");
        let whole = times[1].times(1e6);
        line("verifying", &whole, "µs", &at_most(60.0, &whole));
        let whole_to_reading = ratio(&times[0], &times[1]);
        line("verifying / reading", &whole_to_reading, "", &at_least(0.5, &whole_to_reading));
    }
}

/// What one slip costs: its repairs are proved one by one.
fn repairs(clock: &Clock) {
    let clock = clock.fewer(4);
    heading("The same with one slip: time with repairs / without");
    for (name, text, from, to) in [
        ("solid, a count", inputs::CAP, "16 (18, 18, 20) hdc.", "16 (18, 19, 20) hdc."),
        ("solid, a number", inputs::CAP, "each of next 3 sts", "each of next 4 sts"),
        ("lace, a number", inputs::LACE_CAP, "3 sc in each ch-3 sp", "2 sc in each ch-3 sp"),
    ] {
        let slipped = text.replacen(from, to, 1);
        assert_ne!(slipped, text, "no {from} in the cap");
        let times = clock.race(&mut [timed(|| judge(&slipped)), timed(|| repaired(&slipped))]);
        line(name, &ratio(&times[1], &times[0]), "", "");
    }
}

fn large_numbers(clock: &Clock) {
    let plain = inputs::scaled(16 * KIB, 1);
    let large = inputs::scaled(16 * KIB, 1_000_000);
    let times = clock.race(&mut [
        timed(|| read(&plain)),
        timed(|| read(&large)),
        timed(|| judge(&plain)),
        timed(|| judge(&large)),
    ]);
    heading("Stitch numbers times a million: time, large / plain");
    let bytes = large.len() as f64 / plain.len() as f64;
    line("length of the text (more digits)", &Series::of(bytes), "", "");
    for (name, [large, plain]) in [("reading", [&times[1], &times[0]]), ("verifying", [&times[3], &times[2]])] {
        let cost = ratio(large, plain);
        let met = if cost.median() <= bytes * 1.1 { "met" } else { "SHORT" };
        line(name, &cost, "", &format!("as its length: {met}"));
    }
}

/// A tenth more than twice is still the noise of a shared machine.
const TWICE: f64 = 2.2;

fn doubled(clock: &Clock) {
    let clock = clock.fewer(4);
    println!("\nThe text doubled: time, double / single (goal ≤ 2, a tenth is noise)");
    println!("  {:<20} {:>10} {:>10} {:>10} {:>10}", "", "mixed", "", "4 sizes", "");
    println!("  {:<20} {:>10} {:>10} {:>10} {:>10}", "", "reading", "verifying", "reading", "verifying");
    let mut worst = [0.0_f64; 4];
    let mut bytes = KIB;
    while bytes < clock.largest(4 * MIB) {
        let mut growths = [0.0; 4];
        let texts = [inputs::mixed as fn(usize) -> String, inputs::sized];
        for (text, growths) in texts.iter().zip(growths.chunks_exact_mut(2)) {
            let (single, double) = (text(bytes), text(2 * bytes));
            let times = clock.race(&mut [
                timed(|| read(&single)),
                timed(|| read(&double)),
                timed(|| judge(&single)),
                timed(|| judge(&double)),
            ]);
            growths[0] = ratio(&times[1], &times[0]).median();
            growths[1] = ratio(&times[3], &times[2]).median();
        }
        for (worst, growth) in worst.iter_mut().zip(growths) {
            *worst = worst.max(growth);
        }
        row_of_growths(&format!("{} → {} KiB", bytes / KIB, 2 * bytes / KIB), growths.map(clock::figure));
        bytes *= 2;
    }
    row_of_growths("worst", worst.map(clock::figure));
    row_of_growths("", worst.map(|worst| if worst <= TWICE { "met" } else { "SHORT" }.to_owned()));
}

fn row_of_growths(label: &str, cells: [String; 4]) {
    let [a, b, c, d] = cells;
    println!("  {label:<20} {a:>10} {b:>10} {c:>10} {d:>10}");
}

/// Texts written to cost much: how the time grows from 64 KiB to 4 MiB, and against ordinary text of that length.
fn hostile(clock: &Clock) {
    const SMALL: usize = 64 * KIB;
    // A text that takes longer than this is not tried at the next length.
    const PATIENCE: f64 = 2.0;
    let clock = clock.fewer(12);
    println!("\nHostile texts, verified: ms at 64 KiB, worst time of a doubling up to 4 MiB (goal ≤ 2), and the time");
    println!("beside ordinary text of the same length at 64 KiB and at the end (goal ≤ 10); with repairs at 64 KiB");
    println!(
        "  {:<34} {:>9} {:>9} {:>9} {:>9} {:>9}  last",
        "", "64 KiB", "doubling", "× normal", "at end", "repaired"
    );
    let ordinary = |bytes: usize| inputs::mixed(bytes);
    for hostile in inputs::hostile::ALL {
        // Said first: a text that ends the process should be known by name.
        print!("  {:<34} ", hostile.name);
        std::io::stdout().flush().expect("somewhere to print");
        let time = |bytes: usize| {
            let (text, normal) = (hostile.text(bytes), ordinary(bytes));
            let times = clock.race(&mut [timed(|| judge(&text)), timed(|| judge(&normal))]);
            (times[0].median(), ratio(&times[0], &times[1]).median())
        };
        let (first, against_first) = time(SMALL);
        let with_repairs = {
            let (text, normal) = (hostile.text(SMALL), ordinary(SMALL));
            let times = clock.race(&mut [timed(|| repaired(&text)), timed(|| judge(&normal))]);
            ratio(&times[0], &times[1]).median()
        };
        let (mut last, mut against_last) = (first, against_first);
        let (mut bytes, mut worst) = (SMALL, 0.0_f64);
        while bytes < clock.largest(4 * MIB) && last < PATIENCE {
            bytes *= 2;
            let (now, against) = time(bytes);
            worst = worst.max(now / last);
            (last, against_last) = (now, against);
        }
        println!(
            "{:>9} {:>9} {:>9} {:>9} {:>9}  {} KiB, {} ms{}",
            clock::figure(first * 1e3),
            clock::figure(worst),
            clock::figure(against_first),
            clock::figure(against_last),
            clock::figure(with_repairs),
            bytes / KIB,
            clock::figure(last * 1e3),
            if against_first.max(against_last) > 10.0 { ": SHORT" } else { "" }
        );
    }
}

/// A few words may cost as much as the least that any text is given to work with.
fn short(clock: &Clock) {
    let clock = clock.fewer(12);
    heading("Short hostile texts, verified: ms, and beside a cap in four sizes");
    for (name, text, told) in inputs::hostile::SHORT {
        let stitches = told.iter().map(|[places, makes, chains]| OwnStitch {
            name: "sc".to_owned(),
            places: *places,
            makes: *makes,
            chains: *chains,
        });
        let request = Request { structure: true, stitches: stitches.collect(), ..Request::of(text) };
        let times = clock.race(&mut [timed(|| judged(&request)), timed(|| judge(inputs::CAP))]);
        line(name, &times[0].times(1e3), "ms", "");
        let beside = ratio(&times[0], &times[1]);
        line("", &beside, "", &at_most(10.0, &beside));
    }
}
