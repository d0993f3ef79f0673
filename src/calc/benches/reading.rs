//! Bytes a second and allocations of reading and of whole verification, beside a plain split into lines and words and a
//! Python parser that is known to be quick. `cargo bench -p evenround-calc --bench reading`
//!
//! Allocations are counted here, which slows whatever allocates by a little; the ratios come from `ratios.rs`, where
//! nothing is counted.

mod inputs;

use divan::{AllocProfiler, Bencher, black_box, counter::BytesCount};
use evenround_calc::notation;
use evenround_calc::verify::{Request, judge};

#[global_allocator]
static ALLOCATIONS: AllocProfiler = AllocProfiler::system();

fn main() {
    divan::main();
}

/// The inputs by name.
const TEXTS: [&str; 6] = ["mixed-200k", "sized-200k", "lace-200k", "own-200k", "cap-2k", "lace-cap-2k"];

fn text(name: &str) -> String {
    match name {
        "mixed-200k" => inputs::mixed(inputs::LONG),
        "sized-200k" => inputs::sized(inputs::LONG),
        "lace-200k" => inputs::lace(inputs::LONG),
        "own-200k" => inputs::defined(inputs::LONG),
        "lace-cap-2k" => inputs::LACE_CAP.to_owned(),
        _ => inputs::CAP.to_owned(),
    }
}

fn over<T>(bencher: Bencher, text: &str, work: impl Fn(&str) -> T + Sync) {
    bencher.counter(BytesCount::of_str(text)).bench(|| work(black_box(text)));
}

#[divan::bench]
fn split_mixed_200k(bencher: Bencher) {
    over(bencher, &text("mixed-200k"), inputs::split);
}

#[divan::bench]
fn python_200k(bencher: Bencher) {
    over(bencher, &inputs::python(inputs::LONG), |text| {
        ruff_python_parser::parse_module(text).expect("the Python is right")
    });
}

#[divan::bench(args = TEXTS)]
fn read(bencher: Bencher, name: &str) {
    over(bencher, &text(name), |text| {
        notation::read(text, &Request::of(text)).expect("nothing is asked that could not fit")
    });
}

#[divan::bench(args = TEXTS)]
fn read_and_verify(bencher: Bencher, name: &str) {
    over(bencher, &text(name), |text| judge(&Request::of(text)).expect("nothing is asked that could not fit"));
}
