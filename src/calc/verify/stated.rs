//! Measurements that the text states: what is measured, on which piece, and where the text says so.

use super::figures::Line;
use super::gauge::{self, Gauge};
use super::report::Terms;
use crate::notation::token::Span;
use crate::notation::tree::Pattern;
use crate::units::Length;

/// So many statements are compared; no pattern has more.
const MOST: usize = 48;

/// What is measured, as far as the words say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum What {
    /// Wide, or width.
    Width,
    /// Long, deep, high.
    Length,
    /// Around.
    Circumference,
    /// In diameter.
    Diameter,
    /// Across: flat pieces have a width, circles a diameter.
    Across,
}

/// Up to where the piece is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Upto {
    /// When it is finished.
    Finished,
    /// After the row or round of this number.
    Number(u64),
    /// After this written row.
    Row(usize),
}

/// One statement.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Statement {
    /// The piece, by its position.
    pub(super) piece: usize,
    pub(super) what: What,
    pub(super) upto: Upto,
    /// One for all sizes, or one a size.
    pub(super) lengths: Vec<Length>,
    /// "About", "approx".
    pub(super) about: bool,
    pub(super) blocked: bool,
    pub(super) span: Span,
}

/// What the text says of gauge and measurements.
#[derive(Debug, Default)]
pub(super) struct Stated {
    pub(super) gauge: Gauge,
    pub(super) measures: Vec<Statement>,
    /// What becomes of the piece after its rows: folded, seamed, edged. Then its finished size is not that of its rows.
    pub(super) made_up: bool,
}

const MADE_UP: &[&str] = &[
    "fold",
    "folded",
    "seam",
    "seams",
    "seamed",
    "gather",
    "gathered",
    "border",
    "edging",
    "fringe",
    "frill",
    "ruffle",
    "lengthwise",
    "sideways",
    "lengthways",
    "squares",
    "motifs",
    "strips",
    "panels",
    "pleat",
    "sew",
];

/// Reads all talk of a text, in one pass. With `gauge_too` its gauge as well.
pub(super) fn read(text: &str, pattern: &Pattern, terms: Terms, gauge_too: bool) -> Stated {
    let mut reader = Reader {
        text,
        pattern,
        rows: pattern
            .pieces
            .iter()
            .enumerate()
            .flat_map(|(piece, of)| of.rows.iter().enumerate().map(move |(row, of)| (piece, row, of.span)))
            .collect(),
        single: single(pattern),
        next: 0,
        headed: false,
        first_line: true,
        section: Section::Other,
        stated: Stated::default(),
    };
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let end = start + line.len();
        reader.line(start, end, terms, gauge_too);
        start = end;
    }
    reader.stated
}

/// The only piece that has rows.
fn single(pattern: &Pattern) -> Option<usize> {
    let mut with_rows = pattern.pieces.iter().enumerate().filter(|(_, piece)| !piece.rows.is_empty());
    let first = with_rows.next()?.0;
    with_rows.next().is_none().then_some(first)
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Section {
    /// Under "GAUGE" alone.
    Gauge,
    /// Under "FINISHED SIZE", "MEASUREMENTS".
    Size,
    Other,
}

struct Reader<'t> {
    text: &'t str,
    pattern: &'t Pattern,
    /// Every row: its piece, its position there, its place.
    rows: Vec<(usize, usize, Span)>,
    single: Option<usize>,
    /// The first row that does not end before the line.
    next: usize,
    /// The heading of the next row's piece stands above.
    headed: bool,
    first_line: bool,
    section: Section,
    stated: Stated,
}

impl Reader<'_> {
    fn line(&mut self, start: usize, end: usize, terms: Terms, gauge_too: bool) {
        let written = self.text[start..end].trim();
        if written.is_empty() {
            return;
        }
        while self.rows.get(self.next).is_some_and(|(.., span)| span.end as usize <= start) {
            self.next += 1;
            self.headed = false;
        }
        let first_line = std::mem::replace(&mut self.first_line, false);
        if self.rows.get(self.next).is_some_and(|(.., span)| (span.start as usize) < end) {
            self.section = Section::Other;
            // A row may end in what the piece should measure now.
            if let Some(offset) = self.text[start..end].find("measure") {
                let from =
                    self.text[start..start + offset].rfind(['.', '(', ';']).map_or(start, |stop| start + stop + 1);
                self.checkpoint(&Line::cut(self.text, from, end), Some(self.next));
            }
            return;
        }
        let line = Line::cut(self.text, start, end);
        if gauge_too && let Some(from) = gauge::begins(&line) {
            // "… or size to reach gauge" is no heading.
            let alone = from >= line.len() && line.len() <= 3;
            self.section = if alone { Section::Gauge } else { Section::Other };
            self.stated.gauge.line(&line, from, terms);
            // "GAUGE: 4 sts to the inch. Finished scarf 10 inches wide"
            self.finished(&line, false);
            return;
        }
        if self.section == Section::Gauge {
            self.stated.gauge.line(&line, 0, terms);
            self.section = Section::Other;
            return;
        }
        self.stated.made_up |= line.any(MADE_UP);
        if is_size_heading(&line) {
            self.section = Section::Size;
            return;
        }
        if !line.figures.iter().any(|figure| matches!(figure.kind, super::figures::Kind::Number(_))) {
            self.section = Section::Other;
            self.headed |= !first_line && self.is_heading(written);
            return;
        }
        self.headed |= !first_line && self.is_heading(written);
        if line.any(&["measure", "measures"]) && !line.any(FINISHED) {
            self.checkpoint(&line, None);
        } else {
            let under = self.section == Section::Size;
            self.finished(&line, under);
            self.section = Section::Other;
        }
    }

    /// Whether a line is the heading of the piece that comes next.
    fn is_heading(&self, written: &str) -> bool {
        let Some((piece, ..)) = self.rows.get(self.next) else { return false };
        let name = self.pattern.pieces[*piece].name.as_str();
        let bare = written.trim_start_matches(['*', '#', '_', ' ', '=', '-']);
        !name.is_empty() && bare.get(..name.len()).is_some_and(|head| head.eq_ignore_ascii_case(name))
    }

    /// The piece that a finished measurement in this place is plainly meant for.
    fn piece(&self) -> Option<usize> {
        if let Some(single) = self.single {
            return Some(single);
        }
        let (next, ..) = self.rows.get(self.next)?;
        let before = self.next.checked_sub(1).map(|row| self.rows[row].0);
        (self.headed && before != Some(*next)).then_some(*next)
    }

    fn push(&mut self, statement: Statement) {
        if self.stated.measures.len() < MOST {
            self.stated.measures.push(statement);
        }
    }

    /// `Finished width: 8 in`, `Finished size: 20 in around, 8 in deep`, `Circumference: 18 (20, 22) in`.
    fn finished(&mut self, line: &Line<'_>, under: bool) {
        let Some(piece) = self.piece() else { return };
        let name = self.pattern.pieces[piece].name.to_ascii_lowercase();
        // "Finished", "size", a measure at the head of the line, or the piece's heading above: it is no remark by the way.
        let Some(size) = (0..line.len())
            .find(|at| line.is(*at, FINISHED) || line.is(*at, &["size", "measurements"]))
            .or_else(|| {
                (under
                    || (0..line.len()).find(|at| line.word(*at).is_some()).is_some_and(|at| label(line, at).is_some()))
                .then_some(0)
            })
        else {
            return;
        };
        let mut at = size;
        // Where the words before a figure begin.
        let mut from = size;
        while at < line.len() {
            if line.mark(at, ',') || line.mark(at, ';') || line.mark(at, '.') {
                from = at + 1;
            }
            if line.number(at).is_none() {
                at += 1;
                continue;
            }
            let Some((lengths, next)) = line.lengths(at) else {
                // "Size 8 to 10": what follows a figure that is no length is not plain.
                from = line.len();
                at += 1;
                continue;
            };
            let before = (from..at).filter(|i| line.word(*i).is_some());
            let mut labelled = None;
            let mut plain = from < line.len();
            let mut about = false;
            for i in before {
                if let Some(what) = label(line, i) {
                    plain &= labelled.is_none();
                    labelled = Some(what);
                } else if line.is(i, APPROXIMATE) {
                    about = true;
                } else if !(line.is(i, FINISHED) || line.is(i, PLAIN_WORDS) || is_in(&name, line.word(i))) {
                    plain = false;
                }
            }
            let (behind, next) = behind(line, next);
            let what = match (labelled, behind) {
                (Some(what), Behind::Nothing) | (None, Behind::Says(what)) => Some(what),
                _ => None,
            };
            if let Some(what) = what.filter(|_| plain) {
                let span = line.figures[from.min(at)].span.to(line.figures[next - 1].span);
                let span = if labelled.is_none() { line.figures[at].span.to(span) } else { span };
                self.push(Statement {
                    piece,
                    what,
                    upto: Upto::Finished,
                    lengths,
                    about,
                    blocked: gauge::blocked(line),
                    span: Span { start: span.start.max(line.figures[from.min(at)].span.start), ..span },
                });
            }
            from = next;
            at = next.max(at + 1);
        }
    }

    /// `Piece should measure 5 in across after Rnd 8.` `inside` is the row in whose line it stands.
    fn checkpoint(&mut self, line: &Line<'_>, inside: Option<usize>) {
        let Some(verb) = (0..line.len()).find(|at| line.is(*at, &["measure", "measures"])) else { return };
        let vague = [
            "until", "over", "under", "least", "most", "between", "mine", "if", "when", "little", "or", "so", "first",
            "from", "to",
        ];
        if line.any(&vague) {
            return;
        }
        let mut at = verb + 1;
        let about = line.is(at, APPROXIMATE);
        at += usize::from(about);
        let Some((lengths, next)) = line.lengths(at) else { return };
        let (Behind::Says(what), next) = behind(line, next) else { return };
        // "after Rnd 8" before or behind.
        let number = (0..line.len()).find_map(|at| {
            let says = line.is(at, &["after", "of"]) && line.is(at + 1, &["row", "rnd", "round", "rd"]);
            says.then(|| line.whole(at + 2)).flatten()
        });
        if line.any(&["after"]) && number.is_none() {
            return;
        }
        // Words that measure a part of it.
        let part = (0..verb).any(|at| line.word(at).is_some() && !line.is(at, WHOLE) && !line.is(at, APPROXIMATE));
        if part {
            return;
        }
        let before = inside.or_else(|| self.next.checked_sub(1));
        let Some((piece, upto)) = self.measured(before, inside, number) else { return };
        let span = line.figures[verb].span.to(line.figures[next - 1].span);
        self.push(Statement { piece, what, upto, lengths, about, blocked: gauge::blocked(line), span });
    }

    fn measured(&self, before: Option<usize>, inside: Option<usize>, number: Option<u64>) -> Option<(usize, Upto)> {
        if let (Some(single), Some(number)) = (self.single, number) {
            return Some((single, Upto::Number(number)));
        }
        let (piece, row, _) = *self.rows.get(before?)?;
        // Between two pieces either could be meant.
        let next = if inside.is_some() { None } else { self.rows.get(self.next) };
        if next.is_some_and(|(next, ..)| *next != piece) {
            return None;
        }
        Some((piece, number.map_or(Upto::Row(row), Upto::Number)))
    }
}

const FINISHED: &[&str] = &["finished", "final"];
const APPROXIMATE: &[&str] = &["about", "approx", "approximately", "abt", "ca", "circa", "roughly"];
const PLAIN_WORDS: &[&str] = &[
    "size",
    "measurements",
    "measurement",
    "one",
    "is",
    "and",
    "by",
    "x",
    "total",
    "overall",
    "gauge",
    "tension",
    "piece",
    "measures",
    "the",
];
const WHOLE: &[&str] = &[
    "piece", "work", "it", "your", "the", "circle", "disc", "disk", "should", "will", "now", "after", "row", "rnd",
    "round", "rd", "this", "that", "here", "at", "point", "crown", "base", "bottom", "of", "end",
];

fn is_in(name: &str, word: Option<&str>) -> bool {
    word.is_some_and(|word| name.split(|c: char| !c.is_alphanumeric()).any(|known| known.eq_ignore_ascii_case(word)))
}

fn is_size_heading(line: &Line<'_>) -> bool {
    let words = (0..line.len()).filter(|at| line.word(*at).is_some()).count();
    words <= 3
        && !line.figures.iter().any(|figure| matches!(figure.kind, super::figures::Kind::Number(_)))
        && (line.is(0, FINISHED) || line.is(0, &["measurements"]) && words == 1)
}

/// `width`, `length`, `circumference`, `diameter` before the figure.
fn label(line: &Line<'_>, at: usize) -> Option<What> {
    Some(match line.word(at)?.to_ascii_lowercase().as_str() {
        "width" => What::Width,
        "length" | "depth" | "height" => What::Length,
        "circumference" => What::Circumference,
        "diameter" => What::Diameter,
        _ => return None,
    })
}

enum Behind {
    /// The figure ends its clause.
    Nothing,
    Says(What),
    /// Something else follows, and the measure is of a part.
    Else,
}

/// `wide`, `in diameter` behind the figure, and what ends there.
fn behind(line: &Line<'_>, at: usize) -> (Behind, usize) {
    let mut i = at;
    let says = if line.is(i, &["in"]) && line.is(i + 1, &["diameter", "circumference", "width", "length"]) {
        i += 2;
        label(line, i - 1)
    } else {
        let what = match line.word(i).map(str::to_ascii_lowercase).as_deref() {
            Some("wide") => Some(What::Width),
            Some("long" | "deep" | "high" | "tall") => Some(What::Length),
            Some("around" | "circumference") => Some(What::Circumference),
            Some("diameter") => Some(What::Diameter),
            Some("across") => Some(What::Across),
            _ => None,
        };
        i += usize::from(what.is_some());
        what
    };
    let clause = i >= line.len()
        || line.word(i).is_none() && line.number(i).is_none() && !line.mark(i, '-') && !line.mark(i, '(')
        || line.is(i, &["and", "by", "x", "after", "now"]) && says.is_some()
        || line.is(i, &["at"]) && line.is(i + 1, &["this"]);
    match says {
        _ if !clause => (Behind::Else, i),
        Some(what) => (Behind::Says(what), i),
        None => (Behind::Nothing, i),
    }
}
