//! Lines sorted into rows, headings, sections and talk. Talk carries numbers and stitch words too; what decides is a
//! header, a verb of the trade at the beginning, and whether the whole of it reads.

mod marks;
mod talk;

use super::body::{self, Body};
use super::guard;
use super::header::{self, Header};
use super::scan::Scan;
use super::token::{Kind, Span, Token};
use super::tree::{Act, Pattern, Piece, Place, Remark, Row, RowNumbers, RowWord, SizeSet, Step};
use super::words::Key;
use crate::verify::{Reading, Rule};

/// Where the text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Section {
    /// Instructions, or nothing said yet.
    Rows,
    /// Materials, gauge, notes, abbreviations, finishing: headerless lines are talk.
    Talk,
}

struct Sorter<'a, 'p> {
    scan: Scan<'a>,
    broken: &'a [Span],
    pattern: &'p mut Pattern,
    section: Section,
    sizes: SizeSet,
    /// A heading waits for its first row.
    heading: Option<String>,
    /// Token range of the row that may go on in the next line.
    last: Option<LastRow>,
    /// Ended by "fasten off".
    ended: bool,
    /// Nothing, or an empty line, stands before this line.
    set_off: bool,
    /// How the next row begins, where a line before it says so.
    resumes: Vec<Step>,
}

/// A row goes over so many lines of the text at the most.
const MOST_LINES: u32 = 64;

struct LastRow {
    lines: u32,
    header: Option<Header>,
    from: usize,
    body: usize,
    end: usize,
    headed: bool,
}

/// Sorts every line of the text into the pattern.
pub fn sort(scan: Scan<'_>, listed: Option<Span>, broken: &[Span], defined: &[Span], pattern: &mut Pattern) {
    let mut sorter = Sorter {
        scan,
        broken,
        pattern,
        section: Section::Rows,
        sizes: SizeSet::ALL,
        heading: None,
        last: None,
        ended: false,
        set_off: true,
        resumes: Vec::new(),
    };
    let mut at = 0;
    while at < scan.tokens.len() {
        let end = scan.tokens[at..]
            .iter()
            .position(|token| token.kind == Kind::Newline)
            .map_or(scan.tokens.len(), |offset| at + offset);
        let end = (at + 1..end).find(|i| run_together(&scan, *i, end)).unwrap_or(end);
        let start = scan.span(at).start;
        if end > at && defined.iter().any(|line| line.start <= start && start < line.end) {
            // What the pattern defines was read before.
            sorter.talk(at, end);
            sorter.last = None;
            sorter.set_off = false;
        } else if end > at
            && listed.is_none_or(|listed| listed.start > scan.span(at).start || scan.span(at).start >= listed.end)
        {
            sorter.line(at, end);
            sorter.set_off = false;
        } else if end == at {
            sorter.set_off = true;
            sorter.last = sorter.last.take().filter(|last| sorter.open_ended(last.end));
        }
        at = if matches!(scan.kind(end), Some(Kind::Newline)) { end + 1 } else { end.max(at + 1) };
    }
    // Remarks on lists outside the rows (materials, measurements) are no faults of the work.
    let rows: Vec<Span> = pattern.pieces.iter().flat_map(|piece| piece.rows.iter().map(|row| row.span)).collect();
    pattern.remarks.retain(|remark| {
        remark.rule != Rule::SizeListLength || {
            let first = rows.partition_point(|row| row.end <= remark.span.start);
            rows.get(first).is_some_and(|row| row.start <= remark.span.start)
        }
    });
}

/// `… turn. (24) Row 5: …`: rows that were printed into one line.
fn run_together(scan: &Scan<'_>, at: usize, end: usize) -> bool {
    // "Cordgrass Shawl. Ch 4." on one line: a title, and the foundation.
    if matches!(scan.kind(at - 1), Some(Kind::Stop))
        && let Some(next) = scan.chain(at)
        && scan.number(next).is_some()
        && (next + 1 == end || next + 2 == end && scan.kind(next + 1) == Some(Kind::Stop))
    {
        let from = (0..at).rev().find(|i| scan.kind(*i) == Some(Kind::Newline)).map_or(0, |newline| newline + 1);
        let title = at - from <= 8
            && (from..at).all(|i| {
                matches!(scan.kind(i), Some(Kind::Word(_) | Kind::Stop | Kind::Dash))
                    && scan.making(i).is_none()
                    && scan.chain(i).is_none()
            });
        if title {
            return true;
        }
    }
    if !scan.is(at, &[Key::Row, Key::Rows, Key::Round, Key::Rounds, Key::R])
        || !matches!(scan.kind(at - 1), Some(Kind::Stop | Kind::Close(_)))
        || scan.number(at + 1).is_none()
    {
        return false;
    }
    let Some(header) = header::header(scan, at, end) else { return false };
    header.body > at && matches!(scan.kind(header.body - 1), Some(Kind::Colon))
}

impl Sorter<'_, '_> {
    fn line(&mut self, at: usize, end: usize) {
        let before = self.sizes;
        let mut inline = None;
        self.line_for(at, end, before, &mut inline);
        if let Some(before) = inline {
            self.sizes = before;
        }
    }

    fn line_for(&mut self, mut at: usize, end: usize, before: SizeSet, inline: &mut Option<SizeSet>) {
        let mut emphasis = false;
        if self.marked_heading(at, end) || self.table_line(at, end) {
            return;
        }
        // Bullets and boxes to tick.
        while at < end
            && (matches!(self.scan.kind(at), Some(Kind::Odd | Kind::Slash))
                || matches!(self.scan.kind(at), Some(Kind::Dash | Kind::Star(3)) if at + 1 < end && !self.scan.glued(at + 1)))
        {
            at += 1;
        }
        // Emphasis around a header: "**Row 1:**", "*Rnd 2*".
        if matches!(self.scan.kind(at), Some(Kind::DoubleStar | Kind::Star(_)))
            && header::header(&self.scan, at + 1, end).is_some_and(|header| header.word != RowWord::Named)
        {
            at += 1;
            emphasis = true;
        }
        if at >= end {
            return;
        }
        if let Some(next) = self.guard(at, end) {
            if next >= end {
                self.last = None;
                return;
            }
            // "Size L only: Row 2: …" speaks for its own line.
            *inline = Some(before);
            at = next;
        }
        if let Some(mut header) = header::header(&self.scan, at, end)
            && self.believed(&header, end)
        {
            while emphasis
                && matches!(self.scan.kind(header.body), Some(Kind::DoubleStar | Kind::Star(_) | Kind::Colon))
            {
                header.body += 1;
                emphasis = matches!(self.scan.kind(header.body), Some(Kind::Colon | Kind::DoubleStar));
            }
            self.section = Section::Rows;
            self.headed(header, at, end);
            return;
        }
        if let Some(header) = self.labelled(at, end) {
            self.headed(header, at, end);
            return;
        }
        if self.count_line(at, end) || self.continues(at, end) {
            return;
        }
        if self.section_heading(at, end) {
            self.last = None;
            return;
        }
        if self.section == Section::Rows
            && self.pattern.pieces.iter().any(|piece| !piece.rows.is_empty())
            && let Some(steps) = super::pieces::resumes(&self.scan, at, end)
        {
            self.resumes = steps;
            self.last = None;
            return;
        }
        if let Some(steps) = self.joined_before(at, end) {
            self.resumes = steps;
            self.last = None;
            return;
        }
        if self.gauge_line(at, end) {
            self.talk(at, end);
            return;
        }
        // "Ch 21." behind the notes begins the work, and so does "Loosely ch 21."
        let work = self.behind_manner(at, end);
        let begins = self.scan.chain(work).is_some() || super::place::ring(&self.scan, work, end).is_some();
        let (work, end, begins) =
            self.foundation_told(at, end).map_or((work, end, begins), |(from, stop)| (from, stop, true));
        if (self.section == Section::Rows || begins) && self.unheaded(work, end) {
            self.section = Section::Rows;
            return;
        }
        if self.stops(at, end) {
            return;
        }
        if self.heading_line(at, end) {
            self.section = Section::Rows;
            self.last = None;
            return;
        }
        self.sews(at, end);
        self.talk(at, end);
    }

    /// `Border: Sc in each st around`, `Edging: …`: a word of the pattern's own before the work, once rows have begun.
    fn labelled(&self, at: usize, end: usize) -> Option<Header> {
        let scan = &self.scan;
        if self.section != Section::Rows || self.pattern.pieces.last().is_none_or(|piece| piece.rows.is_empty()) {
            return None;
        }
        let colon = (at + 1..end.min(at + 4)).find(|i| scan.kind(*i) == Some(Kind::Colon))?;
        let named = (at..colon)
            .all(|i| matches!(scan.kind(i), Some(Kind::Word(_))) && scan.stitch(i).is_none() && scan.key(i).is_none());
        let own = scan.span(at).to(scan.span(colon - 1)).of(scan.text);
        let named = named && !self.pattern.own_sizes.iter().any(|size| size.eq_ignore_ascii_case(own));
        let works = scan.starts_instruction(colon + 1) && colon + 1 < end && !self.defines(colon + 1, end);
        (named && works).then(|| Header {
            label: scan.span(at).to(scan.span(colon - 1)),
            word: RowWord::Named,
            numbers: RowNumbers::None,
            body: colon + 1,
            attributes: None,
            punctuated: true,
        })
    }

    /// A header is a header only where instructions follow: "Row 1 is the right side" is talk.
    fn believed(&self, header: &Header, end: usize) -> bool {
        if header.body >= end {
            return header.punctuated && !matches!(header.word, RowWord::Bare | RowWord::Named);
        }
        let scan = &self.scan;
        if header.word == RowWord::Named && !header.punctuated {
            return false;
        }
        if header.word == RowWord::Bare
            && self.section == Section::Talk
            && scan.key(header.body) != Some(Key::Magic)
            && header.label.of(scan.text).bytes().all(|byte| byte.is_ascii_digit())
        {
            return false;
        }
        // "Rnds 1–3 = 2½ in across" is a measurement.
        let measure = (header.body..end.min(header.body + 3))
            .any(|i| matches!(scan.kind(i), Some(Kind::Decimal | Kind::Quote)))
            || scan.number(header.body).is_some() && scan.is(header.body + 1, &[Key::In]) && header.body + 2 >= end;
        if measure && self.section == Section::Talk {
            return false;
        }
        let marked = matches!(
            header.body.checked_sub(1).and_then(|i| scan.kind(i)),
            Some(Kind::Colon | Kind::Dash | Kind::Equals | Kind::Stop)
        ) || header.body > 1
            && scan.kind(header.body - 1) == Some(Kind::Slash)
            && scan.kind(header.body - 2) == Some(Kind::Slash);
        // A numbered row with a stitch and a number in it is no talk, whatever stands between.
        let numbered = matches!(header.word, RowWord::Row | RowWord::Round)
            && (header.body..end).any(|i| scan.making(i).is_some_and(|making| making.stitch.is_some()))
            && (header.body..end).any(|i| scan.number(i).is_some())
            && matches!(scan.kind(header.body), Some(Kind::Comma | Kind::Open(_)));
        marked
            || numbered
            || scan.kind(header.body) == Some(Kind::Equals)
            || scan.starts_instruction(header.body)
            || scan.is(header.body, &[Key::Each, Key::All, Key::Increase])
    }

    fn headed(&mut self, header: Header, from: usize, end: usize) {
        if let Some((open, close)) = header.attributes
            && let Some(sizes) =
                guard::sizes_in(self.scan.tokens, self.scan.text, &self.pattern.own_sizes, self.sizes, open + 1, close)
        {
            let before = std::mem::replace(&mut self.sizes, sizes);
            self.row(LastRow { lines: 1, body: header.body, header: Some(header), from, end, headed: true });
            self.sizes = before;
            return;
        }
        self.row(LastRow { lines: 1, body: header.body, header: Some(header), from, end, headed: true });
    }

    /// Reads a row and puts it into its piece. A line end inside it is a space.
    fn row(&mut self, last: LastRow) {
        let number = own_number(last.header.as_ref());
        let (defined, numbers) = (self.pattern.said.clone_words(), &mut self.pattern.numbers);
        let range = last.body.min(last.end)..last.end;
        let body = if self.scan.tokens[range.clone()].iter().any(|token| token.kind == Kind::Newline) {
            let joined: Vec<Token> =
                self.scan.tokens[range].iter().filter(|token| token.kind != Kind::Newline).copied().collect();
            let closes = super::scan::pair_brackets(&joined);
            let scan = Scan { tokens: &joined, closes: &closes, ..self.scan };
            body::body(scan, numbers, self.broken, number, defined, 0, joined.len())
        } else {
            body::body(self.scan, numbers, self.broken, number, defined, last.body, last.end)
        };
        self.place(&last, body);
        self.last = Some(last);
    }

    fn place(&mut self, last: &LastRow, mut body: Body) {
        super::definitions::expand_rows(&mut body.steps, &self.pattern.definitions);
        self.apply_edit(&mut body.steps);
        let (label, word, mut numbers) =
            last.header.as_ref().map_or((Span::default(), RowWord::None, RowNumbers::None), |header| {
                (header.label, header.word, header.numbers.clone())
            });
        if let Some(rows) = body.rows
            && matches!(numbers, RowNumbers::None)
        {
            numbers = RowNumbers::NextRows(rows);
        }
        let mut row = finish(&self.scan, last, label, word, numbers, body, self.sizes, self.pattern);
        if !self.resumes.is_empty() {
            let mut resumes = std::mem::take(&mut self.resumes);
            // What was sewn together is worked along where the row speaks of its sides; a row without a name begins anew.
            let sewn = matches!(resumes[0].act, Act::Resume(super::tree::Resume::Sewn));
            let along = (last.body..last.end).any(|i| self.scan.is(i, &[Key::Side, Key::Edge]));
            if !last.headed || sewn && (self.heading.is_none() || !along) {
                resumes.clear();
            } else if sewn {
                // The yarn is joined there, and begins with the first stitch.
                let joins = |step: &Step| matches!(&step.act, Act::Work(work) if work.stitch == Some(crate::standards::StitchId::SLIP_STITCH));
                if let Some(first) = row.steps.iter().position(|step| !matches!(step.act, Act::Aside))
                    && joins(&row.steps[first])
                {
                    row.steps.remove(first);
                }
            }
            for steps in row.rivals.iter_mut().chain(std::iter::once(&mut row.steps)) {
                steps.splice(0..0, resumes.iter().cloned());
            }
        }
        let starts = starts_afresh(&row);
        let restart = self.restarts(&row);
        let piece_empty = self.pattern.pieces.is_empty();
        if let Some(name) = self.heading.take() {
            self.pattern.pieces.push(Piece { name, rows: Vec::new() });
        } else if piece_empty || starts && self.ended && restart {
            self.pattern.pieces.push(Piece::default());
        }
        self.ended = row.steps.iter().any(|step| matches!(step.act, Act::FastenOff));
        if let Some(piece) = self.pattern.pieces.last_mut() {
            piece.rows.push(row);
        }
    }

    /// "As Rnd 3 but with 2 sc between increases": the steps of that row, changed.
    fn apply_edit(&self, steps: &mut Vec<Step>) {
        let Some(at) = steps.iter().position(|step| matches!(step.act, Act::Edited(_))) else { return };
        let Act::Edited(edit) = steps[at].act else { return };
        let referred = steps[..at].iter().rev().find_map(|step| match &step.act {
            Act::Again(super::tree::Again { rows: super::tree::Rows::Numbers(list), times: None, of: None }) => {
                match list.as_slice() {
                    [(from, to)] if from == to => from.plain(),
                    _ => None,
                }
            }
            _ => None,
        });
        let row = referred.and_then(|number| {
            self.pattern
                .pieces
                .last()?
                .rows
                .iter()
                .rev()
                .find(|row| matches!(row.numbers, RowNumbers::One(own) if own.plain() == Some(number)))
        });
        match row.and_then(|row| super::again::edited(&row.steps, edit, self.scan.text)) {
            Some(changed) => {
                steps.remove(at);
                steps.retain(|step| !matches!(step.act, Act::Again(_)));
                steps.splice(0..0, changed);
            }
            None => steps[at].act = Act::Unread,
        }
    }

    fn restarts(&self, row: &Row) -> bool {
        matches!(&row.numbers, RowNumbers::One(number) | RowNumbers::Range(number, _) if number.plain() == Some(1))
            || matches!(row.numbers, RowNumbers::None)
    }

    /// A count on a line of its own belongs to the row above.
    fn count_line(&mut self, at: usize, end: usize) -> bool {
        if self.last.is_none() {
            return false;
        }
        // "You should have 13 stitches.", "Total: 13 sts.", "Stitch count: 13."
        let mut end = end;
        let mut at = at;
        let worded = self.scan.is(at, &[Key::You, Key::There, Key::Total, Key::Should])
            || self.scan.key(at) == Some(Key::Stitch) && self.scan.key(at + 1) == Some(Key::Count);
        if worded && let Some(first) = (at..end.min(at + 8)).find(|i| self.scan.number(*i).is_some()) {
            at = first;
            end = (first..end).find(|i| self.scan.kind(*i) == Some(Kind::Stop)).unwrap_or(end);
            if end == at + 1 && self.scan.key(at - 1) == Some(Key::Stitch) {
                return false;
            }
        }
        if !worded && !matches!(self.scan.kind(at), Some(Kind::Open(_) | Kind::Equals | Kind::Dash | Kind::Number(_))) {
            return false;
        }
        let bracketed = matches!(self.scan.kind(at), Some(Kind::Open(_)));
        if bracketed
            && self.scan.closing(at, end) != Some(end - 1)
            && !(self.scan.closing(at, end) == Some(end - 2) && self.scan.kind(end - 1) == Some(Kind::Stop))
        {
            return false;
        }
        let from = if matches!(self.scan.kind(at), Some(Kind::Equals | Kind::Dash)) { at + 1 } else { at };
        // A bare number needs its unit here: "24 sts." but not "4.".
        if !bracketed
            && !worded
            && from == at
            && super::count::unit(&self.scan, at + 1, end).is_none_or(|(_, next)| next == at + 1)
        {
            return false;
        }
        let Some(stated) = super::count::count(&self.scan, from, end) else { return false };
        let Some(row) = self.pattern.pieces.last_mut().and_then(|piece| piece.rows.last_mut()) else { return false };
        if row.stated.is_some() || stated.parts.len() > 2 && !bracketed {
            return false;
        }
        row.span = row.span.to(stated.span);
        row.stated = Some(stated);
        self.last = None;
        true
    }

    fn open_ended(&self, end: usize) -> bool {
        matches!(self.scan.kind(end.saturating_sub(1)), Some(Kind::Comma | Kind::Semicolon))
            || self.scan.is(end.saturating_sub(1), &[Key::And])
    }

    /// A line that goes on with the row above.
    fn continues(&mut self, at: usize, end: usize) -> bool {
        let Some(last) = &self.last else { return false };
        let open = self.open_ended(last.end);
        let closed =
            matches!(self.scan.kind(last.end - 1), Some(Kind::Stop | Kind::Close(_) | Kind::Exclamation | Kind::Colon));
        let lower = self
            .scan
            .span(at)
            .of(self.scan.text)
            .starts_with(|c: char| c.is_lowercase() || c == '*' || c == '(' || c == '[' || c.is_ascii_digit());
        let stands_alone = !last.headed && self.scan.starts_instruction(at);
        if !open && (closed || !lower || !last.headed || stands_alone) {
            return false;
        }
        if self
            .scan
            .is(at, &[Key::Materials, Key::Gauge, Key::Notes, Key::Cautions, Key::Abbreviations, Key::Finishing])
        {
            return false;
        }
        let Some(mut last) = self.last.take() else { return false };
        last.lines += 1;
        if last.lines > MOST_LINES {
            return false;
        }
        if let Some(piece) = self.pattern.pieces.last_mut()
            && let Some(row) = piece.rows.pop()
        {
            let resumed = row.steps.iter().take_while(|step| step.span.end <= row.span.start);
            self.resumes = resumed.cloned().collect();
            last.end = end;
            let sizes = std::mem::replace(&mut self.sizes, row.sizes);
            let ended = self.ended;
            self.row(last);
            self.ended |= ended;
            self.sizes = sizes;
        }
        true
    }

    /// A row without a header: read in full, or beginning like nothing but an instruction.
    fn unheaded(&mut self, at: usize, end: usize) -> bool {
        if !self.scan.starts_instruction(at) || self.defines(at, end) {
            return false;
        }
        let body = body::body(
            self.scan,
            &mut self.pattern.numbers,
            self.broken,
            None,
            self.pattern.said.clone_words(),
            at,
            end,
        );
        // "Ch 2 at beg of rnd does not count as a st."
        let about = (at..end).any(|i| self.scan.key(i) == Some(Key::Count))
            && !body.steps.iter().any(|step| matches!(step.act, Act::Work(_) | Act::Repeat(_) | Act::Group { .. }));
        if about {
            return false;
        }
        let works = body.steps.iter().any(|step| worked(&step.act));
        let ends = body.steps.iter().any(|step| matches!(step.act, Act::FastenOff));
        let unread = body.steps.iter().any(|step| matches!(step.act, Act::Unread));
        let starts =
            body.steps.iter().find(|step| !matches!(step.act, Act::Aside)).is_some_and(|step| worked(&step.act));
        let commands = self.commands(at);
        if !works && !commands {
            if ends && !unread {
                self.end_piece(end, at);
                return true;
            }
            return false;
        }
        // A sentence that happens to begin with a word of the trade: "Sc stitches lie flat."
        if unread
            && !commands
            && !(starts && body.stated.is_some() || self.scan.chain(at).is_some() || self.scan.number(at).is_some())
        {
            return false;
        }
        if !(starts || commands) || self.prose(at, end) && unread {
            return false;
        }
        let last = LastRow { lines: 1, header: None, from: at, body: at, end, headed: false };
        self.place(&last, body);
        self.last = Some(last);
        true
    }

    /// `Sizes M (L) only:` at the beginning of a line; answers where the line goes on.
    fn guard(&mut self, at: usize, end: usize) -> Option<usize> {
        let (sizes, next) =
            guard::guard(self.scan.tokens, self.scan.text, &self.pattern.own_sizes, self.sizes, at, end)?;
        self.sizes = sizes;
        Some(next)
    }
}

fn own_number(header: Option<&Header>) -> Option<u64> {
    match header?.numbers {
        RowNumbers::One(number) | RowNumbers::Range(number, _) => number.plain(),
        _ => None,
    }
}

fn worked(act: &Act) -> bool {
    matches!(
        act,
        Act::Work(_)
            | Act::Repeat(_)
            | Act::Group { .. }
            | Act::Chain { .. }
            | Act::Ring
            | Act::FoundationStitches { .. }
            | Act::Again(_)
            | Act::Skip { .. }
    )
}

/// A row that needs no row below.
pub(crate) fn starts_afresh(row: &Row) -> bool {
    let mut steps = row.steps.iter().filter(|step| !matches!(step.act, Act::Aside));
    match steps.next().map(|step| &step.act) {
        Some(Act::Ring | Act::FoundationStitches { .. }) => true,
        Some(Act::Work(work)) => matches!(work.place, Place::Ring),
        Some(Act::Chain { .. }) => {
            row.steps.iter().any(
                |step| matches!(&step.act, Act::Work(work) if matches!(work.place, Place::FromHook(_) | Place::Ring)),
            ) || row.steps.iter().any(|step| matches!(step.act, Act::Ring))
                || row
                    .steps
                    .iter()
                    .all(|step| matches!(step.act, Act::Chain { .. } | Act::Aside | Act::Join | Act::FastenOff))
        }
        _ => false,
    }
}

#[expect(clippy::too_many_arguments, reason = "one caller; a struct would only rename the locals")]
fn finish(
    scan: &Scan<'_>,
    last: &LastRow,
    label: Span,
    word: RowWord,
    numbers: RowNumbers,
    body: Body,
    sizes: SizeSet,
    pattern: &mut Pattern,
) -> Row {
    let span = scan.span(last.from).to(scan.span(last.end - 1));
    let unread = count_unread(&body.steps);
    let read = body.steps.iter().any(|step| worked(&step.act));
    let reading = match (unread, read) {
        (0, _) if !body.steps.is_empty() || body.stated.is_some() => Reading::Read,
        // A list of the wrong length was read, and is a fault of its own.
        (unread, _) if unread > 0 && unread == body.broken_steps => Reading::Read,
        (_, true) => Reading::Partial,
        _ => Reading::Unread,
    };
    // What a row says about its own chain holds for chains of that length where nothing else is said.
    for step in &body.steps {
        if let Act::Chain { length, counts: Some(counts) } = &step.act
            && let Some(length) = length.plain()
            && pattern.said.chains.len() < 64
            && !pattern.said.chains.iter().any(|(known, _)| *known == length)
        {
            pattern.said.chains.push((length, *counts));
        }
    }
    if let Some(filled) = body.filled {
        pattern.remarks.push(Remark {
            rule: Rule::RepeatWithoutExtent,
            span: filled,
            message: "this repeat does not say how often; it was worked to the end of the row. Add \"around\", \"across\" or a number".to_owned(),
            expected: None,
            actual: None,
        });
    }
    Row { span, label, word, numbers, sizes, steps: body.steps, rivals: body.rivals, stated: body.stated, reading }
}

/// Whether any step is unread.
pub(crate) fn any_unread(steps: &[Step]) -> bool {
    count_unread(steps) > 0
}

fn count_unread(steps: &[Step]) -> usize {
    steps
        .iter()
        .map(|step| match &step.act {
            Act::Unread => 1,
            Act::Repeat(repeat) => count_unread(&repeat.steps),
            Act::Group { steps, .. } => count_unread(steps),
            _ => 0,
        })
        .sum()
}
