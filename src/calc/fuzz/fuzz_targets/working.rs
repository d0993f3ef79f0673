//! Lace, own stitches, posts, half-joins, short rows, pieces and sizes, put together so that much of it is read, and worked
//! under any settings.
#![no_main]

use evenround_calc::verify::{NumberBeforeStitch, OwnStitch, RepeatNumber, Request, Settled, Terms, TurningChain};
use evenround_fuzz::words::{Clauses, dictionary};
use libfuzzer_sys::arbitrary::{Arbitrary, Result, Unstructured};
use libfuzzer_sys::fuzz_target;
use std::fmt::{self, Write as _};
use std::sync::LazyLock;

/// Longer texts find nothing that these do not, and take their time.
const LONGEST: usize = 4 * 1024;

static LACE: LazyLock<Clauses> = LazyLock::new(|| Clauses::of(include_str!("../lace.txt")));
static WORDS: LazyLock<Vec<String>> = LazyLock::new(|| dictionary(include_str!("../trade.dict")));

struct Working {
    text: String,
    terms: Option<Terms>,
    settled: Settled,
    sizes: Option<Vec<String>>,
    stitches: Vec<OwnStitch>,
}

/// What is shown of a text that broke something: the text itself, ready to be sent again.
impl fmt::Debug for Working {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{:?}, {:?}, {:?}, {:?}", self.terms, self.settled, self.sizes, self.stitches)?;
        f.write_str(&self.text)
    }
}

impl<'a> Arbitrary<'a> for Working {
    fn arbitrary(u: &mut Unstructured<'a>) -> Result<Self> {
        let sizes = *u.choose(&[1, 1, 2, 4])?;
        Ok(Self {
            terms: *u.choose(&[None, Some(Terms::Us), Some(Terms::Uk)])?,
            settled: settled(u)?,
            stitches: stitches(u)?,
            sizes: u.ratio(1, 8)?.then(|| (1..=sizes).map(|size| format!("Size {size}")).collect()),
            text: text(sizes, u)?,
        })
    }
}

fn settled(u: &mut Unstructured<'_>) -> Result<Settled> {
    let chain = [None, None, Some(TurningChain::Counts), Some(TurningChain::DoesNotCount)];
    Ok(Settled {
        turning_chain: *u.choose(&chain)?,
        skipped_chains: *u.choose(&chain)?,
        number_before_stitch: *u.choose(&[
            None,
            Some(NumberBeforeStitch::OneInEach),
            Some(NumberBeforeStitch::AllInOneStitch),
        ])?,
        repeat_number: *u.choose(&[None, Some(RepeatNumber::More), Some(RepeatNumber::InAll)])?,
    })
}

fn stitches(u: &mut Unstructured<'_>) -> Result<Vec<OwnStitch>> {
    let mut all = Vec::new();
    for _ in 0..u.int_in_range(0..=3)? {
        let name = *u.choose(&["shell", "V-st", "plover", "beg cl", "sc", "sc2tog", "row a", "", "3"])?;
        let mut number = || if u.ratio(1, 16)? { u.arbitrary::<u32>() } else { u.int_in_range(0..=6) };
        all.push(OwnStitch { name: name.to_owned(), places: number()?, makes: number()?, chains: number()? });
    }
    Ok(all)
}

fn text(sizes: usize, u: &mut Unstructured<'_>) -> Result<String> {
    let mut text = String::new();
    if sizes > 1 {
        text.push_str(if sizes == 2 { "Sizes: S (M)\n" } else { "Sizes: S (M, L, XL)\n" });
    }
    for _ in 0..u.int_in_range(0..=2)? {
        LACE.push("head", sizes, u, &mut text)?;
    }
    LACE.push("foundation", sizes, u, &mut text)?;
    text.push('\n');
    let mut row = 2;
    while !u.is_empty() && text.len() < LONGEST {
        match u.int_in_range(0..=15)? {
            0 => {
                LACE.push("piece", sizes, u, &mut text)?;
                text.push('\n');
                if u.arbitrary()? {
                    LACE.push("foundation", sizes, u, &mut text)?;
                    row = 2;
                }
            }
            1 => LACE.push("head", sizes, u, &mut text)?,
            2 => text.push_str(u.choose(&WORDS)?),
            n => {
                if n < 5 {
                    LACE.push("header", sizes, u, &mut text)?;
                    text.push(' ');
                } else {
                    let word = if u.arbitrary()? { "Rnd" } else { "Row" };
                    write!(text, "{word} {row}: ").expect("a string takes anything");
                    row += 1;
                }
                LACE.push("row", sizes, u, &mut text)?;
                text.push('.');
                LACE.push("count", sizes, u, &mut text)?;
                text.push('\n');
            }
        }
    }
    Ok(text)
}

fuzz_target!(|working: Working| {
    evenround_fuzz::check(&Request {
        pattern: &working.text,
        terms: working.terms,
        settled: working.settled,
        sizes: working.sizes.clone(),
        stitches: working.stitches.clone(),
        structure: true,
        ..Request::default()
    });
});
