//! Making text from outside harmless for a terminal.

use std::borrow::Cow;

/// The text without control characters: a pattern must not move the cursor or recolour the screen of whoever reads a
/// report about it.
pub fn plain(text: &str) -> Cow<'_, str> {
    if text.chars().any(char::is_control) {
        text.chars()
            .map(|c| if c.is_control() { '\u{fffd}' } else { c })
            .collect::<String>()
            .into()
    } else {
        text.into()
    }
}
