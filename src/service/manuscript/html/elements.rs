//! What each element does to the text in it.

/// How an element stands among the text around it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Display {
    /// Within the line.
    Inline,
    /// On lines of its own.
    Line,
    /// On lines of its own, with an empty line before and after.
    Block,
    /// As a block, and it names what follows.
    Heading,
    /// An item of a list.
    Item,
    /// A cell of a row of a table.
    Cell,
    /// The end of a line.
    Break,
    /// Not at all: it is no text of the page, or was struck out.
    Gone,
}

/// One element.
#[derive(Debug, Clone, Copy)]
pub struct Element {
    /// How it stands.
    pub display: Display,
    /// Whether it has no content and no end tag.
    pub void: bool,
    /// Whether white space in it is kept.
    pub keeps_space: bool,
    /// Whether it is closed by `/>`.
    pub foreign: bool,
}

/// What an element of this name does; one that is not known stands within the line, as in a browser.
pub fn element(name: &[u8]) -> Element {
    let display = match name {
        b"address" | b"article" | b"aside" | b"body" | b"caption" | b"center" | b"dd" | b"details" | b"div" | b"dt"
        | b"fieldset" | b"figcaption" | b"footer" | b"form" | b"header" | b"hgroup" | b"html" | b"legend" | b"main"
        | b"option" | b"search" | b"section" | b"summary" | b"tbody" | b"tfoot" | b"thead" | b"tr" => Display::Line,
        b"blockquote" | b"dir" | b"dl" | b"figure" | b"hr" | b"listing" | b"menu" | b"ol" | b"p" | b"pre"
        | b"table" | b"ul" | b"xmp" => Display::Block,
        b"h1" | b"h2" | b"h3" | b"h4" | b"h5" | b"h6" => Display::Heading,
        b"li" => Display::Item,
        b"td" | b"th" => Display::Cell,
        b"br" => Display::Break,
        b"audio" | b"button" | b"canvas" | b"datalist" | b"del" | b"dialog" | b"head" | b"iframe" | b"math"
        | b"nav" | b"noembed" | b"noframes" | b"noscript" | b"object" | b"s" | b"script" | b"select" | b"strike"
        | b"style" | b"svg" | b"template" | b"textarea" | b"title" | b"video" => Display::Gone,
        _ => Display::Inline,
    };
    let void = matches!(
        name,
        b"area"
            | b"base"
            | b"br"
            | b"col"
            | b"embed"
            | b"hr"
            | b"img"
            | b"input"
            | b"link"
            | b"meta"
            | b"param"
            | b"source"
            | b"track"
            | b"wbr"
    );
    let keeps_space = matches!(name, b"pre" | b"listing" | b"xmp" | b"plaintext");
    Element { display, void, keeps_space, foreign: matches!(name, b"svg" | b"math") }
}

/// Whether it may stand in the head; anything else ends a head that was left open.
pub fn in_head(name: &[u8]) -> bool {
    matches!(name, b"base" | b"head" | b"link" | b"meta" | b"noscript" | b"script" | b"style" | b"template" | b"title")
}

/// Names of elements.
type Names = &'static [&'static [u8]];

/// Which elements end where this one begins, and within which they are looked for.
pub fn ends_before(name: &[u8]) -> Option<(Names, Names)> {
    Some(match name {
        b"li" => (&[b"li"], &[b"ul", b"ol", b"menu"]),
        b"dt" | b"dd" => (&[b"dt", b"dd"], &[b"dl"]),
        b"option" => (&[b"option"], &[b"select", b"datalist"]),
        b"td" | b"th" => (&[b"td", b"th"], &[b"tr", b"table"]),
        b"tr" => (&[b"tr", b"td", b"th"], &[b"table"]),
        b"tbody" | b"thead" | b"tfoot" => (&[b"tr", b"td", b"th", b"tbody", b"thead", b"tfoot"], &[b"table"]),
        _ => return None,
    })
}

/// Whether the figures raised here, behind `<sup>`, only lead to a note (`st<sup>2</sup>`) or are an exponent.
pub fn is_note(rest: &str) -> bool {
    figures(rest).is_some_and(|behind| !is_fraction_sign(behind))
}

/// Whether they are the upper part of a fraction: `1<sup>1</sup>/<sub>2</sub>`.
pub fn is_fraction(rest: &str) -> bool {
    figures(rest).is_some_and(is_fraction_sign)
}

fn is_fraction_sign(behind: &str) -> bool {
    ["/", "⁄", "&frasl;", "&#8260;", "<sub"].iter().any(|sign| behind.starts_with(sign))
}

/// What follows the end of an element that has nothing but figures in it, perhaps as a link.
fn figures(rest: &str) -> Option<&str> {
    let (rest, linked) = match rest.strip_prefix("<a") {
        Some(link) => (&link[link.bytes().take(400).position(|byte| byte == b'>')? + 1..], true),
        None => (rest, false),
    };
    let inside = rest.bytes().take(8).take_while(|byte| matches!(byte, b'0'..=b'9' | b'[' | b']' | b',')).count();
    let rest = rest[inside..].strip_prefix(if linked { "</a></sup>" } else { "</sup>" })?;
    (inside > 0).then_some(rest)
}
