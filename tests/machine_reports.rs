//! The reports for machines, SARIF and JUnit XML, over every whole pattern that is here and over texts made to break them.
//!
//! `EVENROUND_REPORTS=FOLDER` leaves what was written there, for `tests/report_schemas`, which holds it against the schemas
//! of others by programs of others.

mod support;

#[path = "machine_reports/http.rs"]
mod http;
#[path = "machine_reports/junit.rs"]
mod junit;
#[path = "machine_reports/regions.rs"]
mod regions;
#[path = "machine_reports/sarif.rs"]
mod sarif;

use evenround::report::{Checked, Failed, Report};
use evenround_calc::verify::{Request, Verification, verify};
use std::path::Path;
use std::sync::LazyLock;

/// A text, what was found in it, and which of that was accepted.
#[derive(Clone)]
struct Sample {
    name: String,
    text: String,
    verification: Verification,
    accepted: Vec<usize>,
}

impl Sample {
    fn of(name: &str, text: &str) -> Self {
        let verification = verify(&Request::of(text)).unwrap();
        Self { name: name.to_owned(), text: text.to_owned(), verification, accepted: Vec::new() }
    }

    fn checked(&self) -> Checked<'_> {
        Checked { name: &self.name, text: &self.text, verification: &self.verification, accepted: &self.accepted }
    }
}

/// Every whole pattern that is here, verified once.
fn shelf() -> Vec<Sample> {
    static SHELF: LazyLock<Vec<Sample>> = LazyLock::new(|| {
        let here = Path::new(env!("CARGO_MANIFEST_DIR"));
        let demo =
            ["faulty", "holds", "collection"].map(|folder| (folder, here.join("../src/service/demo").join(folder)));
        let mut samples = Vec::new();
        for (shown, folder) in demo.into_iter().chain([("whole", here.join("whole"))]) {
            let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|file| file.unwrap().path()).collect();
            files.sort();
            for file in files {
                let name = format!("{shown}/{}", file.file_name().unwrap().to_str().unwrap());
                samples.push(Sample::of(&name, &std::fs::read_to_string(&file).unwrap()));
            }
        }
        assert!(samples.len() > 40, "{} patterns", samples.len());
        samples
    });
    SHELF.clone()
}

/// What a pattern says is quoted in findings and in names of pieces and rows; these say what no format likes.
fn hostile() -> Vec<Sample> {
    let marks = "\u{0}\u{1}\u{1b}[31m\u{7f}\u{85}\u{fffe}\u{ffff}<&\"'>]]>-->{0}[x](1)\\ \u{202e}\u{1f9f6}e\u{301}";
    let mut samples = vec![
        Sample::of("", "Rnd 1: 6 sc in magic ring. (6)\n"),
        Sample::of(&format!("a b/#?%{marks}.txt"), "Rnd 1: 6 sc in magic ring. (7)\n"),
        Sample::of("no-rows.txt", "Eelgrass Mitts\n\nFor a cold day at the marsh.\n"),
        Sample::of("twice.txt", "CUFF\nRow 1: Ch 10.\nRow 1: 6 xyzzyst. (6)\nRow 1: Sc in each st. (99)\n"),
    ];
    for line_end in ["\n", "\r\n", "\r"] {
        let text = format!(
            "\u{feff}CAP {marks}{line_end}{line_end}Rnd 1: 6 sc in magic ring {marks}. (6){line_end}Rnd 2: 2 sc \u{1f9f6} in each \
             st around. (13){line_end}Rnd 3: {marks} until it is done.{line_end}Rnd 4: [2 {marks} in next st](6). (18)"
        );
        samples.push(Sample::of("hostile.txt", &text));
    }
    samples
}

/// Puts texts into a report.
fn write(report: &mut impl Report, samples: &[Sample], failed: &[Failed<'_>]) {
    for sample in samples {
        report.checked(&sample.checked()).unwrap();
    }
    for one in failed {
        report.failed(one).unwrap();
    }
    report.finish().unwrap();
}

const FAILED: &[Failed<'_>] = &[
    Failed { name: "caps/too long.txt", why: "it is longer than 4 MiB" },
    Failed { name: "caps/\u{0}<&.txt", why: "byte 7 is not UTF-8: \u{1} {0} [a](1)" },
];

/// Leaves a report for whoever asked for it.
fn leave(name: &str, report: &[u8]) {
    if let Some(folder) = std::env::var_os("EVENROUND_REPORTS") {
        std::fs::write(Path::new(&folder).join(name), report).unwrap();
    }
}

/// The shelf with the first finding of each faulty pattern accepted.
fn accepted() -> Vec<Sample> {
    let mut samples = shelf();
    samples.retain(|sample| !sample.verification.findings.is_empty());
    samples.iter_mut().for_each(|sample| sample.accepted = vec![0]);
    samples
}

/// A pattern of the shelf by its name.
fn pattern(name: &str) -> Sample {
    shelf().into_iter().find(|sample| sample.name == name).unwrap()
}
