//! Any bytes, read and not worked: many more texts in the time.
#![no_main]

use evenround_calc::verify::{OwnStitch, Request, Terms};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    evenround_fuzz::check_reading(&Request::of(&text));
    let own = |name: &str| OwnStitch { name: name.to_owned(), places: 1, makes: 3, chains: 1 };
    evenround_fuzz::check_reading(&Request {
        terms: Some(Terms::Uk),
        sizes: Some(["S", "M", "L"].map(str::to_owned).to_vec()),
        stitches: vec![own("shell"), own("plover"), own("sc")],
        ..Request::of(&text)
    });
});
