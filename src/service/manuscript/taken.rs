//! The text as it is taken out, piece by piece, each piece knowing where it stood.

use std::ops::Range;

use evenround_calc::notation;

/// A piece of the text. It ends where the next begins.
#[derive(Debug, Clone, Copy)]
struct Run {
    /// Its first byte in the text.
    text: u32,
    /// Its first byte in the original.
    original: u32,
    /// One past its last byte in the original.
    end: u32,
    /// Whether it stands in the original byte for byte; otherwise all of it stands for all of that.
    verbatim: bool,
}

/// What is put before a line because the reader knows it by that.
#[derive(Debug)]
struct Mark {
    text: String,
    original: Range<usize>,
}

/// The mark that begins the present line.
#[derive(Debug)]
struct Marked {
    text: Range<usize>,
    run: usize,
}

/// The text taken out so far.
#[derive(Debug, Default)]
pub struct Taken {
    text: String,
    runs: Vec<Run>,
    /// Line ends that are due before whatever comes next.
    breaks: usize,
    /// Whether the line before is a heading, which what follows stays with.
    headed: bool,
    /// White space that is due unless the line ends.
    space: Option<Range<usize>>,
    mark: Option<Mark>,
    marked: Option<Marked>,
    /// Up to where the original has been taken.
    done: usize,
    /// Where the present line begins in the text.
    line_start: usize,
}

impl Taken {
    /// What was taken.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Up to where the original has been taken.
    pub fn done(&self) -> usize {
        self.done
    }

    /// How much there is, to tell whether anything came.
    pub fn length(&self) -> usize {
        self.text.len()
    }

    /// Whether a line ended within what came since there was so much.
    pub fn broken_since(&self, length: usize) -> bool {
        // The line ends that were due then are two at most.
        self.line_start > length + 2
    }

    /// Characters that stand in the original as they are, but for those that only look like spaces or like nothing.
    pub fn verbatim(&mut self, original: &str, range: Range<usize>) {
        let Some(piece) = original.get(range.clone()) else { return };
        let mut from = 0;
        for (at, character) in piece.char_indices().filter(|(_, c)| !c.is_ascii()) {
            let Some(shown) = invisible(character) else { continue };
            self.copy(original, range.start + from..range.start + at);
            from = at + character.len_utf8();
            if shown == " " {
                self.space(range.start + at..range.start + from);
            }
        }
        self.copy(original, range.start + from..range.end);
    }

    fn copy(&mut self, original: &str, range: Range<usize>) {
        if !range.is_empty() {
            self.begin(original, range.start);
            self.push(&original[range.clone()], range, true);
        }
    }

    /// Characters that stand for a piece of the original.
    pub fn put(&mut self, original: &str, shown: &str, range: Range<usize>) {
        let mut visible = String::with_capacity(shown.len());
        for character in shown.chars() {
            match invisible(character) {
                Some(" ") if visible.is_empty() => self.space(range.clone()),
                Some(instead) => visible.push_str(instead),
                None => visible.push(character),
            }
        }
        if !visible.is_empty() {
            self.begin(original, range.start);
            self.push(&visible, range, false);
        }
    }

    /// White space: one space if something stands before it and behind it in the line.
    pub fn space(&mut self, range: Range<usize>) {
        match &mut self.space {
            Some(space) if space.end == range.start => space.end = range.end,
            Some(_) => {}
            None => self.space = Some(range),
        }
    }

    /// The line ends here; with 2 an empty one follows.
    pub fn end_line(&mut self, breaks: usize) {
        // What begins a cell or an item begins no line of its own in it.
        let most = if self.mark.is_some() { 1 } else { 2 };
        if !self.line().ends_with("| ") {
            self.breaks = self.breaks.max(breaks.min(most));
        }
    }

    /// A heading begins: set off from what stands before it.
    pub fn begin_heading(&mut self) {
        self.headed = false;
        self.end_line(2);
    }

    /// It ends: what follows stands right below it, as a page shows that it belongs there.
    pub fn end_heading(&mut self) {
        self.end_line(1);
        self.headed = self.in_line();
    }

    /// One more line end.
    pub fn break_line(&mut self) {
        self.breaks = (self.breaks + 1).min(2);
    }

    /// What the line that begins next has before it; nothing if nothing comes.
    pub fn mark(&mut self, text: String, original: Range<usize>) {
        self.mark = Some(Mark { text, original });
    }

    /// The line before which the mark was due has nothing on it.
    pub fn unmark(&mut self) {
        self.mark = None;
    }

    /// A bar between two cells or behind the last, without the line end that the cell's own blocks would make.
    pub fn bar(&mut self, bar: &str) {
        (self.breaks, self.space, self.mark) = (0, None, None);
        let at = self.done;
        self.push(bar, at..at, false);
    }

    /// Whether anything stands in the present line.
    pub fn in_line(&self) -> bool {
        !self.line().is_empty()
    }

    /// The end of the text.
    pub fn finish(&mut self) {
        self.settle_mark();
    }

    fn line(&self) -> &str {
        &self.text[self.line_start..]
    }

    /// Whatever is due before something that stands at `start`.
    fn begin(&mut self, original: &str, start: usize) {
        let most = if std::mem::take(&mut self.headed) { 1 } else { 2 };
        let breaks = std::mem::take(&mut self.breaks).min(most);
        let space = self.space.take();
        if breaks > 0 && !self.text.is_empty() {
            self.settle_mark();
            let there = self.text.bytes().rev().take_while(|byte| *byte == b'\n').count();
            let due = &"\n\n"[..breaks.saturating_sub(there).min(2)];
            let gap = self.done..start;
            match original.get(gap.clone()) {
                Some(gap_text) if gap_text == due => self.push(due, gap, true),
                Some(gap_text) if gap_text.trim().is_empty() => self.push(due, gap, false),
                _ => self.push(due, start..start, false),
            }
        } else if let Some(space) = space
            && !self.text.is_empty()
            && !self.text.ends_with([' ', '\n'])
        {
            let same = original.get(space.clone()) == Some(" ");
            self.push(" ", space, same);
        }
        if let Some(mark) = self.mark.take() {
            self.settle_mark();
            // The first of a line only: a list in a list in one line has one number.
            if !self.in_line() {
                let from = self.text.len();
                let same = original.get(mark.original.clone()) == Some(&*mark.text);
                self.marked = Some(Marked { text: from..from + mark.text.len(), run: self.runs.len() });
                self.push(&mark.text, mark.original, same);
            }
        }
    }

    fn push(&mut self, shown: &str, range: Range<usize>, verbatim: bool) {
        if shown.is_empty() {
            return;
        }
        // Pieces come in the order of the original; what claims otherwise stands for nothing there.
        let original = range.start.max(self.done);
        let end = range.end.max(original);
        let verbatim = verbatim && original == range.start;
        // A mark keeps a piece of its own: it may have to go.
        let may_grow = self.marked.as_ref().is_none_or(|marked| marked.run + 1 < self.runs.len());
        match self.runs.last_mut() {
            Some(last) if may_grow && verbatim && last.verbatim && last.end as usize == original => {
                last.end = end as u32;
            }
            _ => self.runs.push(Run {
                text: self.text.len() as u32,
                original: original as u32,
                end: end as u32,
                verbatim,
            }),
        }
        if let Some(newline) = shown.rfind('\n') {
            self.line_start = self.text.len() + newline + 1;
        }
        self.text.push_str(shown);
        self.done = end;
    }

    /// Takes the mark of the present line away again where the line says by itself what it is.
    fn settle_mark(&mut self) {
        let Some(Marked { text: mark, run }) = self.marked.take() else { return };
        let line = &self.text[mark.end..];
        let table = self.text[mark.clone()].starts_with('|');
        let needed = if table { line.ends_with(" |") } else { !notation::names_row(line) };
        if !needed {
            let width = mark.len() as u32;
            self.text.drain(mark);
            self.runs.remove(run);
            for later in &mut self.runs[run..] {
                later.text -= width;
            }
        }
    }

    /// The piece in which a byte of the text lies.
    fn run(&self, at: usize) -> Option<&Run> {
        self.runs[..self.runs.partition_point(|run| run.text as usize <= at)].last()
    }

    /// Where in the original something begins that begins here in the text.
    pub fn start(&self, at: usize) -> usize {
        match self.run(at) {
            Some(run) if at >= self.text.len() => run.end as usize,
            Some(run) if run.verbatim => run.original as usize + at - run.text as usize,
            Some(run) => run.original as usize,
            None => 0,
        }
    }

    /// Where in the original something ends that ends here in the text.
    pub fn end(&self, at: usize) -> usize {
        let Some(before) = at.checked_sub(1) else { return self.start(0) };
        match self.run(before) {
            Some(run) if run.verbatim => run.original as usize + at - run.text as usize,
            Some(run) => run.end as usize,
            None => 0,
        }
    }

    /// The pieces of the original that a range of the text stands for, if it stands for whole ones. Pieces that touch come
    /// as one.
    pub fn pieces(&self, range: Range<usize>) -> Option<Vec<Range<usize>>> {
        let first = self.runs.partition_point(|run| run.text as usize <= range.start).checked_sub(1)?;
        let mut pieces: Vec<Range<usize>> = Vec::new();
        for (nth, run) in self.runs.iter().enumerate().skip(first) {
            let text = run.text as usize..self.runs.get(nth + 1).map_or(self.text.len(), |next| next.text as usize);
            if text.start >= range.end {
                break;
            }
            let (from, to) = (range.start.max(text.start), range.end.min(text.end));
            let piece = if run.verbatim {
                let at = |byte| run.original as usize + byte - text.start;
                at(from)..at(to)
            } else if (from, to) == (text.start, text.end) && run.original < run.end {
                run.original as usize..run.end as usize
            } else {
                return None;
            };
            match pieces.last_mut() {
                Some(last) if last.end == piece.start => last.end = piece.end,
                _ => pieces.push(piece),
            }
        }
        Some(pieces)
    }
}

/// What is shown of a character that looks like a space or like nothing.
fn invisible(character: char) -> Option<&'static str> {
    Some(match character {
        '\u{a0}' | '\u{2002}'..='\u{200a}' | '\u{202f}' | '\u{205f}' | '\u{3000}' => " ",
        '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}' => "",
        _ => return None,
    })
}
