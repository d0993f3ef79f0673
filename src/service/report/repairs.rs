//! Repairs under a finding: what is changed into what, and how the line reads then.

use std::borrow::Cow;

use evenround_calc::verify::{Edit, Fix, Place};

use super::excerpt::{Excerpt, excerpt};
use super::plain::{plain, wrapped};

/// A finding shows at most so many of its repairs; JSON has all.
pub const MOST_REPAIRS: usize = 3;
/// Of a changed fragment at most so many characters are shown.
const LONGEST_FRAGMENT: usize = 60;
/// Over a longer stretch than this the lines are not counted.
const FARTHEST_LINE: usize = 64 * 1024;

/// One repair of a finding at `place`: its message, then for each edit the old fragment and the new one, then the lines as
/// they read afterwards.
pub fn repair(pattern: &str, place: &Place, fix: &Fix, width: usize) -> String {
    let mut out = wrapped(&plain(&fix.message), width);
    let mut edits = &fix.edits[..];
    while let Some(first) = edits.first() {
        let shown = excerpt(pattern, first.start, first.end);
        let shown_end = shown.first + shown.source.len();
        let together = 1 + edits[1..].iter().take_while(|edit| edit.end as usize <= shown_end).count();
        let (these, rest) = edits.split_at(together);
        edits = rest;
        for edit in these {
            let old = old(pattern, edit);
            out.push_str(&format!("\n{} → {}", fragment(old), fragment(&edit.text)));
        }
        let line = line_of(pattern, place, shown.first);
        for (nth, changed) in changed(&shown, these).trim_end().lines().enumerate() {
            let before = if shown.whole || nth > 0 { "" } else { "…" };
            let number = line.map_or_else(String::new, |line| format!("{} | ", line + nth));
            out.push_str(&format!("\n{number}{before}{}", plain(&changed.replace('\t', " ")).trim_end()));
        }
    }
    out
}

/// What an edit replaces, wherever it claims to be.
fn old<'a>(pattern: &'a str, edit: &Edit) -> &'a str {
    let start = pattern.floor_char_boundary(edit.start as usize);
    &pattern[start..pattern.ceil_char_boundary((edit.end as usize).max(start))]
}

/// A fragment on one line, harmless and not too long.
fn fragment(text: &str) -> Cow<'_, str> {
    let text = text.trim_end_matches(['\r', '\n']);
    if text.is_empty() {
        return "(nothing)".into();
    }
    let cut = text.char_indices().nth(LONGEST_FRAGMENT).map_or(text.len(), |(at, _)| at);
    let first = text.find(['\r', '\n']).map_or(cut, |newline| newline.min(cut));
    let shown = plain(&text[..first]);
    format!("\"{shown}{}\"", if first < text.len() { "…" } else { "" }).into()
}

/// An excerpt with edits in it.
fn changed(shown: &Excerpt<'_>, edits: &[Edit]) -> String {
    let source = shown.source;
    let within = |byte: u32| (byte as usize).saturating_sub(shown.first).min(source.len());
    let mut out = String::new();
    let mut done = 0;
    for edit in edits {
        let start = source.floor_char_boundary(within(edit.start)).max(done);
        let end = source.ceil_char_boundary(within(edit.end)).max(start);
        out.push_str(&source[done..start]);
        out.push_str(&edit.text);
        done = end;
    }
    out.push_str(&source[done..]);
    out
}

/// The line on which a byte lies, counted from the finding's own.
fn line_of(pattern: &str, place: &Place, byte: usize) -> Option<usize> {
    let here = pattern.floor_char_boundary(place.start as usize);
    let (from, to) = (here.min(byte), here.max(byte));
    if to - from > FARTHEST_LINE {
        return None;
    }
    let between = pattern.as_bytes()[from..to].iter().filter(|&&byte| byte == b'\n').count();
    let line = place.line as usize;
    if byte < here { line.checked_sub(between) } else { Some(line + between) }
}
