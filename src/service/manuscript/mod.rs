//! A pattern as its blog keeps it: the words are taken out of HTML or Markdown, verified, and every place of the answer is
//! put back into the text that was sent.
//!
//! What is taken out is what a reader of the page sees. Block elements and line breaks end lines, inline ones do not;
//! white space is as a browser shows it; entities are the characters they stand for. No pattern text are scripts, styles,
//! the head, menus (`nav`), forms' fields, comments, what is hidden, and what is struck out (`<del>`, `<s>`, `~~x~~`): the
//! designer took it back. A heading comes out as `## Body`, a row of a table as `| inc | 2 sc in next st |` and an item of
//! an ordered list with its number, which is how the reader knows them in plain text.
//!
//! `taken` is the text and the way back, `html` and `markdown` fill it, `restore` goes back.

mod html;
mod lines;
mod markdown;
mod restore;
mod stars;
mod taken;
#[cfg(test)]
mod tests;

use evenround_calc::verify::Verification;

use taken::Taken;

/// How a text is written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Markup {
    /// Text as it is.
    #[default]
    Plain,
    /// A page or a part of one.
    Html,
    /// CommonMark with tables and strikethrough; front matter at its head is passed over.
    Markdown,
}

impl Markup {
    /// By the ending of a file's name; what is not known is plain.
    pub fn of_file(name: &str) -> Self {
        let ending = name.rsplit_once('.').map(|(_, ending)| ending).unwrap_or_default();
        let is = |known: &[&str]| known.iter().any(|known| ending.eq_ignore_ascii_case(known));
        match () {
            () if is(&["html", "htm", "xhtml"]) => Self::Html,
            () if is(&["md", "markdown", "mkd", "mdown"]) => Self::Markdown,
            () => Self::Plain,
        }
    }
}

/// A text taken out of its markup, and the way back.
#[derive(Debug)]
pub struct Manuscript<'a> {
    original: &'a str,
    markup: Markup,
    /// `None` where the text is the original.
    taken: Option<Taken>,
}

impl<'a> Manuscript<'a> {
    /// Takes the text out. Whatever the markup looks like, there is a text, if perhaps an empty one.
    pub fn read(original: &'a str, markup: Markup) -> Self {
        let taken = match markup {
            Markup::Plain => None,
            Markup::Html => Some(html::take(original)),
            Markup::Markdown => Some(markdown::take(original)),
        };
        Self { original, markup, taken }
    }

    /// What is verified.
    pub fn text(&self) -> &str {
        self.taken.as_ref().map_or(self.original, Taken::text)
    }

    /// Puts every place of an answer about [`Self::text`] into the original, and every edit of a fix. A fix is dropped if
    /// it cannot be made there without touching the markup around it.
    pub fn restore(&self, verification: &mut Verification) {
        if let Some(taken) = &self.taken {
            restore::restore(self.original, self.markup, taken, verification);
        }
    }
}
