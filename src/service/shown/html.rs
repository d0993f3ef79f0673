//! The counts as a page that stands by itself: for reading, and for the frame of a blog.

use std::sync::LazyLock;

use axum::http::HeaderValue;
use data_encoding::BASE64;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use super::{Units, amount_words, ball_words, chosen, count_words, measured_words, row_in_size, row_word, rows};
use crate::api::counts::CountsAnswer;

/// The style of all pages that show a design.
pub const STYLE: &str = include_str!("shown.css");

/// What such a page may load: its own style and nothing else. It may stand in a frame of anybody's.
pub static FRAMED: LazyLock<HeaderValue> = LazyLock::new(|| policy(STYLE, "*"));
/// The same for a page that may not be framed.
pub static ALONE: LazyLock<HeaderValue> = LazyLock::new(|| policy(STYLE, "'none'"));

/// The policy of a page with one style element.
pub fn policy(style: &str, framed_by: &str) -> HeaderValue {
    let digest = BASE64.encode(&Sha256::digest(style));
    let policy = format!(
        "default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'; frame-ancestors {framed_by}"
    );
    HeaderValue::from_str(&policy).unwrap_or(HeaderValue::from_static("default-src 'none'"))
}

/// What is shown of the counts.
#[derive(Debug, Clone, Copy, Default)]
pub struct View {
    /// One size only.
    pub size: Option<usize>,
    /// Which lengths.
    pub units: Units,
}

/// A whole page; `head` stands among its links.
pub fn page(title: &str, style: &str, head: &Markup, body: &Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                (head)
                style { (PreEscaped(style)) }
            }
            body { (body) }
        }
    }
    .into_string()
}

/// The counts as a page.
pub fn counts(counts: &CountsAnswer, discovery: &Markup) -> String {
    let body = html! { main { h1 { (counts.title) } (content(counts, View::default())) (ending(counts)) } };
    page(&format!("{}: counts", counts.title), STYLE, discovery, &body)
}

/// The counts in a frame, with links that choose a size and the units: no script is needed. `gone` is a size that was asked
/// for and is not there.
pub fn embed(counts: &CountsAnswer, view: View, gone: Option<&str>, discovery: &Markup) -> String {
    let units =
        [(Units::Metric, "metric", "cm, g"), (Units::Imperial, "imperial", "in, oz"), (Units::Both, "both", "both")];
    let unit_name = units.iter().find(|(units, ..)| *units == view.units).map_or("both", |(_, name, _)| *name);
    let link = |size: Option<usize>, units: &str| {
        let mut query = form_urlencoded::Serializer::new(String::new());
        if let Some(size) = size.and_then(|size| counts.sizes.get(size)) {
            query.append_pair("size", size);
        }
        query.append_pair("units", units);
        format!("?{}", query.finish())
    };
    let body = html! {
        main {
            h1 { (counts.title) }
            nav aria-label="What is shown" {
                @if counts.sizes.len() > 1 {
                    ul aria-label="Size" {
                        li { a href=(link(None, unit_name)) aria-current=[view.size.is_none().then_some("true")] { "All sizes" } }
                        @for (at, size) in counts.sizes.iter().enumerate() {
                            li { a href=(link(Some(at), unit_name)) aria-current=[(view.size == Some(at)).then_some("true")] { (size) } }
                        }
                    }
                }
                ul aria-label="Units" {
                    @for (units, name, words) in units {
                        li { a href=(link(view.size, name)) aria-current=[(view.units == units).then_some("true")] { (words) } }
                    }
                }
            }
            @if let Some(gone) = gone { p.note { "There is no size “" (gone) "” here; all sizes are shown." } }
            (content(counts, view))
            (ending(counts))
        }
    };
    page(&format!("{}: counts", counts.title), STYLE, discovery, &body)
}

fn content(counts: &CountsAnswer, view: View) -> Markup {
    let sizes = chosen(counts, view.size);
    let name = |size: usize| counts.sizes.get(size).map_or("", String::as_str);
    html! {
        @for piece in &counts.pieces {
            div.wide role="region" aria-label={ "Stitch counts, " (piece.name) } tabindex="0" {
                table {
                    caption { (piece.name) ": stitches after each " (row_word(piece).to_lowercase()) }
                    thead { tr {
                        th scope="col" { (row_word(piece)) }
                        @for size in &sizes { th scope="col" { (name(*size)) } }
                    } }
                    tbody {
                        @for (label, row) in rows(piece) {
                            @match view.size.map(|size| row.get(size).and_then(Option::as_ref)) {
                                // One size alone has its own rows and numbers.
                                Some(None) => {},
                                Some(Some(count)) => tr { th scope="row" { (row_in_size(&label, count)) } td { (count_words(Some(count))) } },
                                None => tr {
                                    th scope="row" { (label) }
                                    @for size in &sizes { td { (count_words(row.get(*size).and_then(Option::as_ref))) } }
                                },
                            }
                        }
                    }
                }
            }
        }
        @for piece in &counts.measurements {
            h2 { "Measurements of " (piece.piece) }
            ul {
                @for size in &sizes {
                    @if let Some(Some(measured)) = piece.sizes.get(*size) {
                        li { (name(*size)) ": " (measured_words(measured, view.units)) }
                    }
                }
            }
        }
        @if !counts.yarn.is_empty() {
            h2 { "Yarn" }
            ul {
                @for size in counts.yarn.iter().filter(|yarn| view.size.is_none_or(|size| name(size) == yarn.name)) {
                    @for colour in &size.colours {
                        li {
                            (size.name) @if !colour.colour.is_empty() { ", " (colour.colour) } ": "
                            (amount_words(&colour.amount, view.units))
                            @if let Some(balls) = colour.balls { ", " (ball_words(balls)) }
                        }
                    }
                }
            }
        }
        @for caution in &counts.cautions {
            p.caution { strong { "Caution, " (caution.about) ": " } (caution.in_short) }
        }
        @if let Some(caution) = counts.cautions.first() { p.note { (caution.defers) } }
    }
}

fn ending(counts: &CountsAnswer) -> Markup {
    html! {
        @for note in &counts.notes { p.note { (note) } }
        footer { p { "Revision " (counts.revision) ", counted by Evenround." } }
    }
}
