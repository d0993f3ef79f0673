//! `evenround verify`: the same answer as over HTTP, for a whole shelf of files, with an exit code for scripts.
//!
//! [`shelf`] finds the texts, `in_order` has them worked on all cores by [`one`], and here each is written as it comes.

pub mod accepted;
mod in_order;
pub mod mend;
pub mod one;
mod progress;
mod replace;
pub mod shelf;
mod standing;

use std::ffi::OsString;
use std::io::{self, Write};
use std::ops::ControlFlow;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, ValueEnum};
use evenround_calc::verify::{
    NumberBeforeStitch, OwnStitch, RepeatNumber, Request, Settled, Severity, Terms, TurningChain,
};

use self::accepted::{Accepted, Ledger};
use self::one::{Answered, Manner, Mending, Outcome};
use self::progress::Progress;
use self::shelf::STANDARD_INPUT;
use self::standing::Bar;
use crate::api::own_stitch;
use crate::api::verification_request::{NUMBER_BEFORE_STITCH, REPEAT_NUMBER, TERMS, TURNING_CHAIN};
use crate::fields::chosen;
use crate::report::json::Json;
use crate::report::junit::JUnit;
use crate::report::ndjson::Ndjson;
use crate::report::people::People;
use crate::report::plain::plain;
use crate::report::sarif::Sarif;
use crate::report::{Checked, Failed, Report};

/// Options of `verify`.
#[derive(Debug, Args)]
pub struct VerifyOptions {
    /// Files with one written pattern each, folders of them (.txt, .md, .markdown, .html, .htm, and all folders below), or
    /// globs such as 'spring/**/*.txt'; - reads standard input
    #[arg(required = true, value_name = "FILE")]
    files: Vec<OsString>,

    /// How to answer
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    format: Format,

    /// Make the repairs that leave no choice in the files themselves, and say what is left to you
    #[arg(long)]
    mend: bool,

    /// Show what --mend would change, as a diff, and change nothing
    #[arg(long, conflicts_with_all = ["mend", "format"])]
    show_mends: bool,

    /// The least grave finding that counts against a pattern
    #[arg(long, value_name = "SEVERITY", default_value = "error")]
    fail_on: FailOn,

    /// Do not count rows against a pattern that could not be read or verified
    #[arg(long)]
    allow_unread: bool,

    /// Findings that you have looked at and accept, as --write-accepted writes them; they are shown and do not count
    #[arg(long, value_name = "FILE")]
    accepted: Option<PathBuf>,

    /// Count it as a fault if something is accepted that is not found any more
    #[arg(long, requires = "accepted")]
    stale_fails: bool,

    /// Accept everything that is found now: write it to this file
    #[arg(long, value_name = "FILE", conflicts_with = "show_mends")]
    write_accepted: Option<PathBuf>,

    /// No progress bar; there is none anyway unless standard error is a terminal
    #[arg(long)]
    no_progress: bool,

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
    /// The same JSON as over HTTP; for anything but one file a list
    Json,
    /// One line of JSON a file as soon as it is there, and a last one that adds them up
    Ndjson,
    /// SARIF 2.1.0, for editors and code hosts
    Sarif,
    /// JUnit XML, for test runners
    Junit,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum FailOn {
    /// It cannot be worked, or comes out wrong
    Error,
    /// Or it is confusing
    Warning,
    /// Or there is anything to be said at all
    Note,
}

impl FailOn {
    const fn severity(self) -> Severity {
        match self {
            Self::Error => Severity::Error,
            Self::Warning => Severity::Warning,
            Self::Note => Severity::Note,
        }
    }
}

impl VerifyOptions {
    fn settled(&self) -> Request<'static> {
        Request {
            terms: self.terms,
            sizes: (!self.sizes.is_empty()).then(|| self.sizes.clone()),
            settled: Settled {
                turning_chain: self.turning_chain,
                skipped_chains: self.skipped_chains,
                number_before_stitch: self.number_before_stitch,
                repeat_number: self.repeat_number,
            },
            stitches: self.stitches.clone(),
            structure: self.structure,
            ..Request::default()
        }
    }

    const fn mending(&self) -> Mending {
        match (self.mend, self.show_mends) {
            (true, _) => Mending::Written,
            (_, true) => Mending::Shown,
            _ => Mending::No,
        }
    }

    /// What is wrong with the options as they stand together.
    fn check(&self) -> Result<(), String> {
        for (at, stitch) in self.stitches.iter().enumerate() {
            own_stitch::named(&stitch.name, &self.stitches[..at])
                .map_err(|why| format!("--stitch {}: {why}", stitch.name))?;
        }
        if self.mend && self.files.iter().any(|file| file == STANDARD_INPUT) {
            return Err(
                "--mend: standard input is no file that could be written; --show-mends shows what would change".into(),
            );
        }
        Ok(())
    }
}

/// Verifies all that the arguments name, says on standard error what could not be verified, and answers for the rest.
pub fn run(options: &VerifyOptions) -> ExitCode {
    match verify_all(options) {
        Ok(standing) => ExitCode::from(standing as u8),
        Err(why) => {
            eprintln!("evenround: {why}");
            ExitCode::from(Standing::Failed as u8)
        }
    }
}

/// How it all stands, which is the exit code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Standing {
    /// Nothing counts against any text.
    Fine = 0,
    /// Something does.
    Faulty = 1,
    /// Something could not be verified, mended or written.
    Failed = 2,
}

fn verify_all(options: &VerifyOptions) -> Result<Standing, String> {
    options.check()?;
    let named = |file: &Option<PathBuf>, why| match file {
        Some(file) => format!("{}: {why}", file.display()),
        None => why,
    };
    let accepted = Accepted::read(options.accepted.as_deref()).map_err(|why| named(&options.accepted, why))?;
    let ledger =
        Ledger::new(&accepted, options.write_accepted.as_deref()).map_err(|why| named(&options.write_accepted, why))?;
    let manner = Manner { settled: options.settled(), mending: options.mending(), accepted: &accepted };
    let found = shelf::find(&options.files);
    let progress = Progress::over(found.len(), !options.no_progress);
    let mut desk = match Desk::new(options, ledger, found.len()) {
        Ok(desk) => desk,
        Err(error) => return Err(unwritable(&error)),
    };
    let mut outcome = Ok(());
    in_order::in_order(
        &found,
        |found| manner.answer(found),
        |one| {
            outcome = progress.beside(|| desk.take(&one));
            progress.step(one.name());
            if outcome.is_ok() { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
        },
    );
    progress.end();
    match outcome.and_then(|()| desk.report.finish()) {
        Ok(()) => desk.close(options.stale_fails),
        // A reader that has seen enough, such as `head`, is no fault; but what was left out cannot be called fine.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {
            Ok(if desk.left > 0 { Standing::Failed } else { desk.standing })
        }
        Err(error) => Err(unwritable(&error)),
    }
}

fn unwritable(error: &io::Error) -> String {
    format!("cannot write the answer: {error}")
}

/// Where answers come in one after the other.
struct Desk<'a> {
    bar: Bar,
    report: Box<dyn Report>,
    ledger: Ledger<'a>,
    standing: Standing,
    /// Answers that have not come yet.
    left: usize,
}

impl<'a> Desk<'a> {
    fn new(options: &VerifyOptions, ledger: Ledger<'a>, texts: usize) -> io::Result<Self> {
        let single = matches!(&options.files[..], [only] if shelf::is_single(only));
        let out = io::BufWriter::new(io::stdout());
        let report: Box<dyn Report> = match options.format {
            _ if options.show_mends => Box::new(Silent),
            Format::Text => Box::new(People::new(out, !single)),
            Format::Json => Box::new(Json::new(out, !single)),
            Format::Ndjson => Box::new(Ndjson::new(out)),
            Format::Sarif => Box::new(Sarif::new(out)?),
            Format::Junit => Box::new(JUnit::new(out)?),
        };
        let bar = Bar { fail_on: options.fail_on.severity(), allow_unread: options.allow_unread };
        Ok(Self { bar, report, ledger, standing: Standing::Fine, left: texts })
    }

    fn take(&mut self, one: &Outcome) -> io::Result<()> {
        self.left -= 1;
        match one {
            Outcome::Answered(one) => self.answered(one),
            Outcome::Failed(name, why) => {
                self.trouble(name, why);
                self.report.failed(&Failed { name, why })
            }
        }
    }

    fn answered(&mut self, one: &Answered) -> io::Result<()> {
        let (answer, matches) = (&one.look.answer, &one.look.accepted);
        self.ledger.saw(&one.file, answer, matches);
        // What is being accepted now counts no more than what was accepted before.
        let accepted =
            if self.ledger.is_written() { (0..answer.findings.len()).collect() } else { one.look.accepted() };
        if !self.bar.is_met(answer, &accepted) {
            self.standing = self.standing.max(Standing::Faulty);
        }
        if let Some(why) = &one.unwritten {
            self.trouble(&one.name, why);
        }
        if let Some(mended) = &one.mended {
            let diff = mended.diff(&one.text, &one.name);
            if !diff.is_empty() {
                let mut out = io::stdout().lock();
                out.write_all(diff.as_bytes())?;
                out.flush()?;
            }
            for line in mended.done.iter().filter(|_| diff.is_empty()).chain(&mended.left) {
                say(&one.name, line);
            }
        }
        self.report.checked(&Checked {
            name: &one.name,
            text: &one.text,
            verification: answer,
            accepted: &one.look.accepted(),
        })
    }

    fn trouble(&mut self, name: &str, why: &str) {
        say(name, why);
        self.standing = Standing::Failed;
    }

    /// What is said and written when all texts have been taken.
    fn close(mut self, stale_fails: bool) -> Result<Standing, String> {
        for entry in self.ledger.stale() {
            say(&entry.to_string(), "is accepted, and is not found any more; take the entry out");
            if stale_fails {
                self.standing = self.standing.max(Standing::Faulty);
            }
        }
        self.ledger.write()?;
        Ok(self.standing)
    }
}

/// A line on standard error. Where nobody reads it any more, that is no fault.
fn say(name: &str, what: &str) {
    let _ = writeln!(io::stderr(), "evenround: {}: {}", plain(name), plain(what));
}

/// No report: the diffs are all there is to say.
struct Silent;

impl Report for Silent {
    fn checked(&mut self, _: &Checked<'_>) -> io::Result<()> {
        Ok(())
    }

    fn failed(&mut self, _: &Failed<'_>) -> io::Result<()> {
        Ok(())
    }

    fn finish(&mut self) -> io::Result<()> {
        Ok(())
    }
}
