//! The errata note: what to tell makers, as text or Markdown.

use super::{ChangeKind, Changes, RowChange, RowState, SizeChanges};
use crate::verify::Terms;

/// How the note is written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Text,
    Markdown,
}

impl Changes {
    /// A note to be pasted, as plain text.
    pub fn note(&self) -> String {
        self.written(Form::Text)
    }

    /// The same as Markdown, in which nothing of the pattern's own text is taken for markup.
    pub fn note_markdown(&self) -> String {
        self.written(Form::Markdown)
    }

    fn written(&self, form: Form) -> String {
        let mut lines = Vec::new();
        if let Some((before, now)) = self.terms {
            lines.push(terms(before, now, self.sizes.iter().all(|size| size.rows.is_empty())));
        }
        each(&self.sizes_added, "The size", "is new", "The sizes", "are new", form, &mut lines);
        each(
            &self.sizes_removed,
            "The size",
            "is no longer offered",
            "The sizes",
            "are no longer offered",
            form,
            &mut lines,
        );
        each(&self.pieces_added, "The piece", "is new", "The pieces", "are new", form, &mut lines);
        each(
            &self.pieces_removed,
            "The piece",
            "is no longer made",
            "The pieces",
            "are no longer made",
            form,
            &mut lines,
        );
        for stitch in &self.redefined {
            let name = words(&stitch.name, form);
            lines.push(match (&stitch.before, &stitch.now) {
                (Some(before), Some(now)) => {
                    format!("{name} now means: {} (before: {})", quoted(now, form), quoted(before, form))
                }
                (None, Some(now)) => format!("{name} is now explained: {}", quoted(now, form)),
                _ => format!("{name} means something else now."),
            });
        }
        let all = self.sizes.len();
        let one_piece = self.sizes.iter().all(|size| size.before.len() <= 1);
        for group in self.groups() {
            let heading = if group.len() == all && all > 1 {
                Some("All sizes".to_owned())
            } else if all > 1 {
                Some(group.iter().map(|size| words(&size.size, form)).collect::<Vec<_>>().join(", "))
            } else {
                None
            };
            if !lines.is_empty() {
                lines.push(String::new());
            }
            let indent = if heading.is_some() && form == Form::Text { "  " } else { "" };
            match (heading, form) {
                (Some(heading), Form::Text) => lines.push(heading),
                (Some(heading), Form::Markdown) => lines.extend([format!("**{heading}**"), String::new()]),
                (None, _) => {}
            }
            let bullet = if form == Form::Markdown { "- " } else { "" };
            for line in of_rows(&group, one_piece, form) {
                lines.push(format!("{indent}{bullet}{line}"));
            }
        }
        if self.is_empty() {
            lines.push(
                match self.other_text {
                    true => "No row and no count has changed; some of the other text has.",
                    false => "Nothing has changed.",
                }
                .to_owned(),
            );
        } else if self.other_text && self.terms.is_none() && self.redefined.is_empty() {
            lines.push(String::new());
            lines.push("Some of the text outside the rows has changed as well.".to_owned());
        }
        let mut note = lines.join("\n");
        note.push('\n');
        note
    }
}

fn terms(before: Terms, now: Terms, same: bool) -> String {
    let name = |terms| if terms == Terms::Us { "US" } else { "UK" };
    let example = match now {
        Terms::Uk => "What was sc is dc now, and what was dc is tr.",
        Terms::Us => "What was dc is sc now, and what was tr is dc.",
    };
    let same = if same { " The work is the same." } else { "" };
    format!(
        "This version is written in {} terms, the one before was in {} terms. {example}{same}",
        name(now),
        name(before)
    )
}

fn each(names: &[String], one: &str, is: &str, several: &str, are: &str, form: Form, lines: &mut Vec<String>) {
    let shown: Vec<String> = names.iter().map(|name| words(name, form)).collect();
    match shown.split_last() {
        None => {}
        Some((only, [])) => lines.push(format!("{one} {only} {is}.")),
        Some((last, first)) => lines.push(format!("{several} {} and {last} {are}.", first.join(", "))),
    }
}

/// The rows of sizes that have the same changes: one line for each, or for several that differ in the same quiet way.
fn of_rows(sizes: &[&SizeChanges], one_piece: bool, form: Form) -> Vec<String> {
    let Some(first) = sizes.first() else { return Vec::new() };
    let mut lines = Vec::new();
    let mut piece = "";
    let mut at = 0;
    while let Some(row) = first.rows.get(at) {
        let within = if one_piece || row.piece.is_empty() || row.piece == piece {
            String::new()
        } else {
            format!("{}: ", words(&row.piece, form))
        };
        piece = &row.piece;
        let alike = |other: &&RowChange| is_quiet(row.kind) && other.kind == row.kind && other.piece == row.piece;
        let together = first.rows[at..].iter().take_while(alike).count().max(1);
        let rows: Vec<Row<'_>> = (at..at + together).map(|at| Row { sizes, at, form }).collect();
        lines.push(format!("{within}{}", if is_quiet(row.kind) { of_run(&rows) } else { of_row(row, rows[0]) }));
        at += together;
    }
    lines
}

fn is_quiet(kind: ChangeKind) -> bool {
    matches!(kind, ChangeKind::Number | ChangeKind::Wording | ChangeKind::Follows)
}

/// A row of several sizes that differs alike in all of them.
#[derive(Clone, Copy)]
struct Row<'a> {
    sizes: &'a [&'a SizeChanges],
    at: usize,
    form: Form,
}

impl Row<'_> {
    fn each(&self) -> impl Iterator<Item = &RowChange> {
        self.sizes.iter().filter_map(|size| size.rows.get(self.at))
    }

    fn is(&self) -> String {
        self.called(|row| row.now.as_ref().map(|state| state.label.as_str()))
    }

    fn was(&self) -> String {
        self.called(|row| row.before.as_ref().map(|state| state.label.as_str()))
    }

    fn after(&self) -> Option<String> {
        self.each().any(|row| row.after.is_some()).then(|| self.called(|row| row.after.as_deref()))
    }

    /// What it is called in all its sizes: `Rnd 9 (10, 11)`.
    fn called(&self, label: impl Fn(&RowChange) -> Option<&str>) -> String {
        let labels: Vec<&str> = self.each().map(|row| label(row).unwrap_or_default()).collect();
        let first = labels.first().copied().unwrap_or_default();
        if first.is_empty() {
            return "a row without a name".to_owned();
        }
        if labels.iter().all(|label| *label == first) {
            return words(first, self.form);
        }
        let number = |label: &str| {
            let at = label.find(|c: char| c.is_ascii_digit()).unwrap_or(label.len());
            words(&label[at..], self.form)
        };
        let others: Vec<String> = labels.iter().skip(1).map(|label| number(label)).collect();
        format!("{} ({})", words(first, self.form), others.join(", "))
    }

    /// The counts before and now, in all its sizes.
    fn made(&self) -> Option<(String, String)> {
        self.counted(|state| state.made)
    }

    fn counted(&self, count: impl Fn(&RowState) -> Option<u64>) -> Option<(String, String)> {
        let of = |state: fn(&RowChange) -> Option<&RowState>| -> Option<Vec<u64>> {
            self.each().map(|row| count(state(row)?)).collect()
        };
        Some((list(&of(|row| row.before.as_ref())?), list(&of(|row| row.now.as_ref())?)))
    }

    /// What stands behind its label in all its sizes, with size lists where they differ.
    fn text(&self, state: fn(&RowChange) -> Option<&RowState>) -> String {
        let texts: Vec<&str> = self.each().map(|row| state(row).map_or("", |state| &state.text)).collect();
        quoted(&merged(&texts), self.form)
    }
}

/// Whether a label stands for several rows.
fn is_plural(label: &str) -> bool {
    let word = label.split(|c: char| c.is_ascii_digit()).next().unwrap_or_default();
    word.trim().to_lowercase().ends_with('s') || label.contains(['-', '–'])
}

/// Rows that differ alike and come one after another.
fn of_run(run: &[Row<'_>]) -> String {
    let span = |labels: &[String]| match labels {
        [] => String::new(),
        [only] => only.clone(),
        [first, .., last] => format!("{first} to {last}"),
    };
    let (is, was): (Vec<String>, Vec<String>) = run.iter().map(|row| (row.is(), row.was())).unzip();
    let (shown, before) = (span(&is), span(&was));
    let several = run.len() > 1 || is_plural(&shown);
    match run.first().and_then(|row| row.each().next()).map(|row| row.kind) {
        Some(ChangeKind::Number) => {
            format!("{before} {} now {shown}. The work is the same.", if several { "are" } else { "is" })
        }
        Some(ChangeKind::Wording) => {
            format!(
                "{shown} {} in other words. The work is the same.",
                if several { "are written" } else { "is written" }
            )
        }
        _ => {
            let counts: Vec<String> = run
                .iter()
                .map(|row| match row.made() {
                    Some((before, now)) => format!("{now} sts (before: {before})"),
                    None => "another count".to_owned(),
                })
                .collect();
            let counts = match counts.first() {
                Some(first) if counts.iter().all(|count| count == first) => first.clone(),
                _ => counts.join("; "),
            };
            format!(
                "{shown} {} as before and {} to {counts}.",
                if several { "read" } else { "reads" },
                if several { "come" } else { "comes" }
            )
        }
    }
}

fn of_row(row: &RowChange, all: Row<'_>) -> String {
    let form = all.form;
    let (before, now) = (row.before.as_ref(), row.now.as_ref());
    let (was, is) = (all.was(), all.is());
    let text_now = || all.text(|row| row.now.as_ref());
    let text_before = || all.text(|row| row.before.as_ref());
    let renamed = if was == is || before.is_none() { String::new() } else { format!(" (before: {was})") };
    match row.kind {
        ChangeKind::Added => match all.after() {
            Some(after) => {
                format!("{is} {} new, after {after}: {}", if is_plural(&is) { "are" } else { "is" }, text_now())
            }
            None => format!("{is} {} new, at the beginning: {}", if is_plural(&is) { "are" } else { "is" }, text_now()),
        },
        ChangeKind::Removed => {
            let verbs = if is_plural(&was) { ("are", "They were") } else { ("is", "It was") };
            format!("{was} {} no longer worked. {}: {}", verbs.0, verbs.1, text_before())
        }
        ChangeKind::Count => {
            let stated = |state: Option<&RowState>| state.and_then(|state| state.stated).is_some();
            let now_only = || list(&all.each().filter_map(|row| row.now.as_ref()?.stated).collect::<Vec<_>>());
            match (all.counted(|state| state.stated), stated(now)) {
                (Some((was, count)), _) => {
                    format!("{is}{renamed}: the count is {count}, not {was}. The work is the same.")
                }
                (None, true) => {
                    format!("{is}{renamed}: the count, {}, is now printed. The work is the same.", now_only())
                }
                _ => format!("{is}{renamed}: no count is printed any more. The work is the same."),
            }
        }
        ChangeKind::Times => match (before.and_then(RowState::rows), now.and_then(RowState::rows)) {
            (Some(before), Some(now)) => {
                let times = if now == 1 { "once".to_owned() } else { format!("{now} times") };
                format!("{is}{renamed}: worked {times}, not {before}. The words are as before.")
            }
            _ => format!("{is}{renamed}: worked another number of times. The words are as before."),
        },
        ChangeKind::Unread => format!(
            "{is}{renamed} reads differently, and could not be checked: {} (before: {}). Compare it yourself.",
            text_now(),
            text_before()
        ),
        _ if !row.because.is_empty() && before.map(|state| &state.text) == now.map(|state| &state.text) => {
            let names: Vec<String> = row.because.iter().map(|name| words(name, form)).collect();
            let verb = if is_plural(&is) { "have" } else { "has" };
            format!("{is}{renamed} {verb} {}, which means something else now.{}", names.join(" and "), counts(all))
        }
        _ => format!("{is}{renamed}: work {} instead of {}.{}", text_now(), text_before(), counts(all)),
    }
}

/// Where the count at the end is another one.
fn counts(row: Row<'_>) -> String {
    match row.made() {
        Some((before, now)) if before != now => format!(" It comes to {now} sts (before: {before})."),
        _ => String::new(),
    }
}

/// One number for each size: `14 (19, 23)`, or one where they are all the same.
fn list(values: &[u64]) -> String {
    let shown: Vec<String> = values.iter().map(u64::to_string).collect();
    listed(&shown)
}

fn listed(shown: &[String]) -> String {
    match shown.split_first() {
        None => String::new(),
        Some((first, others)) if others.iter().all(|other| other == first) => first.clone(),
        Some((first, others)) => format!("{first} ({})", others.join(", ")),
    }
}

/// A text without its numbers.
pub(super) fn skeleton(text: &str) -> Vec<&str> {
    text.split(|c: char| c.is_ascii_digit()).filter(|part| !part.is_empty()).collect()
}

/// Texts that differ in nothing but numbers as one, with a size list where they differ.
fn merged(texts: &[&str]) -> String {
    let Some(first) = texts.first() else { return String::new() };
    let numbers: Vec<Vec<&str>> = texts
        .iter()
        .map(|text| text.split(|c: char| !c.is_ascii_digit()).filter(|number| !number.is_empty()).collect())
        .collect();
    if numbers.iter().any(|of_one| of_one.len() != numbers[0].len()) {
        return (*first).to_owned();
    }
    let mut out = String::with_capacity(first.len() + 16);
    let mut nth = 0;
    let mut in_number = false;
    for c in first.chars() {
        if !c.is_ascii_digit() {
            in_number = false;
            out.push(c);
        } else if !in_number {
            in_number = true;
            let each: Vec<String> = numbers
                .iter()
                .map(|of_one| of_one.get(nth).map_or_else(String::new, |&number| number.to_owned()))
                .collect();
            out.push_str(&listed(&each));
            nth += 1;
        }
    }
    out
}

/// Words of the pattern's own.
fn words(text: &str, form: Form) -> String {
    match form {
        Form::Text => text.to_owned(),
        Form::Markdown => escaped(text),
    }
}

fn quoted(text: &str, form: Form) -> String {
    format!("“{}”", words(text, form))
}

/// Nothing in it means anything to Markdown or HTML: every sign that might is written with a backslash or as an entity
/// (CommonMark 0.31, sections 2.4 and 2.5).
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '\n' | '\r' => out.push(' '),
            c if c.is_ascii_punctuation()
                && !matches!(c, ',' | '.' | ';' | ':' | '(' | ')' | '-' | '/' | '\'' | '"') =>
            {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    out
}
