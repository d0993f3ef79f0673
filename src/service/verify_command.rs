//! `evenround verify`: the same answer as over HTTP, for files, with an exit code for scripts.

use std::fs::File;
use std::io::{self, Read, Write};
use std::process::ExitCode;

use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, ValueEnum};
use evenround_calc::verify::{
    self, MAX_TEXT_BYTES, NumberBeforeStitch, OwnStitch, RepeatNumber, Request, Settled, Terms, TurningChain, verify,
};
use serde::Serialize;

use crate::api::own_stitch;
use crate::api::verification::Verification;
use crate::api::verification_request::{NUMBER_BEFORE_STITCH, REPEAT_NUMBER, TERMS, TURNING_CHAIN};
use crate::body::first_bad_byte;
use crate::fields::chosen;
use crate::report::text;

const STANDARD_INPUT: &str = "-";

/// Options of `verify`.
#[derive(Debug, Args)]
pub struct VerifyOptions {
    /// Text files with one written pattern each; - reads standard input
    #[arg(required = true, value_name = "FILE")]
    files: Vec<String>,

    /// How to answer
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    format: Format,

    /// Whose stitch names the patterns use; without this the text decides
    #[arg(long, value_name = "TERMS", value_parser = words(TERMS))]
    terms: Option<Terms>,

    /// The name of a size, once for each, in the order of the text's size lists; without this the text decides
    #[arg(long = "size", value_name = "NAME")]
    sizes: Vec<String>,

    /// Whether a beginning or turning chain of two or more is a stitch; without this the text decides
    #[arg(long, value_name = "READING", value_parser = words(TURNING_CHAIN))]
    turning_chain: Option<TurningChain>,

    /// Whether two or more chains skipped at a foundation's beginning are a stitch; without this as --turning-chain
    #[arg(long, value_name = "READING", value_parser = words(TURNING_CHAIN))]
    skipped_chains: Option<TurningChain>,

    /// What "3 sc" with nothing behind it means; without this the counts decide
    #[arg(long, value_name = "READING", value_parser = words(NUMBER_BEFORE_STITCH))]
    number_before_stitch: Option<NumberBeforeStitch>,

    /// What "rep from * 5 times" means; without this the counts decide
    #[arg(long, value_name = "READING", value_parser = words(REPEAT_NUMBER))]
    repeat_number: Option<RepeatNumber>,

    /// A stitch that the text does not explain: its name, the places it takes, the stitches it makes and, where it leaves
    /// a space, the space's chains, such as pebble=1,1 or lattice=2,1,3; once for each
    #[arg(long = "stitch", value_name = "NAME=PLACES,MAKES[,CHAINS]", value_parser = own_stitch::read_short)]
    stitches: Vec<OwnStitch>,

    /// Say what stands in each row, stitch by stitch and space by space
    #[arg(long)]
    structure: bool,
}

/// One of a few words, the same as over HTTP.
fn words<T: Copy + Send + Sync + 'static>(choices: &'static [(&'static str, T)]) -> impl TypedValueParser<Value = T> {
    PossibleValuesParser::new(choices.iter().map(|(word, _)| *word)).try_map(move |word| chosen(&word, choices))
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// A report for people
    Text,
    /// The same JSON as over HTTP; for several files a list
    Json,
}

/// One file's answer in a list of several.
#[derive(Serialize)]
struct FileAnswer<'a> {
    file: &'a str,
    #[serde(flatten)]
    verification: Verification<'a>,
}

struct Done<'a> {
    file: &'a str,
    text: String,
    verification: verify::Verification,
}

/// Verifies all files, says on standard error which could not be verified, and answers for the others.
pub fn run(options: &VerifyOptions) -> ExitCode {
    for (at, stitch) in options.stitches.iter().enumerate() {
        if let Err(why) = own_stitch::named(&stitch.name, &options.stitches[..at]) {
            eprintln!("evenround: --stitch {}: {why}", stitch.name);
            return ExitCode::from(2);
        }
    }
    let mut done = Vec::new();
    let mut failed = false;
    for file in &options.files {
        match verify_file(file, options) {
            Ok(one) => done.push(one),
            Err(why) => {
                failed = true;
                eprintln!("evenround: {file}: {why}");
            }
        }
    }
    if let Err(error) = answer(options, &done) {
        // A reader that has seen enough, such as `head`, is no fault.
        if error.kind() != io::ErrorKind::BrokenPipe {
            eprintln!("evenround: cannot write the answer: {error}");
            failed = true;
        }
    }
    match () {
        () if failed => ExitCode::from(2),
        () if done.iter().all(|one| one.verification.holds) => ExitCode::SUCCESS,
        () => ExitCode::from(1),
    }
}

fn verify_file<'a>(file: &'a str, options: &VerifyOptions) -> Result<Done<'a>, String> {
    let text = read(file)?;
    let request = Request {
        pattern: &text,
        terms: options.terms,
        sizes: (!options.sizes.is_empty()).then(|| options.sizes.clone()),
        settled: Settled {
            turning_chain: options.turning_chain,
            skipped_chains: options.skipped_chains,
            number_before_stitch: options.number_before_stitch,
            repeat_number: options.repeat_number,
        },
        stitches: options.stitches.clone(),
        structure: options.structure,
        ..Request::default()
    };
    let verification = verify(&request).map_err(|problems| {
        problems
            .0
            .iter()
            .map(|problem| format!("{} {}", problem.pointer.trim_start_matches('/'), problem.detail))
            .collect::<Vec<_>>()
            .join("; ")
    })?;
    Ok(Done { file, text, verification })
}

fn read(file: &str) -> Result<String, String> {
    let mut bytes = Vec::new();
    // One byte more than is allowed tells a text that is too long from one that just fits.
    let limit = MAX_TEXT_BYTES as u64 + 1;
    let outcome = if file == STANDARD_INPUT {
        io::stdin().lock().take(limit).read_to_end(&mut bytes)
    } else {
        File::open(file).and_then(|opened| opened.take(limit).read_to_end(&mut bytes))
    };
    outcome.map_err(|error| error.to_string())?;
    if bytes.len() > MAX_TEXT_BYTES {
        return Err(format!("is longer than {} MiB; verify its pieces one by one", MAX_TEXT_BYTES / (1024 * 1024)));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let (offset, line) = first_bad_byte(error.as_bytes(), error.utf8_error().valid_up_to());
        format!("byte {offset} (counted from 0), on line {line}, is not UTF-8; save the pattern as UTF-8")
    })?;
    if text.trim().is_empty() { Err("is empty".to_owned()) } else { Ok(text) }
}

fn answer(options: &VerifyOptions, done: &[Done<'_>]) -> io::Result<()> {
    let mut out = io::BufWriter::new(io::stdout().lock());
    match options.format {
        Format::Text => {
            for (i, one) in done.iter().enumerate() {
                if i > 0 {
                    writeln!(out)?;
                }
                if options.files.len() > 1 {
                    writeln!(out, "{}\n", one.file)?;
                }
                out.write_all(text::render(&one.text, one.file, &one.verification).as_bytes())?;
            }
        }
        Format::Json if options.files.len() == 1 => {
            for one in done {
                serde_json::to_writer(&mut out, &Verification::from(&one.verification))?;
                writeln!(out)?;
            }
        }
        Format::Json => {
            let list: Vec<FileAnswer<'_>> = done
                .iter()
                .map(|one| FileAnswer { file: one.file, verification: Verification::from(&one.verification) })
                .collect();
            serde_json::to_writer(&mut out, &list)?;
            writeln!(out)?;
        }
    }
    out.flush()
}
