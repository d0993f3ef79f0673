//! The counts as Markdown (CommonMark with the tables of GitHub Flavored Markdown).

use super::{Units, amount_words, ball_words, count_words, measured_words, row_word, rows};
use crate::api::counts::CountsAnswer;

/// All of it.
pub fn write(counts: &CountsAnswer) -> String {
    let mut out = format!("# {}\n\nRevision {}\n", escape(&counts.title), counts.revision);
    let header = |out: &mut String, first: &str| {
        let sizes: Vec<String> = counts.sizes.iter().map(|size| escape(size)).collect();
        out.push_str(&format!("| {first} | {} |\n|---{}|\n", sizes.join(" | "), "|--:".repeat(sizes.len())));
    };
    for piece in &counts.pieces {
        out.push_str(&format!("\n## {}\n\n", escape(&piece.name)));
        header(&mut out, row_word(piece));
        for (label, row) in rows(piece) {
            let cells: Vec<String> = row.iter().map(|count| escape(&count_words(count.as_ref()))).collect();
            out.push_str(&format!("| {} | {} |\n", escape(&label), cells.join(" | ")));
        }
    }
    for piece in &counts.measurements {
        out.push_str(&format!("\n## Measurements of {}\n\n", escape(&piece.piece)));
        for (size, measured) in counts.sizes.iter().zip(&piece.sizes) {
            if let Some(measured) = measured {
                out.push_str(&format!("- {}: {}\n", escape(size), escape(&measured_words(measured, Units::Both))));
            }
        }
    }
    if !counts.yarn.is_empty() {
        out.push_str("\n## Yarn\n\n");
        for size in &counts.yarn {
            for colour in &size.colours {
                let name =
                    if colour.colour.is_empty() { String::new() } else { format!(", {}", escape(&colour.colour)) };
                let balls = colour.balls.map_or_else(String::new, |balls| format!(", {}", ball_words(balls)));
                let amount = escape(&amount_words(&colour.amount, Units::Both));
                out.push_str(&format!("- {}{name}: {amount}{balls}\n", escape(&size.name)));
            }
        }
    }
    for caution in &counts.cautions {
        out.push_str(&format!("\n> **Caution, {}**: {}\n", escape(caution.about), escape(caution.in_short)));
    }
    if let Some(caution) = counts.cautions.first() {
        out.push_str(&format!("\n{}\n", escape(caution.defers)));
    }
    for note in &counts.notes {
        out.push_str(&format!("\n{}\n", escape(note)));
    }
    out
}

/// Words of which Markdown makes nothing else: every mark that means something there stands behind a backslash, and lines
/// end nowhere.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for (at, c) in text.char_indices() {
        let mut rest = text[at..].chars().skip(1);
        match c {
            '\\' | '`' | '*' | '_' | '{' | '}' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '!' | '&' | '$' | '^'
            | '@' => {
                out.push('\\');
                out.push(c);
            }
            // A list, a rule, a heading: only at the beginning of a line, but the words may come to stand there.
            '-' | '+' | '=' if out.trim().is_empty() => {
                out.push('\\');
                out.push(c);
            }
            // "http://…" becomes a link by itself.
            ':' if rest.next().is_some_and(|next| !next.is_whitespace()) => out.push_str("\\:"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    // "1." at the beginning of a line is a list.
    let digits = out.len() - out.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let list = out.get(digits + 1..).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '));
    if digits > 0 && list && out[digits..].starts_with(['.', ')']) {
        out.insert(digits, '\\');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_words_and_lines_do_not_end() {
        assert_eq!(escape("<b>*R&D*</b>"), "\\<b\\>\\*R\\&D\\*\\</b\\>");
        assert_eq!(escape("a\n# b | c"), "a \\# b \\| c");
        assert_eq!(escape("12. Round"), "12\\. Round");
        assert_eq!(escape("12.5 cm"), "12.5 cm");
        assert_eq!(escape("- x"), "\\- x");
        assert_eq!(escape("https://a"), "https\\://a");
    }
}
