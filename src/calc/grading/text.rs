//! The graded pattern as a text that stands for itself.

use super::answer::Figures;
use super::choices::Sections;
use super::plan::{Plan, Worked};
use super::problem::Problem;
use super::written::{Line, Manuscript, beginning_chain};
use crate::notation::tree::{ChainCounts, Row, Said};
use crate::notation::write::{self, Abbreviations, Unwritten, Wording};
use crate::units::{Length, plain};
use crate::verify::Terms;

/// The whole text.
///
/// # Errors
/// Where a row has no wording that reads back as it is: a fault of ours, said and not hidden.
pub(super) fn text(sections: &Sections<'_>, manuscript: &Manuscript, figures: &Figures) -> Result<String, Problem> {
    let plan = sections.plan;
    let names = plan.size_names();
    let said = said(sections);
    let wording = Wording {
        terms: plan.terms,
        numbers: &manuscript.numbers,
        sizes: &names,
        definitions: &[],
        said: Some(&said),
        source: "",
        source_terms: plan.terms,
        asides: false,
    };
    let mut used = Abbreviations::default();
    let mut rows = String::new();
    for written in &manuscript.pieces {
        let piece = &plan.pieces[written.piece];
        let make = if piece.make > 1 { format!(" (make {})", piece.make) } else { String::new() };
        rows.push_str(&format!("{}{make}\n", piece.name.to_uppercase()));
        let mut lines = Lines { text: &mut rows, guard: None };
        for line in &written.lines {
            match line {
                Line::Section(name) if piece.sections.len() > 1 => {
                    lines.for_all();
                    lines.text.push_str(&format!("\n{name}\n"));
                }
                Line::Section(_) => {}
                Line::Row { row, words } => {
                    lines.row(row, words.as_deref(), &wording).map_err(|unwritten| {
                        Problem::at("/pieces", format!("a row could not be written: {unwritten}"))
                    })?;
                }
                Line::End { node } => {
                    let checkpoints = figures.checkpoint_lines(*node);
                    if !checkpoints.is_empty() {
                        lines.for_all();
                    }
                    for checkpoint in checkpoints {
                        lines.text.push_str(&format!("{checkpoint}\n"));
                    }
                }
            }
        }
        lines.for_all();
        rows.push_str("Fasten off.\n\n");
    }
    // Of the text and not of the steps: rows of the designer's own have none.
    used.note_text(&rows, plan.terms);
    let head = head(plan, sections, &names, &said, figures);
    let abbreviations = used.lines(plan.terms, &[]).join("; ");
    let mut text = format!("{head}ABBREVIATIONS\n{abbreviations}\n\n{rows}FINISHING\nWeave in all ends.\n");
    for line in &plan.finishing {
        text.push_str(&format!("{}\n", line.trim()));
    }
    if !figures.caution_lines.is_empty() {
        text.push_str(&format!("\nCAUTIONS\n{}\n", figures.caution_lines.join("\n")));
    }
    Ok(text)
}

/// Lines of a piece, and whose the last ones were.
struct Lines<'a> {
    text: &'a mut String,
    guard: Option<String>,
}

impl Lines<'_> {
    fn for_all(&mut self) {
        if self.guard.take().is_some() {
            self.text.push_str("All sizes:\n");
        }
    }

    fn for_some(&mut self, guard: String) {
        if self.guard.as_ref() != Some(&guard) {
            self.text.push_str(&format!("{guard}\n"));
            self.guard = Some(guard);
        }
    }

    /// A row, below a line that names its sizes where not all work it.
    fn row(&mut self, row: &Row, words: Option<&str>, wording: &Wording<'_>) -> Result<(), Unwritten> {
        let said = match words {
            None => write::row(row, wording)?,
            Some(words) => write::row_in_words(row.word, &row.numbers, row.sizes, words, row.stated.as_ref(), wording)?,
        };
        let mut line = said.as_str();
        match write::guard(row.sizes, wording)? {
            None => self.for_all(),
            Some(guard) => {
                line = line.strip_prefix(&guard).unwrap_or(line).trim_start();
                self.for_some(guard);
            }
        }
        self.text.push_str(&format!("{line}\n"));
        Ok(())
    }
}

fn head(plan: &Plan, sections: &Sections<'_>, names: &[String], said: &Said, figures: &Figures) -> String {
    let mut text = format!("{}\n\n", plan.title.trim());
    if let [first, rest @ ..] = names
        && !rest.is_empty()
    {
        text.push_str(&format!("SIZES\n{first} ({})\n", rest.join(", ")));
        for line in &figures.chart_lines {
            text.push_str(&format!("{line}\n"));
        }
        text.push('\n');
    }
    let (gauge, terms) = match plan.terms {
        Terms::Us => ("GAUGE", "US"),
        Terms::Uk => ("TENSION", "UK"),
    };
    text.push_str(&format!("{gauge}\n{}\n\n", gauge_lines(plan, sections).join("\n")));
    text.push_str(&format!("NOTES\n{terms} terms.\n"));
    if names.len() > 1 {
        text.push_str("Figures for larger sizes are in brackets; where there is one figure, it is for all sizes.\n");
    }
    let rounds: Vec<Worked> = plan.pieces.iter().map(|piece| piece.worked).collect();
    if rounds.contains(&Worked::Spiral) && rounds.iter().all(|worked| *worked == Worked::Spiral) {
        text.push_str("Work in continuous rounds without joining; move a marker up at the beginning of each.\n");
    }
    if !said.chains.is_empty() {
        let chains: Vec<String> = said.chains.iter().map(|(length, _)| format!("ch {length}")).collect();
        let verb = if chains.len() > 1 { "do" } else { "does" };
        let mut line = format!("{} at the beginning of a row or rnd {verb} not count as a st.", chains.join(" and "));
        line[..1].make_ascii_uppercase();
        text.push_str(&format!("{line}\n"));
    }
    text.push('\n');
    text
}

/// The beginning chains that are used, which count as no stitch.
fn said(sections: &Sections<'_>) -> Said {
    let chains = sections.known.iter().filter(|known| known.worked != Worked::Spiral);
    let mut chains: Vec<u64> = chains.map(|known| u64::from(beginning_chain(known.section.stitch))).collect();
    chains.sort_unstable();
    chains.dedup();
    let does_not = ChainCounts { counts: false, space: 0 };
    Said { chains: chains.into_iter().map(|length| (length, does_not)).collect(), ..Said::default() }
}

fn gauge_lines(plan: &Plan, sections: &Sections<'_>) -> Vec<String> {
    let over = if plan.inches_first { Length::inches(4.0) } else { Length::centimetres(10.0) };
    let words = if plan.inches_first { "4 in" } else { "10 cm" };
    let mut lines = Vec::new();
    for known in &sections.known {
        let name = write::stitch_name(known.section.stitch, plan.terms);
        let rows = if known.worked.is_round() { "rnds" } else { "rows" };
        let line = match known.row_height {
            Some(height) => {
                format!(
                    "{} {name} and {} {rows} = {words}",
                    plain(over / known.stitch_width, 1),
                    plain(over / height, 1)
                )
            }
            None => format!("{} {name} = {words}", plain(over / known.stitch_width, 1)),
        };
        if !lines.contains(&line) {
            lines.push(line);
        }
    }
    lines
}
