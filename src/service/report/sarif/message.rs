//! Texts for people in the standard's notation, in which braces are placeholders and some brackets links (§3.11).

use std::borrow::Cow;

use serde::Serialize;

/// A text for people.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Message<'a> {
    text: Cow<'a, str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    markdown: Option<Cow<'a, str>>,
}

impl<'a> Message<'a> {
    /// Plain text, which shows as it is here.
    pub(super) fn plain(text: impl Into<Cow<'a, str>>) -> Self {
        Self { text: without_links(without_placeholders(text.into())), markdown: None }
    }

    /// The same said twice: as plain text, and in Markdown, of which only the braces need care.
    pub(super) fn with_markdown(text: impl Into<Cow<'a, str>>, markdown: impl Into<Cow<'a, str>>) -> Self {
        Self { markdown: Some(without_placeholders(markdown.into())), ..Self::plain(text) }
    }
}

/// `{0}` would be taken for the first of the message's arguments.
fn without_placeholders(text: Cow<'_, str>) -> Cow<'_, str> {
    if text.contains(['{', '}']) { text.replace('{', "{{").replace('}', "}}").into() } else { text }
}

/// `[2 sc](6)` would be taken for a link to the sixth of the result's places.
fn without_links(text: Cow<'_, str>) -> Cow<'_, str> {
    if text.contains("](") { text.replace('[', "\\[").replace(']', "\\]").into() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_pattern_says_is_neither_a_placeholder_nor_a_link() {
        for (said, written) in [
            ("12 made, 13 printed", "12 made, 13 printed"),
            ("{2 sc} is {0} times", "{{2 sc}} is {{0}} times"),
            ("[2 sc, inc] 6 times", "[2 sc, inc] 6 times"),
            ("[2 sc, inc](6) and [ch 1]", "\\[2 sc, inc\\](6) and \\[ch 1\\]"),
        ] {
            assert_eq!(Message::plain(said).text, written);
        }
    }
}
