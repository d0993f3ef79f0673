//! Words of the trade in any order, under any settings.
#![no_main]

use evenround_calc::verify::{Request, Settled, Terms, TurningChain};
use evenround_fuzz::words::dictionary;
use libfuzzer_sys::arbitrary::{Arbitrary, Result, Unstructured};
use libfuzzer_sys::fuzz_target;
use std::fmt::{self, Write as _};
use std::sync::LazyLock;

/// Longer texts find nothing that these do not, and take their time.
const LONGEST: usize = 8 * 1024;

static WORDS: LazyLock<Vec<String>> = LazyLock::new(|| dictionary(include_str!("../trade.dict")));

struct Trade {
    text: String,
    terms: Option<Terms>,
    turning_chain: Option<TurningChain>,
    sizes: Option<Vec<String>>,
}

/// What is shown of a text that broke something: the text itself, ready to be sent again.
impl fmt::Debug for Trade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{:?}, {:?}, {:?}", self.terms, self.turning_chain, self.sizes)?;
        f.write_str(&self.text)
    }
}

impl<'a> Arbitrary<'a> for Trade {
    fn arbitrary(u: &mut Unstructured<'a>) -> Result<Self> {
        let terms = *u.choose(&[None, Some(Terms::Us), Some(Terms::Uk)])?;
        let turning_chain = *u.choose(&[None, Some(TurningChain::Counts), Some(TurningChain::DoesNotCount)])?;
        let sizes = u.int_in_range(1..=4)?;
        let named = u.ratio(1, 8)?.then(|| (1..=sizes).map(|size| format!("Size {size}")).collect());
        let mut text = String::new();
        let mut row = 1_u32;
        while !u.is_empty() && text.len() < LONGEST {
            match u.int_in_range(0..=16)? {
                0..=8 => text.push_str(u.choose(&WORDS)?),
                9 | 10 => push(&mut text, format_args!("{}", u.int_in_range(0..=30)?)),
                11 => {
                    let first: u8 = u.int_in_range(0..=30)?;
                    push(&mut text, format_args!("{first} ("));
                    for size in 1..sizes.max(2) {
                        let comma = if size > 1 { ", " } else { "" };
                        push(&mut text, format_args!("{comma}{}", u.int_in_range(0..=40)?));
                    }
                    text.push(')');
                }
                12 => push(&mut text, format_args!("{}", u.arbitrary::<u64>()?)),
                13 => {
                    push(&mut text, format_args!("\nRnd {row}: "));
                    row += 1;
                }
                14 => push(&mut text, format_args!(" ({})\n", u.int_in_range(0..=60)?)),
                // Many of one word: nesting, and rows without an end.
                15 => {
                    let word = u.choose(&WORDS)?;
                    let times = u.int_in_range(1..=(LONGEST / word.len()))?;
                    text.push_str(&word.repeat(times));
                }
                // The next word is glued to the last one.
                _ => {
                    text.truncate(text.trim_end_matches(' ').len());
                    continue;
                }
            }
            text.push(' ');
        }
        Ok(Self { text, terms, turning_chain, sizes: named })
    }
}

fn push(text: &mut String, what: fmt::Arguments<'_>) {
    text.write_fmt(what).expect("a string takes anything");
}

fuzz_target!(|trade: Trade| {
    evenround_fuzz::check_repaired(&Request {
        pattern: &trade.text,
        terms: trade.terms,
        settled: Settled { turning_chain: trade.turning_chain, ..Settled::default() },
        sizes: trade.sizes.clone(),
        ..Request::default()
    });
});
