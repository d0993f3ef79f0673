//! Patterns that are right but for one slip: every repair that is offered is put in, and the pattern verified again.
#![no_main]

use evenround_calc::verify::{OwnStitch, Request};
use evenround_fuzz::{repairs, slips};
use libfuzzer_sys::arbitrary::{Arbitrary, Result, Unstructured};
use libfuzzer_sys::fuzz_target;
use std::fmt;

struct Slipped {
    text: String,
    structure: bool,
    stitches: Vec<OwnStitch>,
}

/// What is shown of a text that broke something: the text itself, ready to be sent again.
impl fmt::Debug for Slipped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{:?}", self.stitches)?;
        f.write_str(&self.text)
    }
}

impl<'a> Arbitrary<'a> for Slipped {
    fn arbitrary(u: &mut Unstructured<'a>) -> Result<Self> {
        let mut text = slips::right(u)?;
        slips::slip(&mut text, u)?;
        let plover = OwnStitch { name: "plover".to_owned(), places: 2, makes: 1, chains: 0 };
        Ok(Self { text, structure: u.arbitrary()?, stitches: if u.ratio(1, 4)? { vec![plover] } else { Vec::new() } })
    }
}

fuzz_target!(init: slips::check_lace(), |slipped: Slipped| {
    let request = Request {
        pattern: &slipped.text,
        structure: slipped.structure,
        stitches: slipped.stitches.clone(),
        ..Request::default()
    };
    evenround_fuzz::check_repaired(&request);
    repairs::check_repairs(&request);
});
