//! Making text fit for a terminal: harmless, and no wider than it should be.

use std::borrow::Cow;

/// The text without control characters: a pattern must not move the cursor or recolour the screen of whoever reads a
/// report about it.
pub fn plain(text: &str) -> Cow<'_, str> {
    if text.chars().any(char::is_control) {
        text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect::<String>().into()
    } else {
        text.into()
    }
}

/// The text with a line break in place of the last space that fits within `width` characters, again and again.
pub fn wrapped(text: &str, width: usize) -> String {
    let mut out = String::with_capacity(text.len());
    let mut column = 0;
    for word in text.split(' ') {
        let length = word.chars().count();
        if column > 0 {
            let fits = column + 1 + length <= width;
            out.push(if fits { ' ' } else { '\n' });
            column = if fits { column + 1 } else { 0 };
        }
        out.push_str(word);
        column += length;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_between_words_only() {
        assert_eq!(wrapped("stitches run out here", 12), "stitches run\nout here");
        assert_eq!(wrapped("stitches", 3), "stitches");
        assert_eq!(wrapped("", 3), "");
        assert_eq!(wrapped("one", 80), "one");
    }
}
