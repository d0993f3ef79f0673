//! SARIF 2.1.0, the OASIS standard for what checkers find: one run over all texts, written finding by finding.
//!
//! Numbers of sections in these files are those of the standard.

mod message;
mod region;
mod rules;
mod uri;

use std::io::{self, Write};

use evenround_calc::verify::{Finding, Fix, Rule, Suspect};
use serde::Serialize;
use utoipa::ToSchema;

use super::{Checked, Failed, Report, identity};
use message::Message;
use region::{Region, Regions};
use rules::Descriptor;
use uri::{ArtifactLocation, BASE};

/// The media type.
pub const MEDIA_TYPE: &str = "application/sarif+json";
const SCHEMA: &str = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// The log of one text.
///
/// # Errors
/// None that a text could bring about: there is nothing to fail in memory.
pub fn of_one(one: &Checked<'_>, home: Option<&str>) -> io::Result<Vec<u8>> {
    let mut out = Vec::new();
    let mut log = Sarif::with_home(&mut out, home)?;
    log.checked(one)?;
    log.finish()?;
    Ok(out)
}

/// A SARIF 2.1.0 log (OASIS): one run; a result for each finding, with its region, its repairs as `fixes`, and a
/// fingerprint that edits elsewhere leave as it was; every rule with its help. Columns are Unicode code points.
#[derive(Debug, ToSchema)]
#[allow(dead_code)] // only described: what is written is held against the schema of the standard
pub struct SarifLog {
    /// Where the schema of the format is.
    #[schema(rename = "$schema", format = "uri")]
    schema: String,
    /// The version of the format.
    #[schema(pattern = r"^2\.1\.0$")]
    version: String,
    /// The one run.
    #[schema(min_items = 1, max_items = 1)]
    runs: Vec<serde_json::Map<String, serde_json::Value>>,
}

/// A SARIF log with one run.
///
/// Findings are written as they come. What the standard wants behind them is kept until then: of each text its name and
/// length.
#[derive(Debug)]
pub struct Sarif<W> {
    out: W,
    /// The texts as JSON, with commas between them.
    artifacts: Vec<u8>,
    texts: usize,
    /// The notifications as JSON, with commas between them.
    notifications: Vec<u8>,
    results: usize,
}

impl<W: Write> Sarif<W> {
    /// Begins a log.
    ///
    /// # Errors
    /// Where the output cannot be written.
    pub fn new(out: W) -> io::Result<Self> {
        Self::with_home(out, None)
    }

    /// Begins a log whose rules lead to their pages on the service of this address, `https://counts.example` perhaps.
    ///
    /// # Errors
    /// Where the output cannot be written.
    pub fn with_home(mut out: W, home: Option<&str>) -> io::Result<Self> {
        write!(out, "{{\"$schema\":\"{SCHEMA}\",\"version\":\"2.1.0\",\"runs\":[{{\"tool\":{{\"driver\":")?;
        serde_json::to_writer(&mut out, &Driver::new(home))?;
        out.write_all(b"},")?;
        write!(out, "\"originalUriBaseIds\":{{\"{BASE}\":")?;
        serde_json::to_writer(&mut out, &Base::default())?;
        // A line ends where the calculation ends one, and a column is a character, as everywhere else in its answers.
        out.write_all(br#"},"newlineSequences":["\r\n","\n"],"columnKind":"unicodeCodePoints","results":["#)?;
        Ok(Self { out, artifacts: Vec::new(), texts: 0, notifications: Vec::new(), results: 0 })
    }
}

impl<W: Write> Report for Sarif<W> {
    fn checked(&mut self, one: &Checked<'_>) -> io::Result<()> {
        let location = ArtifactLocation::of(one.name, Some(self.texts));
        let regions = Regions::of(one.text);
        let findings = &one.verification.findings;
        for (nth, (finding, name)) in findings.iter().zip(identity::names(one.verification)).enumerate() {
            let result = Outcome::of(finding, name, &location, &regions, one.accepted.contains(&nth));
            self.out.write_all(if self.results == 0 { b"\n" } else { b",\n" })?;
            serde_json::to_writer(&mut self.out, &result)?;
            self.results += 1;
        }
        let artifact = Artifact { location, length: one.text.len(), roles: ["analysisTarget"], encoding: "UTF-8" };
        append(&mut self.artifacts, &artifact)?;
        self.texts += 1;
        Ok(())
    }

    fn failed(&mut self, one: &Failed<'_>) -> io::Result<()> {
        let physical_location =
            PhysicalLocation { artifact_location: ArtifactLocation::of(one.name, None), region: None };
        let notification = Notification {
            level: "error",
            message: Message::plain(format!("{} could not be verified: {}", one.name, one.why)),
            locations: [Location { physical_location, logical_locations: Vec::new() }],
        };
        append(&mut self.notifications, &notification)
    }

    fn finish(&mut self) -> io::Result<()> {
        let out = &mut self.out;
        out.write_all(b"\n],\"artifacts\":[")?;
        out.write_all(&self.artifacts)?;
        // A run with an error among its notifications is one that failed (§3.20.21).
        let successful = self.notifications.is_empty();
        write!(out, "\n],\"invocations\":[{{\"executionSuccessful\":{successful},\"toolExecutionNotifications\":[")?;
        out.write_all(&self.notifications)?;
        out.write_all(b"]}]}]}\n")?;
        out.flush()
    }
}

/// Adds an element to the inside of a JSON array, each on a line of its own.
fn append(list: &mut Vec<u8>, element: &impl Serialize) -> io::Result<()> {
    list.extend_from_slice(if list.is_empty() { b"\n" } else { b",\n" });
    Ok(serde_json::to_writer(list, element)?)
}

/// The program (§3.19).
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Driver<'a> {
    name: &'static str,
    version: &'static str,
    semantic_version: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    information_uri: Option<&'a str>,
    rules: Vec<Descriptor>,
}

impl<'a> Driver<'a> {
    fn new(home: Option<&'a str>) -> Self {
        let version = env!("CARGO_PKG_VERSION");
        Self {
            name: "Evenround",
            version,
            semantic_version: version,
            information_uri: home,
            rules: Rule::ALL.iter().map(|rule| Descriptor::of(*rule, home)).collect(),
        }
    }
}

/// What the names of the texts are relative to; where on the machine that is stays there.
#[derive(Serialize)]
struct Base {
    description: Message<'static>,
}

impl Default for Base {
    fn default() -> Self {
        Self { description: Message::plain("The folder in which the program was started.") }
    }
}

/// A text (§3.24).
#[derive(Serialize)]
struct Artifact {
    location: ArtifactLocation,
    length: usize,
    roles: [&'static str; 1],
    encoding: &'static str,
}

/// A finding (§3.27).
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Outcome<'a> {
    rule_id: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    rule_index: Option<usize>,
    level: &'static str,
    message: Message<'a>,
    locations: [Location<'a>; 1],
    partial_fingerprints: Fingerprints,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    fixes: Vec<Repair<'a>>,
    /// Empty is what a run says that knows which findings are accepted, of a finding that is not (§3.27.23).
    suppressions: Vec<Suppression>,
    properties: Properties<'a>,
}

impl<'a> Outcome<'a> {
    fn of(finding: &'a Finding, name: String, text: &ArtifactLocation, regions: &Regions<'_>, accepted: bool) -> Self {
        let region = Some(regions.place(&finding.place));
        let physical_location = PhysicalLocation { artifact_location: text.clone(), region };
        Self {
            rule_id: finding.rule.name(),
            rule_index: rules::index_of(finding.rule),
            level: finding.severity.code(),
            message: Message::plain(&finding.message),
            locations: [Location { physical_location, logical_locations: LogicalLocation::of(finding) }],
            partial_fingerprints: Fingerprints { name },
            fixes: finding.fixes.iter().filter_map(|fix| Repair::of(fix, text, regions)).collect(),
            suppressions: if accepted {
                vec![Suppression { kind: "external", status: "accepted" }]
            } else {
                Vec::new()
            },
            properties: Properties {
                piece: &finding.piece,
                row: &finding.row,
                sizes: &finding.sizes,
                expected: finding.expected,
                actual: finding.actual,
                suspect: finding.suspect.map(Suspect::code),
            },
        }
    }
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Location<'a> {
    physical_location: PhysicalLocation,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    logical_locations: Vec<LogicalLocation<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct PhysicalLocation {
    artifact_location: ArtifactLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    region: Option<Region>,
}

/// The row or, where it is about no row, the piece (§3.33).
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct LogicalLocation<'a> {
    name: &'a str,
    fully_qualified_name: String,
    kind: &'static str,
}

impl<'a> LogicalLocation<'a> {
    fn of(finding: &'a Finding) -> Vec<Self> {
        let (piece, row) = (finding.piece.as_str(), finding.row.as_str());
        match (piece.is_empty(), row.is_empty()) {
            (true, true) => Vec::new(),
            (false, true) => vec![Self { name: piece, fully_qualified_name: piece.to_owned(), kind: "piece" }],
            (true, false) => vec![Self { name: row, fully_qualified_name: row.to_owned(), kind: "row" }],
            (false, false) => vec![Self { name: row, fully_qualified_name: format!("{piece}/{row}"), kind: "row" }],
        }
    }
}

#[derive(Serialize)]
struct Fingerprints {
    /// Made in another way it would be another version.
    #[serde(rename = "findingName/v1")]
    name: String,
}

/// A single edit that mends it (§3.55).
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Repair<'a> {
    description: Message<'a>,
    artifact_changes: [ArtifactChange<'a>; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct ArtifactChange<'a> {
    artifact_location: ArtifactLocation,
    replacements: Vec<Replacement<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Replacement<'a> {
    deleted_region: Region,
    inserted_content: Content<'a>,
}

#[derive(Serialize)]
struct Content<'a> {
    text: &'a str,
}

impl<'a> Repair<'a> {
    /// None where nothing is edited: a change is a change of something (§3.56.3).
    fn of(fix: &'a Fix, text: &ArtifactLocation, regions: &Regions<'_>) -> Option<Self> {
        let replacements: Vec<_> = fix
            .edits
            .iter()
            .map(|edit| Replacement {
                deleted_region: regions.edit(edit),
                inserted_content: Content { text: &edit.text },
            })
            .collect();
        (!replacements.is_empty()).then(|| Self {
            description: Message::plain(&fix.message),
            artifact_changes: [ArtifactChange { artifact_location: text.clone(), replacements }],
        })
    }
}

/// That somebody has looked at a finding and accepted it (§3.35).
#[derive(Serialize)]
struct Suppression {
    kind: &'static str,
    status: &'static str,
}

/// What the standard has no name for.
#[derive(Serialize)]
struct Properties<'a> {
    piece: &'a str,
    row: &'a str,
    sizes: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    expected: Option<u64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    actual: Option<u64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    suspect: Option<&'static str>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Notification<'a> {
    level: &'static str,
    message: Message<'a>,
    locations: [Location<'a>; 1],
}
