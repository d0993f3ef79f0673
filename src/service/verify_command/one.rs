//! One text: read, taken out of its markup, verified, and mended where that is asked for.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use evenround_calc::verify::{Fix, MAX_TEXT_BYTES, Request, Verification, evident_fixes, verify};

use super::accepted::{Accepted, Match};
use super::mend::{self, Mended};
use super::replace::replace;
use super::shelf::{Found, STANDARD_INPUT};
use crate::body::first_bad_byte;
use crate::manuscript::{Manuscript, Markup};

/// How texts are verified.
#[derive(Debug)]
pub struct Manner<'a> {
    /// What is settled beforehand; its pattern is not used.
    pub settled: Request<'static>,
    /// What becomes of repairs.
    pub mending: Mending,
    /// What is accepted.
    pub accepted: &'a Accepted,
}

/// What becomes of repairs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mending {
    /// They are shown under their findings.
    No,
    /// Those that are evident are shown as edits of the file.
    Shown,
    /// They are made in the file.
    Written,
}

/// A text that was verified.
#[derive(Debug)]
pub struct Answered {
    /// Its name.
    pub name: String,
    /// Where it is, from where the program was started.
    pub file: PathBuf,
    /// The text that the answer is about.
    pub text: String,
    /// What was found, and what of it is accepted.
    pub look: Look,
    /// What was mended or could be, where it was asked for.
    pub mended: Option<Mended>,
    /// Why it could not be written.
    pub unwritten: Option<String>,
}

/// What comes of a text on the shelf.
#[derive(Debug)]
pub enum Outcome {
    /// An answer.
    Answered(Box<Answered>),
    /// None: a name, and why.
    Failed(String, String),
}

impl Outcome {
    /// The text's name.
    pub fn name(&self) -> &str {
        match self {
            Self::Answered(one) => &one.name,
            Self::Failed(name, _) => name,
        }
    }
}

/// What is seen in a text as it stands.
#[derive(Debug)]
pub struct Look {
    /// The answer, its places in the text as it is written down.
    pub answer: Verification,
    /// For each finding the fix that may be made without asking.
    pub evident: Vec<Option<Fix>>,
    /// What is accepted of it.
    pub accepted: Vec<Match>,
}

impl Look {
    /// Positions of the findings that are accepted.
    pub fn accepted(&self) -> Vec<usize> {
        self.accepted.iter().map(|one| one.finding).collect()
    }
}

impl Manner<'_> {
    /// Everything that is to be done with one text.
    pub fn answer(&self, found: &Found) -> Outcome {
        let name = found.name().to_owned();
        let file = match found {
            Found::StandardInput => Path::new(STANDARD_INPUT),
            Found::File(_, file) => file,
            Found::Nothing(_, why) => return Outcome::Failed(name, why.clone()),
        };
        match self.worked(&name, file) {
            Ok(answered) => Outcome::Answered(Box::new(answered)),
            Err(why) => Outcome::Failed(name, why),
        }
    }

    fn worked(&self, name: &str, file: &Path) -> Result<Answered, String> {
        let text = read(file)?;
        let look = self.look(name, file, &text)?;
        let done = |text, look, mended, unwritten| {
            Ok(Answered { name: name.to_owned(), file: file.to_owned(), text, look, mended, unwritten })
        };
        if self.mending == Mending::No {
            return done(text, look, None, None);
        }
        let mut mended = mend::mend(&text, &look, |text| self.look(name, file, text));
        if self.mending == Mending::Shown {
            return done(text, look, Some(mended), None);
        }
        match mended.look.take() {
            None => done(text, look, Some(mended), None),
            Some(after) => match replace(file, &text, &mended.text) {
                Ok(()) => done(mended.text.clone(), after, Some(mended), None),
                Err(why) => done(text, look, None, Some(why)),
            },
        }
    }

    /// Verifies a text as its file keeps it.
    fn look(&self, name: &str, file: &Path, text: &str) -> Result<Look, String> {
        let manuscript = Manuscript::read(text, Markup::of_file(name));
        if manuscript.text().trim().is_empty() {
            return Err("has no text in it".to_owned());
        }
        let request = Request { pattern: manuscript.text(), ..self.settled.clone() };
        let mut answer = verify(&request).map_err(|problems| {
            let each = problems.0.iter();
            each.map(|problem| format!("{} {}", problem.pointer.trim_start_matches('/'), problem.detail))
                .collect::<Vec<_>>()
                .join("; ")
        })?;
        let evident = if self.mending == Mending::No {
            vec![None; answer.findings.len()]
        } else {
            self::evident(&request, &answer, &manuscript)
        };
        manuscript.restore(&mut answer);
        let accepted = self.accepted.of(file, &answer);
        Ok(Look { answer, evident, accepted })
    }
}

/// The evident fixes, as edits of the text as it is written down; those that cannot be made there are none.
fn evident(request: &Request<'_>, answer: &Verification, manuscript: &Manuscript<'_>) -> Vec<Option<Fix>> {
    let mut only = answer.clone();
    // What is evident is decided among all fixes: one that cannot be made may still be the one that was meant.
    for (finding, at) in only.findings.iter_mut().zip(evident_fixes(request, answer)) {
        let fixes = std::mem::take(&mut finding.fixes);
        finding.fixes = at.and_then(|at| fixes.into_iter().nth(at)).into_iter().collect();
    }
    manuscript.restore(&mut only);
    only.findings.into_iter().map(|finding| finding.fixes.into_iter().next()).collect()
}

fn read(file: &Path) -> Result<String, String> {
    let mut bytes = Vec::new();
    // One byte more than is allowed tells a text that is too long from one that just fits.
    let limit = MAX_TEXT_BYTES as u64 + 1;
    let outcome = if file == Path::new(STANDARD_INPUT) {
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
