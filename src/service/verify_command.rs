//! `evenround verify`: the same answer as over HTTP, for files, with an exit code for scripts.

use std::fs::File;
use std::io::{self, Read, Write};
use std::process::ExitCode;

use clap::{Args, ValueEnum};
use evenround_calc::verify::{self, MAX_TEXT_BYTES, Request, Settled, Terms, TurningChain, verify};
use serde::Serialize;

use crate::api::verification::Verification;
use crate::body::first_bad_byte;
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
    #[arg(long, value_name = "TERMS")]
    terms: Option<TermsOption>,

    /// The name of a size, once for each, in the order of the text's size lists; without this the text decides
    #[arg(long = "size", value_name = "NAME")]
    sizes: Vec<String>,

    /// Whether a beginning or turning chain of two or more is a stitch; without this the text decides
    #[arg(long, value_name = "READING")]
    turning_chain: Option<TurningChainOption>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// A report for people
    Text,
    /// The same JSON as over HTTP; for several files a list
    Json,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum TermsOption {
    /// United States terms
    Us,
    /// United Kingdom terms
    Uk,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum TurningChainOption {
    /// It is the row's first stitch
    Counts,
    /// It is only height
    DoesNotCount,
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
        terms: options.terms.map(|terms| match terms {
            TermsOption::Us => Terms::Us,
            TermsOption::Uk => Terms::Uk,
        }),
        sizes: (!options.sizes.is_empty()).then(|| options.sizes.clone()),
        settled: Settled {
            turning_chain: options.turning_chain.map(|reading| match reading {
                TurningChainOption::Counts => TurningChain::Counts,
                TurningChainOption::DoesNotCount => TurningChain::DoesNotCount,
            }),
            ..Settled::default()
        },
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
