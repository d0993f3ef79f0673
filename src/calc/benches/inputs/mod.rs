//! What is measured: patterns in several ways of writing, and Python to set beside them.

// Each bench takes what it needs.
#![allow(dead_code)]

pub mod hostile;

use std::fmt::Write as _;

const HEAD: &str = include_str!("../data/head.txt");
const STYLES: [&str; 4] = [
    include_str!("../data/blanket.txt"),
    include_str!("../data/ball.txt"),
    include_str!("../data/coaster.txt"),
    include_str!("../data/scarf.txt"),
];
const SCALED: &str = include_str!("../data/scaled.txt");
const PYTHON: &str = include_str!("../data/tides.py");

/// A whole pattern of 2 KiB in four sizes, as it would be sent.
pub const CAP: &str = include_str!("../data/cap.txt");

/// The same in lace.
pub const LACE_CAP: &str = include_str!("../data/lace-cap.txt");

const LACE_HEAD: &str = include_str!("../data/lace-head.txt");
const LACE: [&str; 3] =
    [include_str!("../data/doily.txt"), include_str!("../data/granny.txt"), include_str!("../data/shells.txt")];
const DEFINED_HEAD: &str = include_str!("../data/defined-head.txt");
const DEFINED: [&str; 1] = [include_str!("../data/defined.txt")];

/// Where the cap's front matter ends and its first piece begins.
const CAP_BODY: &str = "CROWN\n";

/// The length of the long inputs.
pub const LONG: usize = 200 * 1024;

/// Pieces of every style in turn, in one size, until the text is `bytes` long.
pub fn mixed(bytes: usize) -> String {
    pieces(HEAD, &STYLES, bytes)
}

/// A doily, a granny square and a stole of shells and Vs in turn.
pub fn lace(bytes: usize) -> String {
    pieces(LACE_HEAD, &LACE, bytes)
}

/// Strips in a dozen stitches that the text defines.
pub fn defined(bytes: usize) -> String {
    pieces(DEFINED_HEAD, &DEFINED, bytes)
}

fn pieces(head: &str, pieces: &[&str], bytes: usize) -> String {
    let mut text = head.to_owned();
    let mut number = 1;
    while text.len() < bytes {
        for piece in pieces {
            push_piece(&mut text, piece, number);
            number += 1;
        }
    }
    cut_rows(text, bytes)
}

/// The cap again and again under one front matter, in four sizes, until the text is `bytes` long.
pub fn sized(bytes: usize) -> String {
    let body = CAP.find(CAP_BODY).expect("the cap has a crown");
    let (head, piece) = CAP.split_at(body);
    let mut text = head.to_owned();
    let mut number = 1;
    while text.len() < bytes {
        push_piece(&mut text, piece, number);
        text.push('\n');
        number += 1;
    }
    cut_rows(text, bytes)
}

/// The floor: lines and words, nothing kept. The sum keeps the work from being thrown away.
pub fn split(text: &str) -> usize {
    text.lines().flat_map(str::split_ascii_whitespace).fold(0, |sum: usize, word| sum.rotate_left(1) ^ word.len())
}

/// Python source of about the same length: whole copies, so that nothing breaks off inside a string.
pub fn python(bytes: usize) -> String {
    PYTHON.repeat(bytes.div_ceil(PYTHON.len()))
}

/// Pieces of about `bytes` whose stitch numbers are multiplied by `factor`. A number is written `{20}`, or `{20|1}` for
/// twenty times the factor and one; everything else (row numbers, chains from the hook, units of a repeat) stays.
pub fn scaled(bytes: usize, factor: u64) -> String {
    let copies = bytes.div_ceil(SCALED.len());
    let mut text = HEAD.to_owned();
    for number in 1..=copies {
        let mut piece = String::with_capacity(SCALED.len() * 2);
        let mut rest = SCALED;
        while let Some((before, after)) = rest.split_once('{') {
            let (value, after) = after.split_once('}').expect("a closed number");
            let (times, plus) = value.split_once('|').unwrap_or((value, "0"));
            let times: u64 = times.parse().expect("a number");
            let plus: i64 = plus.parse().expect("a number");
            piece.push_str(before);
            write!(piece, "{}", (times * factor).strict_add_signed(plus)).expect("a string");
            rest = after;
        }
        piece.push_str(rest);
        push_piece(&mut text, &piece, number);
    }
    text
}

/// The piece, its heading (the first line) numbered so that no two are alike.
fn push_piece(text: &mut String, piece: &str, number: usize) {
    let (heading, rows) = piece.split_once('\n').expect("a heading");
    writeln!(text, "{heading} {number}").expect("a string");
    text.push_str(rows);
}

/// The longest start of `text` that fits into `bytes`.
fn cut(mut text: String, bytes: usize) -> String {
    text.truncate(text.floor_char_boundary(bytes));
    text
}

/// The same, ended with a whole row: half of one would be a fault, and proofs of its repairs what is measured.
fn cut_rows(text: String, bytes: usize) -> String {
    let mut text = cut(text, bytes);
    text.truncate(text.rfind('\n').map_or(0, |end| end + 1));
    text
}
