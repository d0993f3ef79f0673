//! Plain patterns put into markup, as blog software and those who write posts do it.

use std::fmt::Write;

use evenround::manuscript::Markup;

/// One way to put a pattern into markup.
pub struct Way {
    pub name: &'static str,
    pub markup: Markup,
    pub write: fn(&str) -> String,
}

pub const WAYS: &[Way] = &[
    Way { name: "paragraphs", markup: Markup::Html, write: paragraphs },
    Way { name: "nested divs", markup: Markup::Html, write: divs },
    Way { name: "preformatted", markup: Markup::Html, write: preformatted },
    Way { name: "one line of HTML", markup: Markup::Html, write: one_line },
    Way { name: "headings", markup: Markup::Html, write: headings },
    Way { name: "Markdown headings", markup: Markup::Markdown, write: markdown_headings },
    Way { name: "Markdown as typed", markup: Markup::Markdown, write: str::to_owned },
    Way { name: "Markdown escaped", markup: Markup::Markdown, write: escaped },
    Way { name: "Markdown with labels in bold", markup: Markup::Markdown, write: bold },
];

/// Characters as references where software writes them so.
fn encoded(text: &str) -> String {
    let mut out = String::new();
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '×' => out.push_str("&times;"),
            '–' => out.push_str("&#8211;"),
            '½' => out.push_str("&frac12;"),
            '“' => out.push_str("&ldquo;"),
            '’' => out.push_str("&#x2019;"),
            other => out.push(other),
        }
    }
    out
}

/// The label of a row and the rest of its line.
fn label(line: &str) -> Option<(&str, &str)> {
    let colon = line.find(": ")? + 1;
    let row =
        ["R", "Foundation", "Next", "Set-up"].iter().any(|word| line.starts_with(word)) || line[..colon].contains(" r");
    (row && colon < 30).then(|| line.split_at(colon))
}

fn blocks(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.split("\n\n").map(|block| block.lines().filter(|line| !line.trim().is_empty()).collect())
}

/// A paragraph with line breaks for every block, labels in bold, with all that stands around a post.
fn paragraphs(text: &str) -> String {
    let mut out = String::from(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head><title>Rnd 1: 99 sc. (3)</title><style>p { margin: 0 }</style></head>\n\
         <body>\n<nav><ul><li>Rnd 2: 5 sc. (4)</li></ul></nav>\n<script>if (1 < 2) { \"Rnd 3: 6 sc (7)\" }</script>\n\
         <!-- Rnd 4: 6 sc. (9) --><noscript>Rnd 5: 6 sc. (1)</noscript>\n<article class=\"post\"><div class=\"entry-content\">\n",
    );
    for block in blocks(text) {
        out.push_str("<p>");
        for (nth, line) in block.iter().enumerate() {
            out.push_str(if nth > 0 { "<br />\n" } else { "" });
            match label(line) {
                Some((label, rest)) => {
                    let _ =
                        write!(out, "<strong>{}</strong>{}", encoded(label), encoded(rest).replacen(' ', "&nbsp;", 1));
                }
                None => out.push_str(&encoded(line)),
            }
        }
        out.push_str("</p>\n");
    }
    out + "</div></article><template><p>Rnd 6: 6 sc. (1)</p></template><p hidden>Rnd 7: 6 sc. (1)</p></body></html>\n"
}

/// Every line in an element of its own, each word of it in another, soft ends of lines within.
fn divs(text: &str) -> String {
    let mut out = String::from("<div><div class=x>");
    for line in text.lines() {
        if line.trim().is_empty() {
            out.push_str("<p>&nbsp;</p>");
            continue;
        }
        let words: Vec<String> = line
            .split(' ')
            .enumerate()
            .map(|(nth, word)| match nth % 3 {
                1 => format!("<span style=\"color:teal\">{}</span>", encoded(word)),
                _ => encoded(word),
            })
            .collect();
        let _ = write!(out, "<div>{}</div>\n\t", words.join("\n   "));
    }
    out + "</div></div>"
}

/// Whether a line that begins a block names what follows.
fn heads(line: &str) -> bool {
    line.len() < 30 && line.chars().all(|c| c.is_alphabetic() || c == ' ') && label(line).is_none()
}

/// What names something as a heading, everything else as items of a list.
fn headings(text: &str) -> String {
    let mut out = String::new();
    for block in blocks(text) {
        let (head, lines) = match block.split_first() {
            Some((first, rest)) if heads(first) => (Some(first), rest),
            _ => (None, &block[..]),
        };
        if let Some(head) = head {
            let _ = writeln!(out, "<h3 class=\"wp-block-heading\"><em>{}</em></h3>", encoded(head));
        }
        if !lines.is_empty() {
            let items: Vec<String> = lines.iter().map(|line| format!("<li>{}</li>", encoded(line))).collect();
            let _ = writeln!(out, "<ul>{}</ul>", items.join("\n"));
        }
    }
    out
}

fn markdown_headings(text: &str) -> String {
    let mut out = String::new();
    for (nth, block) in blocks(text).enumerate() {
        for (at, line) in block.iter().enumerate() {
            let _ = match (at == 0 && heads(line), nth % 2) {
                (true, 0) => writeln!(out, "### {line} ###"),
                (true, _) => writeln!(out, "{line}\n------"),
                _ => writeln!(out, "{line}"),
            };
        }
        out.push('\n');
    }
    out
}

fn preformatted(text: &str) -> String {
    format!("<h1></h1><pre><code>{}</code></pre>", encoded(text))
}

fn one_line(text: &str) -> String {
    let blocks = blocks(text).map(|block| {
        let lines: Vec<String> = block.iter().map(|line| encoded(line)).collect();
        format!("<p>{}", lines.join("<br>"))
    });
    blocks.collect()
}

/// Every mark that Markdown might take for its own with a backslash, every line end a hard one.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for line in text.lines() {
        for character in line.chars() {
            if matches!(
                character,
                '*' | '_' | '#' | '+' | '-' | '<' | '>' | '[' | ']' | '(' | ')' | '`' | '~' | '|' | '!' | '&'
            ) {
                out.push('\\');
            }
            out.push(character);
        }
        out.push_str("  \n");
    }
    out
}

fn bold(text: &str) -> String {
    let mut out = String::from("---\ntitle: Rnd 1: 4 sc. (5)\ntags: [cap]\n---\n\n");
    for line in text.lines() {
        match label(line) {
            Some((label, rest)) => {
                let _ = writeln!(out, "**{label}**{rest}");
            }
            None => {
                let _ = writeln!(out, "{line}");
            }
        }
    }
    out
}
