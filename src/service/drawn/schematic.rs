//! A piece to scale, from its counts and its gauge, with what it measures.

use evenround_calc::units::Length;
use evenround_calc::verify::{Form, Outline};
use maud::{Markup, PreEscaped, html};

use super::pen::mm;
use crate::api::counts::tape;
use crate::shown::{Units, length_words};

/// The longer side of the drawn piece, in millimetres.
const LONGEST: f64 = 110.0;
const MARGIN: f64 = 8.0;
const TEXT: f64 = 3.6;
/// Levels that are drawn; a piece of more rows is drawn by so many of them.
const MOST_LEVELS: usize = 600;

/// The picture: the piece laid flat, or what is round seen from the side, or from above where it is a disc.
pub fn svg(outline: &Outline, heading: &str, units: Units) -> String {
    let flat = outline.form == Form::Flat;
    let across = if flat { outline.width } else { outline.across }.to_millimetres();
    let up = if outline.form == Form::Disc { across } else { outline.height.to_millimetres() };
    let scale = LONGEST / across.max(up).max(1e-6);
    let (wide, tall) = (across * scale, up * scale);
    let top = MARGIN + 10.0;
    let height = top + tall + 2.0 * MARGIN + 2.0 * (TEXT + 2.0);
    let words = |length| length_words(tape(length), units);
    let about = if outline.width_about { "about " } else { "" };
    let about_long = if outline.length_about { "about " } else { "" };
    let around = format!("{about}{} around, {} laid flat", words(outline.width), words(outline.width * 0.5));
    // The edge, where it is not the widest round: what has to pass over a head or a hand.
    let edge =
        outline.levels.last().filter(|level| level.across.to_millimetres() < outline.across.to_millimetres() * 0.98);
    let edge = edge.map(|level| words(Length::millimetres(level.across.to_millimetres() * std::f64::consts::PI)));
    let edge = edge.map_or_else(String::new, |edge| format!("; {edge} around the edge"));
    let (along, sideways) = match outline.form {
        Form::Flat => (Some(outline.length), format!("{about}{} wide", words(outline.width))),
        Form::Tube | Form::Vessel => (Some(outline.height), format!("{around}{edge}")),
        Form::Disc => (None, format!("{about}{} across", words(outline.across))),
    };
    let how = match outline.form {
        Form::Flat => "The piece laid flat, to scale.",
        Form::Tube => "The piece seen from the side, to scale: a tube.",
        Form::Vessel => "The piece standing, seen from the side, to scale: worked from the middle.",
        Form::Disc => "The piece seen from above, to scale: a circle.",
    };
    let along_words = along.map(|length| format!("{about_long}{}", words(length)));
    let letters = |text: &str, height: f64| text.chars().count() as f64 * height * 0.58;
    let beside = along_words.as_deref().map_or(0.0, |words| MARGIN + 3.0 + letters(words, TEXT));
    let width =
        2.0 * MARGIN + (wide + beside).max(letters(heading, 4.6)).max(letters(&sideways, TEXT)).max(letters(how, 3.0));
    let description = match &along_words {
        Some(along) if outline.form != Form::Flat => format!("{how} It is {sideways} and {along} high."),
        Some(along) => format!("{how} It is {sideways} and {along} long."),
        None => format!("{how} It is {sideways}."),
    };
    let (left, right) = (MARGIN, MARGIN + wide);
    let bottom = top + tall;
    let body = html! {
        title id="title" { (heading) }
        desc id="description" { (description) }
        rect x="0" y="0" width=(mm(width)) height=(mm(height)) fill="#fff" {}
        g font-family="sans-serif" fill="#111" font-size=(mm(TEXT)) {
            text x=(mm(MARGIN)) y=(mm(MARGIN + 3.0)) font-size="4.6" font-weight="bold" { (heading) }
            @if outline.form == Form::Disc {
                circle cx=(mm(left + wide / 2.0)) cy=(mm(top + tall / 2.0)) r=(mm(wide / 2.0))
                    fill="#eef4f3" stroke="#0b5563" stroke-width="0.5" {}
            } @else {
                path d=(side(outline, scale, left + wide / 2.0, bottom)) fill="#eef4f3" stroke="#0b5563" stroke-width="0.5" stroke-linejoin="round" {}
            }
            (measure(left, bottom + MARGIN, right, bottom + MARGIN))
            text x=(mm(left)) y=(mm(bottom + MARGIN + TEXT + 2.0)) { (sideways) }
            @if let Some(words) = &along_words {
                (measure(right + MARGIN, top, right + MARGIN, bottom))
                text x=(mm(right + MARGIN + 3.0)) y=(mm((top + bottom) / 2.0)) { (words) }
            }
            text x=(mm(MARGIN)) y=(mm(height - MARGIN / 2.0)) fill="#4a5a5c" font-size="3" { (how) }
        }
    };
    let (wide, tall) = (mm(width), mm(height));
    html! {
        (PreEscaped("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"))
        svg xmlns="http://www.w3.org/2000/svg" width={ (wide) "mm" } height={ (tall) "mm" } viewBox={ "0 0 " (wide) " " (tall) }
            role="img" aria-labelledby="title description" { (body) }
    }
    .into_string()
}

/// The outline, up one side and down the other.
fn side(outline: &Outline, scale: f64, middle: f64, bottom: f64) -> String {
    let step = outline.levels.len().div_ceil(MOST_LEVELS).max(1);
    let last = outline.levels.len().saturating_sub(1);
    // Worked from the middle it grows downwards, as it is worn.
    let turned = outline.form == Form::Vessel;
    let height = outline.height.to_millimetres();
    let mut spots: Vec<(f64, f64)> = outline
        .levels
        .iter()
        .enumerate()
        .filter(|(at, _)| at % step == 0 || *at == last)
        .map(|(_, level)| {
            let up = level.up.to_millimetres();
            let y = if turned { bottom - (height - up) * scale } else { bottom - up * scale };
            (level.across.to_millimetres() / 2.0 * scale, y)
        })
        .collect();
    if turned {
        spots.insert(0, (0.0, bottom - height * scale));
    }
    let mut path = String::new();
    let right = spots.iter().map(|(half, y)| (middle + half, *y));
    let left = spots.iter().rev().map(|(half, y)| (middle - half, *y));
    for (at, (x, y)) in right.chain(left).enumerate() {
        path.push_str(&format!("{}{} {}", if at == 0 { "M" } else { "L" }, mm(x), mm(y)));
    }
    path.push('Z');
    path
}

/// A line between two marks.
fn measure(x1: f64, y1: f64, x2: f64, y2: f64) -> Markup {
    let (across, up) = if (y1 - y2).abs() < 1e-9 { (0.0, 1.5) } else { (1.5, 0.0) };
    let path = format!(
        "M{} {}L{} {}M{} {}L{} {}M{} {}L{} {}",
        mm(x1),
        mm(y1),
        mm(x2),
        mm(y2),
        mm(x1 - across),
        mm(y1 - up),
        mm(x1 + across),
        mm(y1 + up),
        mm(x2 - across),
        mm(y2 - up),
        mm(x2 + across),
        mm(y2 + up),
    );
    html! { path d=(path) fill="none" stroke="#4a5a5c" stroke-width="0.3" {} }
}
