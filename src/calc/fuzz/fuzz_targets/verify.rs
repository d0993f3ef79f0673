//! Any bytes at all.
#![no_main]

use evenround_calc::verify::Request;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    evenround_fuzz::check_repaired(&Request::of(&String::from_utf8_lossy(bytes)));
});
