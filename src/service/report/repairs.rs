//! Repairs under a finding: what is changed into what, and how the line reads then.

use std::borrow::Cow;
use std::ops::Range;

use evenround_calc::verify::{Edit, Fix, Place};

use super::excerpt::{Excerpt, excerpt};
use super::plain::{plain, wrapped};

/// A finding shows at most so many of its repairs; JSON has all.
pub const MOST_REPAIRS: usize = 3;
/// Of a changed fragment at most so many characters are shown.
const LONGEST_FRAGMENT: usize = 60;
/// Of a changed line longer than this many bytes only the surroundings of the change are shown.
const LONGEST_CHANGED: usize = 300;
/// So many bytes before it and behind it.
const SURROUNDINGS: usize = 90;
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
        let (changed, new) = changed(&shown, these);
        let mut at = 0;
        for (nth, one) in changed.trim_end().split('\n').enumerate() {
            let before = if shown.whole || nth > 0 { "" } else { "…" };
            let number = line.map_or_else(String::new, |line| format!("{} | ", line + nth));
            let (cut_before, kept, cut_behind) = around(one, new.start.saturating_sub(at)..new.end.saturating_sub(at));
            at += one.len() + 1;
            let before = if cut_before { "…" } else { before };
            let behind = if cut_behind { "…" } else { "" };
            let one = kept.replace('\t', " ");
            out.push_str(&format!("\n{number}{before}{}{behind}", plain(one.trim_end_matches('\r')).trim_end()));
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

/// The surroundings of a change in a line, and whether something was cut off before them and behind.
fn around(line: &str, new: Range<usize>) -> (bool, &str, bool) {
    if line.len() <= LONGEST_CHANGED {
        return (false, line, false);
    }
    let from = line.floor_char_boundary(new.start.min(line.len()).saturating_sub(SURROUNDINGS));
    let to = line.ceil_char_boundary(new.end.clamp(from, from + LONGEST_CHANGED) + SURROUNDINGS).min(line.len());
    (from > 0, &line[from..to], to < line.len())
}

/// An excerpt with edits in it, and where the new words are, from the first to the last.
fn changed(shown: &Excerpt<'_>, edits: &[Edit]) -> (String, Range<usize>) {
    let source = shown.source;
    let within = |byte: u32| (byte as usize).saturating_sub(shown.first).min(source.len());
    let mut out = String::new();
    let mut done = 0;
    let mut new = None;
    for edit in edits {
        let start = source.floor_char_boundary(within(edit.start)).max(done);
        let end = source.ceil_char_boundary(within(edit.end)).max(start);
        out.push_str(&source[done..start]);
        let from = new.map_or(out.len(), |(from, _)| from);
        out.push_str(&edit.text);
        new = Some((from, out.len()));
        done = end;
    }
    out.push_str(&source[done..]);
    let (from, to) = new.unwrap_or_default();
    (out, from..to)
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
