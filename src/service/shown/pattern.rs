//! The written pattern, with every count put in: as text, as Markdown with boxes to tick, as pages to print.

use evenround_calc::notation::write::{abbreviations, exchanged};
use evenround_calc::notation::{Block, blocks, read};
use evenround_calc::verify::{Form, Outline, PieceOutline, Request, Terms, counted, judge, outlines};
use maud::{Markup, html};

use super::html::page;
use super::{Units, length_words, markdown};
use crate::api::counts::{self, CountsCaution};
use crate::api::verification_request::Asked;
use crate::problem::{Problem, RequestError};

/// The style of the printed pages.
pub const STYLE: &str = include_str!("print.css");

/// A pattern ready to be written out.
#[derive(Debug)]
pub struct Sheet {
    title: String,
    revision: i64,
    /// In the terms that are asked for, with counts.
    text: String,
    terms: Terms,
    sizes: Vec<String>,
    outlines: Vec<PieceOutline>,
    cautions: Vec<CountsCaution>,
    holds: bool,
}

impl Sheet {
    /// Of a pattern, in one size and in these terms where they are given.
    ///
    /// # Errors
    /// Where the pattern has no such size.
    pub fn of(
        title: &str,
        revision: i64,
        asked: &Asked,
        size: Option<&str>,
        terms: Option<Terms>,
    ) -> Result<Self, Problem> {
        let request = asked.request();
        let refused = |problems| asked.refusal(problems);
        let answer = judge(&request).map_err(refused)?;
        let size = size.map(|name| size_named(&answer.sizes, name)).transpose()?;
        let text = counted(&request, size).map_err(refused)?;
        let mut outlines = outlines(&request).map_err(refused)?;
        let mut sizes = answer.sizes.clone();
        if let Some(size) = size {
            sizes = vec![answer.sizes[size].clone()];
            for piece in &mut outlines {
                piece.sizes = piece.sizes.get(size).cloned().into_iter().collect();
            }
        }
        let terms = terms.unwrap_or(answer.terms);
        Ok(Self {
            title: title.to_owned(),
            revision,
            text: exchanged(&text, answer.terms, terms),
            terms,
            // A graded pattern has its cautions in its text.
            cautions: counts::about(title, &asked.pattern, &sizes)
                .into_iter()
                .filter(|caution| !asked.pattern.contains(caution.in_short))
                .collect(),
            sizes,
            outlines,
            holds: answer.holds,
        })
    }

    /// As plain text: the pattern alone.
    pub fn text(&self) -> String {
        let mut text = self.text.trim_end().to_owned();
        text.push('\n');
        for caution in &self.cautions {
            text.push_str(&format!("\nCaution, {}: {}\n", caution.about, caution.in_short));
        }
        if let Some(caution) = self.cautions.first() {
            text.push_str(&format!("\n{}\n", caution.defers));
        }
        text
    }

    /// The blocks of the text, without a first line that is the title again.
    fn with_blocks<T>(&self, write: impl FnOnce(&[Block<'_>]) -> T) -> T {
        // Our own text of a pattern that was read; were it not to read, it is words.
        let request = Request { terms: Some(self.terms), ..Request::of(&self.text) };
        let pattern = read(&self.text, &request);
        let mut all = match &pattern {
            Ok(pattern) => blocks(&self.text, pattern),
            Err(_) => vec![Block::Words(&self.text)],
        };
        let letters = |text: &str| -> String {
            text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
        };
        if let Some(Block::Words(words)) = all.first_mut() {
            let (first, rest) = words.split_once('\n').unwrap_or((words, ""));
            if letters(first) == letters(&self.title) {
                *words = rest;
            }
        }
        all.retain(|block| !matches!(block, Block::Words("")));
        write(&all)
    }

    /// The short words that the text uses.
    fn abbreviations(&self) -> Vec<String> {
        let mut used = abbreviations(&self.text, self.terms);
        used.sort_by_key(|line| line.to_lowercase());
        used
    }

    /// The size chart: a line for each measure of each piece that is known.
    fn chart(&self) -> Vec<(String, Vec<String>)> {
        let mut lines = Vec::new();
        for piece in &self.outlines {
            type Figure = fn(&Outline) -> Option<evenround_calc::units::Length>;
            let figures: [(&str, Figure); 4] = [
                ("width", |outline| (outline.form == Form::Flat).then_some(outline.width)),
                ("around", |outline| matches!(outline.form, Form::Tube | Form::Vessel).then_some(outline.width)),
                ("across", |outline| (outline.form == Form::Disc).then_some(outline.across)),
                ("length", |outline| (outline.form != Form::Disc).then_some(outline.length)),
            ];
            for (what, figure) in figures {
                let cells: Vec<Option<String>> = piece
                    .sizes
                    .iter()
                    .map(|outline| {
                        let outline = outline.as_ref()?;
                        let words = length_words(counts::tape(figure(outline)?), Units::Both);
                        let about = if what == "length" { outline.length_about } else { outline.width_about };
                        Some(if about { format!("about {words}") } else { words })
                    })
                    .collect();
                if cells.iter().any(Option::is_some) {
                    let cells = cells.into_iter().map(|cell| cell.unwrap_or_else(|| "–".to_owned())).collect();
                    lines.push((format!("{}, {what}", piece.name), cells));
                }
            }
        }
        lines
    }

    /// As Markdown, rows as boxes to tick.
    pub fn markdown(&self) -> String {
        let escape = markdown::escape;
        let mut out = format!("# {}\n\nRevision {}, {} terms\n", escape(&self.title), self.revision, self.terms_name());
        let chart = self.chart();
        if !chart.is_empty() {
            let sizes: Vec<String> = self.sizes.iter().map(|size| escape(size)).collect();
            out.push_str(&format!("\n## Sizes\n\n| | {} |\n|---{}|\n", sizes.join(" | "), "|--:".repeat(sizes.len())));
            for (name, cells) in chart {
                let cells: Vec<String> = cells.iter().map(|cell| escape(cell)).collect();
                out.push_str(&format!("| {} | {} |\n", escape(&name), cells.join(" | ")));
            }
        }
        for caution in &self.cautions {
            out.push_str(&format!("\n> **Caution, {}**: {}\n", escape(caution.about), escape(caution.in_short)));
        }
        if let Some(caution) = self.cautions.first() {
            out.push_str(&format!("\n{}\n", escape(caution.defers)));
        }
        let used = self.abbreviations();
        if !used.is_empty() {
            out.push_str("\n## Abbreviations used\n\n");
            for line in used {
                out.push_str(&format!("- {}\n", escape(&line)));
            }
        }
        self.with_blocks(|blocks| {
            let mut before_row = false;
            for block in blocks {
                let is_row = matches!(block, Block::Row { .. });
                if !(is_row && before_row) {
                    out.push('\n');
                }
                before_row = is_row;
                match block {
                    Block::Heading { name, .. } => out.push_str(&format!("## {}\n", escape(name))),
                    Block::Words(words) => {
                        let lines: Vec<String> = words.lines().map(|line| escape(line.trim())).collect();
                        out.push_str(&format!("{}\n", lines.join("  \n")));
                    }
                    Block::Row { label, text, .. } => {
                        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
                        let label = if label.is_empty() { String::new() } else { format!("**{}** ", escape(label)) };
                        out.push_str(&format!("- [ ] {label}{}\n", escape(&text)));
                    }
                }
            }
        });
        out
    }

    const fn terms_name(&self) -> &'static str {
        match self.terms {
            Terms::Us => "US",
            Terms::Uk => "UK",
        }
    }

    /// As a page to print: what is needed first, then each piece on pages of its own.
    pub fn html(&self) -> String {
        let chart = self.chart();
        let used = self.abbreviations();
        let body = self.with_blocks(|blocks| {
            let first_piece = blocks.iter().position(|block| matches!(block, Block::Heading { .. })).unwrap_or(0);
            let (front, pieces) = blocks.split_at(first_piece);
            html! {
                main {
                    h1 { (self.title) }
                    p { "Revision " (self.revision) ", " (self.terms_name()) " terms"
                        @if let [size] = self.sizes.as_slice() { ", " (size) } }
                    @if !self.holds { p { strong { "Not every row of this pattern was read and works out as printed." } } }
                    @if !chart.is_empty() {
                        h2 { "Sizes" }
                        table {
                            thead { tr { th scope="col" { "Finished measurement" } @for size in &self.sizes { th scope="col" { (size) } } } }
                            tbody { @for (name, cells) in &chart {
                                tr { th scope="row" { (name) } @for cell in cells { td { (cell) } } }
                            } }
                        }
                    }
                    @for caution in &self.cautions {
                        p.caution { strong { "Caution, " (caution.about) ": " } (caution.in_short) }
                    }
                    @if let Some(caution) = self.cautions.first() { p { (caution.defers) } }
                    @if !used.is_empty() {
                        h2 { "Abbreviations used" }
                        ul.short { @for line in &used { li { (line) } } }
                    }
                    (parts(front))
                    @for piece in pieces.chunk_by(|_, next| !matches!(next, Block::Heading { begins: true, .. })) {
                        section.piece { (parts(piece)) }
                    }
                    footer { "Every count by Evenround." }
                }
            }
        });
        page(&self.title, STYLE, &html! {}, &body)
    }
}

/// The size of this name, without regard to case.
///
/// # Errors
/// Where there is none.
pub fn size_named(sizes: &[String], name: &str) -> Result<usize, Problem> {
    let found = sizes.iter().position(|size| size.trim().eq_ignore_ascii_case(name.trim()));
    found.ok_or_else(|| {
        let detail = format!("is no size of this design, which has {}", sizes.join(", "));
        Problem::invalid(vec![RequestError::parameter("size", detail)])
    })
}

fn parts(blocks: &[Block<'_>]) -> Markup {
    html! {
        @for part in blocks.chunk_by(|one, next| matches!((one, next), (Block::Row { .. }, Block::Row { .. }))) {
            @match part {
                [Block::Heading { name, .. }] => h2 { (name) },
                [Block::Words(words)] => p { (words) },
                rows => ul.rows { @for row in rows {
                    @if let Block::Row { label, text, times } = row {
                        li {
                            span.boxes role="img" aria-label=(if *times == 1 { "a box to tick".to_owned() } else { format!("{times} boxes to tick") }) {
                                @for _ in 0..*times { span.box {} }
                            }
                            span { @if !label.is_empty() { strong { (label) } " " } (text.split_whitespace().collect::<Vec<_>>().join(" ")) }
                        }
                    }
                } },
            }
        }
    }
}
