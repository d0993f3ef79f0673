//! Text out of Markdown: CommonMark, tables, strikethrough, and HTML within. Lines end where they end in the source, for a
//! pattern has a row to a line even where a page would run them together.

use std::ops::Range;

use pulldown_cmark::{Event, LinkType, Options, Parser, Tag, TagEnd};

use super::html::Page;
use super::stars::Stars;
use super::taken::Taken;

/// Takes the text out of a post.
pub fn take(original: &str) -> Taken {
    let start = front_matter(original);
    let body = &original[start..];
    let mut options = Options::empty();
    options.insert(Options::ENABLE_TABLES);
    options.insert(Options::ENABLE_STRIKETHROUGH);
    options.insert(Options::ENABLE_TASKLISTS);
    options.insert(Options::ENABLE_HEADING_ATTRIBUTES);
    let events: Vec<(Event<'_>, Range<usize>)> = Parser::new_ext(body, options)
        .into_offset_iter()
        .map(|(event, range)| (event, range.start + start..range.end + start))
        .collect();
    let stars = Stars::of(original, &events);
    let mut post = Post {
        original,
        stars,
        taken: Taken::default(),
        page: Page::default(),
        seen: 0,
        block: None,
        gone: 0,
        lists: Vec::new(),
        cells: 0,
    };
    for (event, range) in events {
        post.event(&event, range);
    }
    post.page.close(&mut post.taken);
    post.taken.finish();
    post.taken
}

/// How long the front matter is: fields between two lines of `---` or `+++` at the very beginning.
fn front_matter(original: &str) -> usize {
    let text = original.strip_prefix('\u{feff}').unwrap_or(original);
    let mut lines = text.split_inclusive('\n');
    let Some(fence) = lines.next().map(str::trim_end).filter(|first| matches!(*first, "---" | "+++")) else { return 0 };
    let mut end = original.len() - text.len() + text.find('\n').map_or(text.len(), |newline| newline + 1);
    let mut fields = false;
    for line in lines {
        end += line.len();
        let line = line.trim_end();
        if line == fence || fence == "---" && line == "..." {
            return if fields { end } else { 0 };
        }
        // A rule at the head of a pattern has no field below it.
        if !fields && !line.is_empty() && !line.starts_with('#') {
            let name = line.split([':', '=']).next().unwrap_or_default();
            fields = name.len() < line.len()
                && !name.trim_end().is_empty()
                && name
                    .trim_end()
                    .bytes()
                    .all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'-' | b'.'));
            if !fields {
                return 0;
            }
        }
    }
    0
}

/// The numbers of a list. A page counts on from the first one whatever is written; the text has what is written, for
/// a row that the designer calls 21 is 21, unless all are the same (`1.`, `1.`, `1.`), which is how one lets the page count.
struct Numbers {
    written: Option<u64>,
    shown: u64,
}

struct Post<'a> {
    original: &'a str,
    stars: Stars,
    taken: Taken,
    page: Page,
    /// Up to where line ends have been looked for.
    seen: usize,
    /// A block of HTML, as far as it has come.
    block: Option<Range<usize>>,
    /// In how many elements that are no pattern text.
    gone: usize,
    /// The numbers of each open list, `None` where it has none.
    lists: Vec<Option<Numbers>>,
    /// How many cells the present row of a table has had.
    cells: usize,
}

impl Post<'_> {
    fn event(&mut self, event: &Event<'_>, range: Range<usize>) {
        match event {
            Event::Start(tag) => self.start(tag, range),
            Event::End(tag) => self.end(*tag, range),
            Event::Text(shown) => self.text(shown, range),
            Event::Code(shown) => {
                let within = self.original[range.clone()].find(&**shown);
                let range = within.map_or(range.clone(), |at| range.start + at..range.start + at + shown.len());
                self.text(shown, range);
            }
            Event::Html(_) => match &mut self.block {
                Some(block) if block.end == range.start => block.end = range.end,
                _ => {
                    self.html_block();
                    self.block = Some(range);
                }
            },
            Event::InlineHtml(_) => self.html(range),
            Event::HardBreak | Event::SoftBreak if self.shows() => self.taken.end_line(1),
            Event::Rule if self.shows() => self.taken.end_line(2),
            _ => {}
        }
    }

    fn html(&mut self, range: Range<usize>) {
        self.end_lines(range.start);
        self.seen = range.end;
        self.page.read(self.original, range, &mut self.taken);
    }

    /// The lines of HTML read so far: a tag may go over several.
    fn html_block(&mut self) {
        if let Some(block) = self.block.take() {
            self.html(block);
        }
    }

    fn shows(&self) -> bool {
        self.gone == 0 && self.page.shows()
    }

    /// As many line ends as the source has since the last words or tag.
    fn end_lines(&mut self, start: usize) {
        let gap = self.original.get(self.taken.done().max(self.seen)..start).unwrap_or_default();
        self.seen = start;
        let newlines = gap.bytes().filter(|byte| *byte == b'\n').take(2).count();
        if newlines > 0 {
            self.taken.end_line(newlines);
        }
    }

    fn text(&mut self, shown: &str, range: Range<usize>) {
        if !self.shows() {
            return;
        }
        self.end_lines(range.start);
        let Some(ending) = shown.strip_suffix('\n') else {
            self.piece(shown, range);
            return;
        };
        // A line of code.
        self.piece(ending, range.start..range.start + ending.len());
        self.taken.break_line();
    }

    fn piece(&mut self, shown: &str, range: Range<usize>) {
        if self.original.get(range.clone()) == Some(shown) {
            self.taken.verbatim(self.original, range);
        } else {
            self.taken.put(self.original, shown, range);
        }
    }

    /// Marks of emphasis that are the pattern's own stars.
    fn delimiter(&mut self, range: Range<usize>) {
        if self.shows() {
            self.end_lines(range.start);
            self.taken.verbatim(self.original, range);
        }
    }

    fn start(&mut self, tag: &Tag<'_>, range: Range<usize>) {
        match tag {
            Tag::Heading { .. } if self.shows() => self.taken.begin_heading(),
            Tag::List(first) => self.lists.push(first.map(|first| Numbers { written: None, shown: first })),
            Tag::Item if self.shows() => self.item(&range),
            Tag::TableHead | Tag::TableRow if self.shows() => {
                self.end_lines(range.start);
                self.cells = 0;
            }
            Tag::TableCell if self.shows() => {
                self.cells += 1;
                match self.cells {
                    1 => self.taken.mark("| ".to_owned(), range.start..range.start),
                    _ => self.taken.bar(" | "),
                }
            }
            Tag::Emphasis | Tag::Strong => {
                if let Some(width) = self.stars.kept(range.start) {
                    self.delimiter(range.start..range.start + width);
                }
            }
            Tag::Strikethrough if self.original[range.clone()].starts_with("~~") => self.gone += 1,
            Tag::Strikethrough => self.delimiter(range.start..range.start + 1),
            Tag::Image { .. } | Tag::MetadataBlock(_) => self.gone += 1,
            // "[sc, inc](6)": a group and its count, though a page would make a link of it.
            Tag::Link { link_type: LinkType::Inline, dest_url, .. } if is_count(dest_url) => {
                self.delimiter(range.start..range.start + 1);
            }
            _ => {}
        }
    }

    fn end(&mut self, tag: TagEnd, range: Range<usize>) {
        match tag {
            TagEnd::Heading(_) if self.shows() => self.taken.end_heading(),
            TagEnd::Item | TagEnd::TableCell => self.taken.unmark(),
            TagEnd::HtmlBlock => self.html_block(),
            TagEnd::List(_) => {
                self.lists.pop();
            }
            TagEnd::TableHead | TagEnd::TableRow if self.shows() && self.cells > 0 => self.taken.bar(" |"),
            TagEnd::Emphasis | TagEnd::Strong => {
                if let Some(width) = self.stars.kept(range.start) {
                    self.delimiter(range.end - width..range.end);
                }
            }
            TagEnd::Strikethrough if self.original[range.clone()].starts_with("~~") => self.gone -= 1,
            TagEnd::Strikethrough => self.delimiter(range.end - 1..range.end),
            TagEnd::Image | TagEnd::MetadataBlock(_) => self.gone -= 1,
            TagEnd::Link => {
                let behind = self.original[range.clone()].rfind("](").map(|at| range.start + at);
                if let Some(behind) = behind.filter(|at| is_count(&self.original[at + 2..range.end - 1])) {
                    self.delimiter(behind..range.end);
                }
            }
            _ => {}
        }
    }

    /// The number of an item, as a page shows it; a star that the item's own words repeat from.
    fn item(&mut self, range: &Range<usize>) {
        self.taken.end_line(1);
        let item = &self.original[range.clone()];
        match self.lists.last_mut() {
            Some(Some(numbers)) => {
                let digits = item.bytes().take_while(u8::is_ascii_digit).count();
                let written: Option<u64> = item[..digits].parse().ok();
                let counts = written.is_none() || numbers.written == written;
                let shown = if counts { numbers.shown } else { written.unwrap_or_default() };
                *numbers = Numbers { written, shown: shown.saturating_add(1) };
                let (mark, width) = match item.get(..digits + 2) {
                    Some(mark) if !counts && mark.ends_with(' ') => (mark.to_owned(), digits + 2),
                    _ => (format!("{shown}. "), 0),
                };
                self.taken.mark(mark, range.start..range.start + width);
            }
            _ if Stars::begins_a_repeat(item) => {
                self.taken.mark("* ".to_owned(), range.start..range.start + 2);
            }
            _ => {}
        }
    }
}

/// Whether a link leads to nothing but a number.
fn is_count(destination: &str) -> bool {
    !destination.is_empty() && destination.bytes().all(|byte| byte.is_ascii_digit())
}
