//! Findings that the designer has looked at and accepts, kept in a file of TOML beside the patterns. An entry stands for one
//! finding and names it by file, piece, row and rule, never by a line: it holds while the text around it changes.

use std::collections::{HashMap, HashSet};
use std::path::{Component, Path, PathBuf};

use evenround_calc::verify::{Finding, Rule, Verification};
use serde::{Deserialize, Serialize};

use super::replace;

const HEAD: &str = "# Findings that are accepted: `evenround verify --accepted FILE` does not count them.
# Each entry stands for one finding. `file` is relative to this file; a `reason` may be added.
";

/// One accepted finding.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Relative to the folder of the file that holds the entry, with `/` between its parts.
    file: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    piece: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    row: String,
    rule: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    reason: Option<String>,
}

impl Entry {
    fn of(file: &str, finding: &Finding, reason: Option<String>) -> Self {
        Self {
            file: file.to_owned(),
            piece: finding.piece.clone(),
            row: finding.row.clone(),
            rule: finding.rule.name().to_owned(),
            reason,
        }
    }

    fn is_for(&self, finding: &Finding) -> bool {
        self.piece == finding.piece && self.row == finding.row && self.rule == finding.rule.name()
    }
}

/// `cap.txt, Crown, Rnd 5: count-mismatch`.
impl std::fmt::Display for Entry {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.file)?;
        for part in [&self.piece, &self.row].into_iter().filter(|part| !part.is_empty()) {
            write!(f, ", {part}")?;
        }
        write!(f, ": {}", self.rule)
    }
}

#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Page {
    #[serde(default)]
    accepted: Vec<Entry>,
}

/// A folder that files are named from.
#[derive(Debug, Clone)]
struct Base(PathBuf);

impl Base {
    fn of(file: &Path) -> Result<Self, String> {
        let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        folder.canonicalize().map(Self).map_err(|error| format!("its folder: {error}"))
    }

    /// The name of a file as seen from here. Links in its last part are not followed: the name is what was meant.
    fn name(&self, file: &Path) -> String {
        let folder = Self::of(file).map_or_else(|_| PathBuf::new(), |base| base.0);
        self.relative(&file.file_name().map_or_else(|| folder.clone(), |name| folder.join(name)))
    }

    fn relative(&self, file: &Path) -> String {
        let (here, there): (Vec<_>, Vec<_>) = (self.0.components().collect(), file.components().collect());
        let common = here.iter().zip(&there).take_while(|(one, other)| one == other).count();
        let up = here[common..].iter().map(|_| "..".to_owned());
        up.chain(there[common..].iter().map(|part| part.as_os_str().to_string_lossy().into_owned()))
            .collect::<Vec<_>>()
            .join("/")
    }

    /// Where a name leads to, without a look at whether anything is there.
    fn place(&self, name: &str) -> PathBuf {
        let mut place = self.0.clone();
        for part in Path::new(name).components() {
            match part {
                Component::ParentDir => drop(place.pop()),
                Component::CurDir => {}
                part => place.push(part),
            }
        }
        place
    }
}

/// A finding and the entry that accepts it.
#[derive(Debug, Clone, Copy)]
pub struct Match {
    /// Its position among the findings.
    pub finding: usize,
    entry: usize,
}

/// What is accepted.
#[derive(Debug)]
pub struct Accepted {
    /// `None` where there is no file.
    base: Option<Base>,
    entries: Vec<Entry>,
    by_file: HashMap<String, Vec<usize>>,
}

impl Accepted {
    /// Reads a file of accepted findings; without one nothing is accepted.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn read(file: Option<&Path>) -> Result<Self, String> {
        let Some(file) = file else {
            return Ok(Self { base: None, entries: Vec::new(), by_file: HashMap::new() });
        };
        let text = std::fs::read_to_string(file).map_err(|error| error.to_string())?;
        let entries = toml::from_str::<Page>(&text).map_err(|error| error.to_string())?.accepted;
        let unknown: Vec<String> = entries
            .iter()
            .enumerate()
            .filter(|(_, entry)| !Rule::ALL.iter().any(|rule| rule.name() == entry.rule))
            .map(|(nth, entry)| format!("entry {}: no rule is called {:?}", nth + 1, entry.rule))
            .collect();
        if !unknown.is_empty() {
            let names: Vec<&str> = Rule::ALL.iter().map(|rule| rule.name()).collect();
            return Err(format!("{}; the rules are {}", unknown.join("; "), names.join(", ")));
        }
        let mut by_file: HashMap<String, Vec<usize>> = HashMap::new();
        let base = Base::of(file)?;
        for (at, entry) in entries.iter().enumerate() {
            by_file.entry(base.relative(&base.place(&entry.file))).or_default().push(at);
        }
        Ok(Self { base: Some(base), entries, by_file })
    }

    /// Which findings of a file are accepted, and by which entries. An entry accepts one finding, so that a second fault of
    /// the same rule in the same row is not hidden by it.
    pub fn of(&self, file: &Path, answer: &Verification) -> Vec<Match> {
        let Some(base) = &self.base else { return Vec::new() };
        let mut open = self.by_file.get(&base.name(file)).cloned().unwrap_or_default();
        let findings = answer.findings.iter().enumerate();
        findings
            .filter_map(|(at, finding)| {
                let nth = open.iter().position(|entry| self.entries[*entry].is_for(finding))?;
                Some(Match { finding: at, entry: open.remove(nth) })
            })
            .collect()
    }
}

/// What becomes of the accepted findings while a shelf is verified: which still are, and what a new file of them says.
#[derive(Debug)]
pub struct Ledger<'a> {
    accepted: &'a Accepted,
    matched: HashSet<usize>,
    seen: HashSet<String>,
    written: Option<(PathBuf, Base, Vec<Entry>)>,
}

impl<'a> Ledger<'a> {
    /// A ledger that is to be written to a file, where there is one.
    ///
    /// # Errors
    /// If the file's folder is not there.
    pub fn new(accepted: &'a Accepted, to: Option<&Path>) -> Result<Self, String> {
        let written = to.map(|to| Base::of(to).map(|base| (to.to_owned(), base, Vec::new()))).transpose()?;
        Ok(Self { accepted, matched: HashSet::new(), seen: HashSet::new(), written })
    }

    /// Whether the findings go into a file.
    pub fn is_written(&self) -> bool {
        self.written.is_some()
    }

    /// A file was verified.
    pub fn saw(&mut self, file: &Path, answer: &Verification, matches: &[Match]) {
        if let Some(base) = &self.accepted.base {
            self.seen.insert(base.name(file));
            self.matched.extend(matches.iter().map(|one| one.entry));
        }
        if let Some((_, base, entries)) = &mut self.written {
            let name = base.name(file);
            entries.extend(answer.findings.iter().enumerate().map(|(at, finding)| {
                let known = matches.iter().find(|one| one.finding == at).map(|one| &self.accepted.entries[one.entry]);
                Entry::of(&name, finding, known.and_then(|entry| entry.reason.clone()))
            }));
        }
    }

    /// Entries of files that were verified, or are gone, which match nothing any more.
    pub fn stale(&self) -> Vec<&Entry> {
        self.accepted
            .entries
            .iter()
            .enumerate()
            .filter(|(at, entry)| !self.matched.contains(at) && !self.is_unseen(entry))
            .map(|(_, entry)| entry)
            .collect()
    }

    /// Whether its file is there and was not verified this time, so that nothing can be said of it.
    fn is_unseen(&self, entry: &Entry) -> bool {
        self.accepted.base.as_ref().is_some_and(|base| {
            let place = base.place(&entry.file);
            !self.seen.contains(&base.relative(&place))
                && (place.exists() || entry.file == super::shelf::STANDARD_INPUT)
        })
    }

    /// Writes the file, where one is asked for. What is accepted of files that were not verified this time stays in it.
    ///
    /// # Errors
    /// If it cannot be written; what was there before is there still.
    pub fn write(self) -> Result<(), String> {
        let kept: Vec<&Entry> = self.accepted.entries.iter().filter(|entry| self.is_unseen(entry)).collect();
        let Some((file, base, mut entries)) = self.written.as_ref().map(|(file, base, new)| (file, base, new.clone()))
        else {
            return Ok(());
        };
        if let Some(from) = &self.accepted.base {
            entries.extend(
                kept.into_iter().map(|entry| Entry { file: base.relative(&from.place(&entry.file)), ..entry.clone() }),
            );
        }
        entries.sort_by(|one, other| one.file.cmp(&other.file));
        let text = toml::to_string(&Page { accepted: entries }).map_err(|error| error.to_string())?;
        replace::write_new(file, &format!("{HEAD}\n{text}")).map_err(|why| format!("{}: {why}", file.display()))
    }
}
