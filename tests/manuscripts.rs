//! Patterns as their blogs keep them: every pattern of the shelf, put into HTML and Markdown, verifies as the plain text
//! does, its places on the same words; a repair put into the markup does what it does in the plain text. Whole posts have
//! their whole answers in `tests/snapshots`.

#[path = "manuscripts/written.rs"]
mod written;

use std::fs;
use std::path::Path;

use evenround::manuscript::{Manuscript, Markup};
use evenround_calc::verify::{Edit, Fix, Request, Verification, verify};
use evenround_tests::answer::render;
use written::WAYS;

/// The demo shelf, what else ships with the service, and the whole patterns.
fn shelf() -> Vec<(String, String)> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let demo = "../src/service/demo";
    let mut texts = Vec::new();
    for folder in [format!("{demo}/holds"), format!("{demo}/faulty"), format!("{demo}/collection"), "whole".to_owned()]
    {
        for file in fs::read_dir(here.join(&folder)).unwrap().flatten() {
            let name = format!("{folder}/{}", file.file_name().to_string_lossy());
            if name.ends_with(".txt") {
                texts.push((name, fs::read_to_string(file.path()).unwrap()));
            }
        }
    }
    texts.sort();
    assert!(texts.len() > 40, "the shelf is not there");
    texts
}

fn verified(original: &str, markup: Markup) -> (String, Verification) {
    let manuscript = Manuscript::read(original, markup);
    let mut answer = verify(&Request::of(manuscript.text())).unwrap();
    manuscript.restore(&mut answer);
    (manuscript.text().to_owned(), answer)
}

/// An answer without places and repairs.
fn without_places(answer: &Verification) -> String {
    let mut answer = answer.clone();
    for row in answer.pieces.iter_mut().flat_map(|piece| &mut piece.rows) {
        row.line = 0;
        row.label = squeezed(&row.label);
    }
    for finding in &mut answer.findings {
        finding.place = evenround_calc::verify::Place { start: 0, end: 0, line: 0, column: 0 };
        finding.fixes.clear();
    }
    render(&answer)
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a piece of markup shows.
fn shown(piece: &str, markup: Markup) -> String {
    match markup {
        Markup::Markdown => squeezed(&piece.replace("**", "").replace('\\', "").replace("  \n", "\n")),
        _ => squeezed(Manuscript::read(piece, markup).text()),
    }
}

fn edited(text: &str, edits: &[Edit]) -> String {
    let mut out = text.to_owned();
    for edit in edits.iter().rev() {
        out.replace_range(edit.start as usize..edit.end as usize, &edit.text);
    }
    out
}

#[test]
fn the_shelf_in_markup_verifies_as_the_plain_text() {
    let mut wrong = Vec::new();
    for (name, plain) in shelf() {
        let expected = verify(&Request::of(&plain)).unwrap();
        for way in WAYS {
            let original = (way.write)(&plain);
            let (text, answer) = verified(&original, way.markup);
            if without_places(&answer) != without_places(&expected) {
                wrong.push(format!(
                    "{name} in {}:\n{}",
                    way.name,
                    difference(&without_places(&expected), &without_places(&answer), &plain, &text)
                ));
                continue;
            }
            for (here, there) in answer.findings.iter().zip(&expected.findings) {
                let words = &plain[there.place.start as usize..there.place.end as usize];
                let found = &original[here.place.start as usize..here.place.end as usize];
                if squeezed(words) != shown(found, way.markup) && !words.trim_matches(['*', ' ']).is_empty() {
                    wrong.push(format!("{name} in {}: {words:?} is shown at {found:?}", way.name));
                }
                let before = &original[..here.place.start as usize];
                let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
                let line = (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1);
                if line != (here.place.line as usize, here.place.column as usize) {
                    wrong.push(format!("{name} in {}: {:?} is at {line:?}", way.name, here.place));
                }
            }
            let rows = |answer: &Verification| -> Vec<(String, u32)> {
                answer.pieces.iter().flat_map(|piece| &piece.rows).map(|row| (squeezed(&row.label), row.line)).collect()
            };
            for ((label, here), (_, there)) in rows(&answer).iter().zip(rows(&expected)) {
                let line = plain.lines().nth(there as usize - 1).unwrap();
                let mapped = original.lines().nth(*here as usize - 1).unwrap_or_default();
                let first = line.split_whitespace().next().unwrap_or_default().trim_matches(['*', '-']);
                if !shown(mapped, way.markup).contains(&squeezed(first)) {
                    wrong.push(format!("{name} in {}: {label} is not on {mapped:?}", way.name));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}\n{} in all", wrong.join("\n"), wrong.len());
}

/// The posts: what is taken out of them, the answer, and the report with its places in the post.
#[test]
fn whole_posts_have_their_whole_answers() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("manuscripts");
    for name in ["eelgrass-cap.html", "driftline-mat.md", "glasswort-cloth.html"] {
        let original = fs::read_to_string(folder.join(name)).unwrap();
        let (text, answer) = verified(&original, Markup::of_file(name));
        let report = evenround::report::text::render(&original, name, &answer);
        insta::assert_snapshot!(
            format!("manuscript {name}"),
            format!("{text}\n======== the answer\n{}\n======== the report\n{report}", render(&answer))
        );
    }
}

fn difference(expected: &str, answer: &str, plain: &str, text: &str) -> String {
    let lines = |a: &str, b: &str| {
        let (a, b): (Vec<_>, Vec<_>) = (a.lines().collect(), b.lines().collect());
        let at = a.iter().zip(&b).take_while(|(a, b)| a == b).count();
        format!("  plain {:?}\n  here  {:?}\n", a.get(at), b.get(at))
    };
    lines(expected, answer) + &lines(plain, text)
}

#[test]
fn a_repair_in_markup_does_what_it_does_in_the_plain_text() {
    let mut wrong = Vec::new();
    for way in WAYS {
        let (mut offered, mut kept) = (0, 0);
        for (name, plain) in shelf() {
            let expected = verify(&Request::of(&plain)).unwrap();
            let original = (way.write)(&plain);
            let (_, answer) = verified(&original, way.markup);
            for (here, there) in answer.findings.iter().zip(&expected.findings) {
                offered += there.fixes.len();
                kept += here.fixes.len();
                let mut left = there.fixes.iter();
                for fix in &here.fixes {
                    let Some(same) = left.find(|same: &&Fix| same.message == fix.message) else {
                        wrong.push(format!(
                            "{name} in {}: {:?} is not offered in the plain text",
                            way.name, fix.message
                        ));
                        continue;
                    };
                    let mended = verify(&Request::of(&edited(&plain, &same.edits))).unwrap();
                    let (_, answer) = verified(&edited(&original, &fix.edits), way.markup);
                    if without_places(&answer) != without_places(&mended) {
                        wrong.push(format!("{name} in {}: {fix:?}", way.name));
                    }
                }
            }
        }
        println!("{}: {kept} of {offered} repairs", way.name);
        if kept * 10 < offered * 9 {
            wrong.push(format!("{}: only {kept} of {offered} repairs can be made", way.name));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
