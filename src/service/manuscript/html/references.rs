//! Character references, and where they stand: what the tokenizer shows, laid beside what was written.

use std::collections::HashMap;
use std::ops::Range;

use html5gum::{Token, Tokenizer};

/// No reference by name is longer.
const LONGEST_NAME: usize = 40;

/// References that were met, so that each is decoded once.
#[derive(Debug, Default)]
pub struct References {
    /// By what was written: how much of it is a reference, and what it shows.
    known: HashMap<String, (usize, String)>,
}

impl References {
    /// Calls `each` for every piece of `shown` with the place in `raw` that it stands for, in order.
    pub fn align(&mut self, raw: &str, shown: &str, mut each: impl FnMut(&str, Range<usize>)) {
        let (mut written, mut seen) = (0, 0);
        while written < raw.len() {
            let plain = raw[written..].find(['&', '\r']).unwrap_or(raw.len() - written);
            let (width, piece) = if plain > 0 {
                (plain, &raw[written..written + plain])
            } else if raw[written..].starts_with('\r') {
                (if raw[written..].starts_with("\r\n") { 2 } else { 1 }, "\n")
            } else {
                self.reference(&raw[written..])
            };
            if !shown[seen..].starts_with(piece) {
                break;
            }
            each(piece, written..written + width);
            written += width;
            seen += piece.len();
        }
        // The tokenizer mended something here: all of it stands for all of that.
        if seen < shown.len() {
            each(&shown[seen..], written..raw.len());
        }
    }

    /// How long the reference at the beginning is, and what it shows; an `&` that begins none shows itself.
    fn reference(&mut self, raw: &str) -> (usize, &str) {
        let bytes = raw.as_bytes();
        let most = if bytes.get(1) == Some(&b'#') { raw.len() } else { LONGEST_NAME };
        let named = bytes.iter().skip(1).take(most).take_while(|b| b.is_ascii_alphanumeric() || **b == b'#').count();
        let written = &raw[..1 + named + usize::from(bytes.get(1 + named) == Some(&b';'))];
        if named == 0 {
            return (1, "&");
        }
        if !self.known.contains_key(written) {
            let decoded = decode(written);
            self.known.insert(written.to_owned(), decoded);
        }
        self.known.get(written).map_or((1, "&"), |(width, shown)| (*width, shown))
    }
}

/// Decodes what may be a reference with something behind it.
fn decode(written: &str) -> (usize, String) {
    let mut shown = String::new();
    for token in Tokenizer::new(written) {
        let Ok(token) = token;
        if let Token::String(string) = token {
            shown.push_str(&String::from_utf8_lossy(&string));
        }
    }
    if shown == written {
        return (1, "&".to_owned());
    }
    // What is no part of the reference stands behind it as it was written; one character at least is the reference's.
    let first = shown.chars().next().map_or(0, char::len_utf8);
    let behind = shown[first..].bytes().rev().zip(written.bytes().rev()).take_while(|(a, b)| a == b).count();
    shown.truncate(shown.len() - behind);
    (written.len() - behind, shown)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn aligned(raw: &str, shown: &str) -> Vec<(String, String)> {
        let mut pieces = Vec::new();
        References::default().align(raw, shown, |piece, place| pieces.push((piece.to_owned(), raw[place].to_owned())));
        pieces
    }

    #[test]
    fn every_way_to_write_a_character_is_laid_beside_what_it_shows() {
        let pairs: Vec<(String, String)> = ["6 ", "×", " ½", "&", "; sts\n"]
            .into_iter()
            .zip(["6 ", "&times;", " &frac12", "&amp", "; sts\r\n"])
            .map(|(shown, raw)| (shown.to_owned(), raw.to_owned()))
            .collect();
        let (shown, raw): (String, String) = pairs.iter().cloned().unzip();
        let joined: String = aligned(&raw, &shown).iter().map(|(piece, _)| &**piece).collect();
        assert_eq!(joined, shown);
        assert!(aligned(&raw, &shown).contains(&("×".to_owned(), "&times;".to_owned())));
        assert_eq!(aligned("&notit;", "¬it;"), [("¬".into(), "&not".into()), ("it;".into(), "it;".into())]);
        assert_eq!(aligned("&sc; & 2", "&sc; & 2").iter().map(|(shown, _)| shown.len()).sum::<usize>(), 8);
        assert_eq!(aligned("&semi;", ";"), [(";".into(), "&semi;".into())]);
        assert_eq!(aligned("&#8211;&#x2013;", "––").len(), 2);
    }
}
