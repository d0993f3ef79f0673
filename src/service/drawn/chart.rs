//! A symbol chart as SVG, with its key beside it.

use evenround_calc::chart::{Chart, Drawn, Point};
use maud::{Markup, PreEscaped, html};

use super::pen::{Sheet, Strokes, mm};

/// Millimetres of the width of a single crochet: on A4 the widest chart that is drawn whole fits at this size.
const UNIT: f64 = 3.2;
const MARGIN: f64 = 6.0;
const GAP: f64 = 8.0;
/// The height of a line of the key.
const LINE: f64 = 8.5;
/// Letters of the key and of the notes.
const TEXT: f64 = 3.3;

/// What a chart is of.
#[derive(Debug)]
pub struct Subject<'a> {
    /// The design.
    pub title: &'a str,
    /// The piece, where there are several.
    pub piece: Option<&'a str>,
    /// The size, where there are several.
    pub size: Option<&'a str>,
    /// It is for the left hand.
    pub left_handed: bool,
}

/// The picture.
pub fn svg(chart: &Chart, subject: &Subject<'_>) -> String {
    let (low, high) = chart.bounds;
    let (across, up) = ((high.x - low.x) * UNIT, (high.y - low.y) * UNIT);
    let heading = heading(subject);
    let description = description(chart, subject);
    let key_width = chart.key.iter().map(|entry| 12.0 + text_width(&entry.name)).fold(40.0, f64::max);
    let key_height = LINE * (chart.key.len() as f64 + 1.0);
    let top = MARGIN + 9.0;
    let notes: Vec<String> = chart.notes.iter().flat_map(|note| wrapped(note, across + GAP + key_width)).collect();
    let body = up.max(key_height);
    let width = 2.0 * MARGIN + across + GAP + key_width;
    let height = top + body + GAP + (TEXT + 1.6) * notes.len() as f64 + MARGIN;
    let sheet = Sheet { unit: UNIT, left: MARGIN - low.x * UNIT, top: top + high.y * UNIT };
    let picture = html! {
        title id="title" { (heading) }
        desc id="description" { (description) }
        rect x="0" y="0" width=(mm(width)) height=(mm(height)) fill="#fff" {}
        g font-family="sans-serif" fill="#111" {
            text x=(mm(MARGIN)) y=(mm(MARGIN + 4.0)) font-size="4.6" font-weight="bold" { (heading) }
            @if let Some(ring) = chart.ring { (spiral(&sheet, ring)) }
            @for (row, strokes) in rows(chart, &sheet) { (group(&strokes, row.as_deref())) }
            g fill="#0b5563" font-weight="bold" font-size=(mm(0.62 * UNIT)) text-anchor="middle" {
                @for label in &chart.labels {
                    @let (x, y) = sheet.at(label.at);
                    text x=(mm(x)) y=(mm(y + 0.22 * UNIT)) { (label.text) }
                }
            }
            (key(chart, MARGIN + across + GAP, top))
            g font-size=(mm(TEXT)) {
                @for (nth, note) in notes.iter().enumerate() {
                    text x=(mm(MARGIN)) y=(mm(top + body + GAP + (TEXT + 1.6) * (nth as f64 + 0.6))) { (note) }
                }
            }
        }
    };
    let (wide, tall) = (mm(width), mm(height));
    html! {
        (PreEscaped("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"))
        svg xmlns="http://www.w3.org/2000/svg" width={ (wide) "mm" } height={ (tall) "mm" } viewBox={ "0 0 " (wide) " " (tall) }
            role="img" aria-labelledby="title description" { (picture) }
    }
    .into_string()
}

/// What the picture is called.
fn heading(subject: &Subject<'_>) -> String {
    let mut heading = subject.title.to_owned();
    for part in [subject.piece, subject.size].into_iter().flatten() {
        heading.push_str(", ");
        heading.push_str(part);
    }
    if subject.left_handed {
        heading.push_str(" (left-handed)");
    }
    heading
}

/// What somebody hears who does not see it.
fn description(chart: &Chart, subject: &Subject<'_>) -> String {
    let stitches = chart.symbols.iter().filter(|symbol| symbol.stitch).count();
    let rows = if chart.round { "rounds" } else { "rows" };
    let how = match (chart.round, subject.left_handed) {
        (true, false) => "It is read from the middle, counter-clockwise.",
        (true, true) => "It is read from the middle, clockwise.",
        (false, false) => "It is read from the bottom up; rows with the right side facing go from right to left.",
        (false, true) => "It is read from the bottom up; rows with the right side facing go from left to right.",
    };
    let part = match chart.drawn {
        Drawn::Whole => "",
        Drawn::Wedge { .. } | Drawn::Window { .. } => " Only a part of it is drawn, as the note says.",
    };
    let symbols: Vec<&str> = chart.key.iter().map(|entry| entry.name.as_str()).collect();
    format!(
        "A symbol chart of {} {rows} with {stitches} stitches. {how}{part} Symbols: {}.",
        chart.rows,
        symbols.join("; ")
    )
}

/// The strokes of each row, with what to say of it.
fn rows(chart: &Chart, sheet: &Sheet) -> Vec<(Option<String>, Strokes)> {
    let mut rows: Vec<(usize, usize, Strokes)> = Vec::new();
    for symbol in &chart.symbols {
        if rows.last().is_none_or(|(row, ..)| *row != symbol.row) {
            rows.push((symbol.row, 0, Strokes::default()));
        }
        let Some((_, stitches, strokes)) = rows.last_mut() else { continue };
        *stitches += usize::from(symbol.stitch);
        for shape in &symbol.shapes {
            strokes.add(sheet, shape);
        }
    }
    let word = if chart.round { "Round" } else { "Row" };
    rows.into_iter()
        .map(|(row, stitches, strokes)| {
            let label = chart.labels.iter().find(|label| label.row == row).filter(|_| stitches > 0);
            (label.map(|label| format!("{word} {}: {stitches} stitches drawn", label.text)), strokes)
        })
        .collect()
}

fn group(strokes: &Strokes, title: Option<&str>) -> Markup {
    html! {
        g {
            @if let Some(title) = title { title { (title) } }
            @if !strokes.thin.is_empty() {
                path d=(strokes.thin) fill="none" stroke="#777" stroke-width="0.15" {}
            }
            @if !strokes.open.is_empty() {
                path d=(strokes.open) fill="none" stroke="#111" stroke-width="0.28" stroke-linecap="round" {}
            }
            @if !strokes.filled.is_empty() { path d=(strokes.filled) fill="#111" {} }
            @for letters in &strokes.letters {
                text x=(mm(letters.at.0)) y=(mm(letters.at.1 + letters.height * 0.35)) font-size=(mm(letters.height))
                    text-anchor="middle" { (letters.text) }
            }
        }
    }
}

/// The ring that begins a piece in its middle, as a spiral (published glossaries agree on that).
fn spiral(sheet: &Sheet, radius: f64) -> Markup {
    let mut path = String::new();
    for at in 0..=36 {
        let part = f64::from(at) / 36.0;
        let (sin, cos) = (part * 1.6 * std::f64::consts::TAU).sin_cos();
        let (x, y) = sheet.at(Point::new(cos * radius * (0.25 + 0.65 * part), sin * radius * (0.25 + 0.65 * part)));
        path.push_str(if at == 0 { "M" } else { "L" });
        path.push_str(&format!("{} {}", mm(x), mm(y)));
    }
    html! { path d=(path) fill="none" stroke="#111" stroke-width="0.28" { title { "Ring" } } }
}

/// The key.
fn key(chart: &Chart, left: f64, top: f64) -> Markup {
    let mut strokes = Strokes::default();
    for (nth, entry) in chart.key.iter().enumerate() {
        // The symbol stands on the line, smaller where it is tall.
        let tallest = entry
            .sample
            .iter()
            .flat_map(evenround_calc::chart::Shape::outline)
            .map(|point| point.y)
            .fold(1.0, f64::max);
        let unit = UNIT.min((LINE - 1.5) / tallest);
        let sheet = Sheet { unit, left: left + 4.0, top: top + LINE * (nth as f64 + 2.0) - 2.2 };
        for shape in &entry.sample {
            strokes.add(&sheet, shape);
        }
    }
    html! {
        g {
            text x=(mm(left)) y=(mm(top + 4.0)) font-size=(mm(TEXT)) font-weight="bold" { "Key" }
            (group(&strokes, None))
            @for (nth, entry) in chart.key.iter().enumerate() {
                text x=(mm(left + 10.0)) y=(mm(top + LINE * (nth as f64 + 2.0) - 2.4)) font-size=(mm(TEXT)) { (entry.name) }
            }
        }
    }
}

/// About how wide a text is.
fn text_width(text: &str) -> f64 {
    text.chars().count() as f64 * TEXT * 0.54
}

/// A note in lines no wider than the picture.
fn wrapped(note: &str, width: f64) -> Vec<String> {
    let most = ((width / (TEXT * 0.54)) as usize).max(30);
    let mut lines: Vec<String> = Vec::new();
    for word in note.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + word.chars().count() < most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}
