//! Text out of HTML. The tokens are those of the HTML standard; of its tree there is as much as the text needs: which
//! elements are open, which of them hide, keep white space, number their items or make the cells of a row.

mod elements;
mod references;

use std::collections::HashMap;
use std::convert::Infallible;
use std::ops::Range;

use html5gum::emitters::callback::{CallbackEmitter, CallbackEvent};
use html5gum::{Span, Tokenizer};

use super::taken::Taken;
use elements::{Display, Element};
use references::References;

/// So many open elements are searched for one that ends where another begins.
const NEAR: usize = 64;

/// Takes the text out of a page.
pub fn take(original: &str) -> Taken {
    let mut taken = Taken::default();
    let mut page = Page::default();
    page.read(original, 0..original.len(), &mut taken);
    page.close(&mut taken);
    taken.finish();
    taken
}

/// The elements that are open, while pieces of a page are read one after the other.
#[derive(Debug, Default)]
pub struct Page {
    open: Vec<Open>,
    /// How many of each name are open, so that an end tag without a start costs nothing.
    names: HashMap<Vec<u8>, usize>,
    hidden: usize,
    kept: usize,
    tag: Tag,
    references: References,
}

#[derive(Debug)]
struct Open {
    name: Vec<u8>,
    element: Element,
    hides: bool,
    list: Option<List>,
    row: Option<Row>,
}

/// A list whose items are numbered.
#[derive(Debug)]
struct List {
    next: u64,
}

/// A row of a table.
#[derive(Debug)]
struct Row {
    cells: usize,
    /// How long the text was when it began.
    from: usize,
}

/// A start tag that is being read.
#[derive(Debug, Default)]
struct Tag {
    name: Vec<u8>,
    start: usize,
    attribute: Vec<u8>,
    hides: bool,
    open: bool,
    unmarked: bool,
    number: Option<u64>,
}

impl Page {
    /// Reads a piece of a page.
    pub fn read(&mut self, original: &str, range: Range<usize>, taken: &mut Taken) {
        let Some(piece) = original.get(range.clone()) else { return };
        let mut emitter =
            CallbackEmitter::<_, Infallible, usize>::new(|event: CallbackEvent<'_>, span: Span<usize>| {
                let at = range.start + span.start..range.start + span.end;
                self.event(original, &event, at, taken);
                None
            });
        emitter.naively_switch_states(true);
        let Ok(()) = Tokenizer::new_with_emitter(piece, emitter).finish();
    }

    /// Ends what is still open.
    pub fn close(&mut self, taken: &mut Taken) {
        while self.pop(taken) {}
    }

    /// Whether what comes now is seen.
    pub fn shows(&self) -> bool {
        self.hidden == 0
    }

    fn event(&mut self, original: &str, event: &CallbackEvent<'_>, at: Range<usize>, taken: &mut Taken) {
        match event {
            CallbackEvent::OpenStartTag { name } => {
                self.tag = Tag { name: name.to_vec(), start: at.start, ..Tag::default() };
            }
            CallbackEvent::AttributeName { name } => {
                self.tag.attribute = name.to_vec();
                self.tag.attribute(b"");
            }
            CallbackEvent::AttributeValue { value } => self.tag.attribute(value),
            CallbackEvent::CloseStartTag { self_closing } => {
                let tag = std::mem::take(&mut self.tag);
                self.start(original, tag, *self_closing, at.end, taken);
            }
            CallbackEvent::EndTag { name } => self.end(name, taken),
            CallbackEvent::String { value } if self.hidden == 0 => {
                let raw = original.get(at.clone()).unwrap_or_default();
                let shown = String::from_utf8_lossy(value);
                let mut references = std::mem::take(&mut self.references);
                references.align(raw, &shown, |shown, within| {
                    let piece = at.start + within.start..at.start + within.end;
                    self.text(original, shown, piece, taken);
                });
                self.references = references;
            }
            _ => {}
        }
    }

    /// Characters, and where they stand; as they are, or standing for all of that.
    fn text(&self, original: &str, shown: &str, range: Range<usize>, taken: &mut Taken) {
        if original.get(range.clone()) != Some(shown) {
            match shown {
                "\n" if self.kept > 0 => taken.break_line(),
                " " | "\n" | "\t" | "\r" | "\u{c}" => taken.space(range),
                _ => taken.put(original, shown, range),
            }
            return;
        }
        let space = |c: char| matches!(c, ' ' | '\n' | '\t' | '\r' | '\u{c}');
        let mut at = range.start;
        for part in shown.split_inclusive(space) {
            let words = part.trim_end_matches(space);
            taken.verbatim(original, at..at + words.len());
            let behind = at + words.len()..at + part.len();
            match &part[words.len()..] {
                "" => {}
                "\n" if self.kept > 0 => taken.break_line(),
                _ if self.kept > 0 && taken.in_line() => taken.verbatim(original, behind),
                _ => taken.space(behind),
            }
            at += part.len();
        }
    }

    fn start(&mut self, original: &str, tag: Tag, self_closing: bool, end: usize, taken: &mut Taken) {
        let element = elements::element(&tag.name);
        self.imply_ends(&tag.name, element, taken);
        if self.hidden == 0 {
            match element.display {
                Display::Line => taken.end_line(1),
                Display::Block => taken.end_line(2),
                Display::Heading => taken.begin_heading(),
                Display::Break => taken.break_line(),
                Display::Item => {
                    taken.end_line(1);
                    self.item(&tag, taken);
                }
                Display::Cell => self.cell(&tag, taken),
                Display::Inline | Display::Gone => {}
            }
        }
        if element.void || self_closing && element.foreign {
            return;
        }
        let raised = tag.name == b"sup";
        if raised && elements::is_fraction(&original[end..]) {
            taken.space(tag.start..tag.start);
        }
        let hides =
            element.display == Display::Gone && !tag.open || tag.hides || raised && elements::is_note(&original[end..]);
        self.hidden += usize::from(hides);
        self.kept += usize::from(element.keeps_space);
        let numbered = tag.name == b"ol" && !tag.unmarked;
        let list = match &*tag.name {
            b"ol" | b"ul" | b"menu" => Some(List { next: if numbered { tag.number.unwrap_or(1) } else { 0 } }),
            _ => None,
        };
        let row = (tag.name == b"tr").then(|| Row { cells: 0, from: taken.length() });
        *self.names.entry(tag.name.clone()).or_default() += 1;
        self.open.push(Open { name: tag.name, element, hides, list, row });
    }

    /// The number of an item, if its list has numbers.
    fn item(&mut self, tag: &Tag, taken: &mut Taken) {
        let list = self.open.iter_mut().rev().take(NEAR).find_map(|open| open.list.as_mut());
        if let Some(list) = list.filter(|list| list.next > 0 && !tag.unmarked) {
            let number = tag.number.unwrap_or(list.next);
            list.next = number.saturating_add(1);
            taken.mark(format!("{number}. "), tag.start..tag.start);
        }
    }

    /// A bar before a cell, as long as its row is one line.
    fn cell(&mut self, tag: &Tag, taken: &mut Taken) {
        let Some(row) = self.open.iter_mut().rev().take(NEAR).find_map(|open| open.row.as_mut()) else {
            taken.end_line(1);
            return;
        };
        row.cells += 1;
        if row.cells == 1 {
            taken.mark("| ".to_owned(), tag.start..tag.start);
        } else if taken.broken_since(row.from) || taken.length() == row.from {
            taken.end_line(1);
        } else {
            taken.bar(" | ");
        }
    }

    fn end(&mut self, name: &[u8], taken: &mut Taken) {
        if self.names.get(name).is_some_and(|open| *open > 0) {
            while let Some(last) = self.open.last() {
                let this = last.name == name;
                self.pop(taken);
                if this {
                    break;
                }
            }
        } else if self.hidden == 0 && name == b"br" {
            // What browsers make of `</br>`.
            taken.break_line();
        }
    }

    /// Ends what ends without an end tag where this element begins.
    fn imply_ends(&mut self, name: &[u8], element: Element, taken: &mut Taken) {
        if !elements::in_head(name) && self.is_open(b"head") {
            self.end(b"head", taken);
        }
        // A paragraph holds no other block.
        if !matches!(element.display, Display::Inline | Display::Gone | Display::Break) && self.is_open(b"p") {
            self.end(b"p", taken);
        }
        let Some((ends, within)) = elements::ends_before(name) else { return };
        let near = self.open.iter().rev().take(NEAR);
        let found = near
            .map(|open| &*open.name)
            .take_while(|open| !within.contains(open))
            .enumerate()
            .filter(|(_, open)| ends.contains(open))
            .last();
        if let Some((depth, _)) = found {
            for _ in 0..=depth {
                self.pop(taken);
            }
        }
    }

    fn is_open(&self, name: &[u8]) -> bool {
        self.names.get(name).is_some_and(|open| *open > 0)
    }

    fn pop(&mut self, taken: &mut Taken) -> bool {
        let Some(open) = self.open.pop() else { return false };
        if let Some(count) = self.names.get_mut(&open.name) {
            *count -= 1;
        }
        self.kept -= usize::from(open.element.keeps_space);
        self.hidden -= usize::from(open.hides);
        if self.hidden > 0 || open.hides {
            return true;
        }
        if matches!(open.element.display, Display::Item | Display::Cell) {
            taken.unmark();
        }
        if let Some(row) = &open.row
            && row.cells > 1
            && !taken.broken_since(row.from)
            && taken.length() > row.from
        {
            taken.bar(" |");
        }
        match open.element.display {
            Display::Line | Display::Item => taken.end_line(1),
            Display::Block => taken.end_line(2),
            Display::Heading => taken.end_heading(),
            Display::Inline | Display::Gone | Display::Break | Display::Cell => {}
        }
        true
    }
}

impl Tag {
    fn attribute(&mut self, value: &[u8]) {
        let text = String::from_utf8_lossy(value).to_ascii_lowercase();
        match &*self.attribute {
            b"hidden" => self.hides = text != "until-found",
            b"open" => self.open = true,
            b"style" => {
                let style: String = text.split_whitespace().collect();
                self.hides |= style.contains("display:none") || style.contains("visibility:hidden");
                self.unmarked |= style.contains("list-style:none") || style.contains("list-style-type:none");
            }
            b"start" | b"value" => self.number = text.trim().parse().ok().filter(|number| *number > 0),
            // Letters, and numbers that run backwards, are no numbers of rows.
            b"type" => self.unmarked |= !matches!(&*text, "" | "1"),
            b"reversed" => self.unmarked = true,
            _ => {}
        }
    }
}
