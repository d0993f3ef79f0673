//! Any bytes, starting from patterns: spelled out, drawn, counted and outlined.
#![no_main]

use evenround_calc::verify::Request;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    evenround_fuzz::check_shown(&Request::of(&text));
});
