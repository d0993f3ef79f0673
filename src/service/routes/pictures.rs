//! Pictures of a design: the symbol chart of a piece, and the piece to scale.

use axum::extract::{Path, State};
use axum::http::{HeaderMap, Uri};
use axum::response::Response;
use evenround_calc::chart::{Hand, chart as draw};
use evenround_calc::notation::read;
use evenround_calc::verify::{Terms, outlines, spelled};

use super::counts::{published, read_units};
use super::pattern::{own, read_revision, read_terms};
use crate::accept::{self, Offer};
use crate::app::App;
use crate::cached;
use crate::designed::Designed;
use crate::document::design_example;
use crate::drawn;
use crate::problem::{self, Problem, RequestError};
use crate::shown::Units;
use crate::shown::kept::kept;
use crate::shown::pattern::size_named;
use crate::store::designs::Revision;
use crate::table;

const SVG: &[Offer<()>] = &[("image/svg+xml", ())];

/// A symbol chart of one piece in one size, drawn from the fabric: each symbol stands on the place that it was worked into.
///
/// What begins in the middle is drawn around it, everything else in rows. Symbols are those that published pages agree on;
/// any other stitch is a box with a letter, which the key explains. A size too large to draw says so and draws what repeats.
#[utoipa::path(
    get,
    path = "/v1/designs/{id}/chart.svg",
    operation_id = "get_chart",
    tag = "designs",
    summary = "A symbol chart",
    params(
        ("id" = String, Path, description = "The design's id, or its slug", example = json!(design_example::ID)),
        ("size" = Option<String>, Query, description = "Which size, by its name; the first unless given"),
        ("piece" = Option<String>, Query, description = "Which piece, by its name; the first unless given"),
        ("terms" = Option<crate::api::verification_request::TermsName>, Query, description = "In whose terms the key is: `us` or `uk`; those of the text unless given"),
        ("hand" = Option<crate::api::parameters::HandName>, Query, description = "The hand that holds the hook: `right`, which it is unless given, or `left`"),
        ("revision" = Option<i64>, Query, description = "Which revision; the newest unless given", minimum = 1),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "The chart",
            headers(
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((String = "image/svg+xml"))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::ChartRefusals
    )
)]
pub async fn chart(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    accept::choose(&headers, SVG)?;
    let mut errors = Vec::new();
    let names = ["size", "piece", "terms", "hand", "revision"];
    let [size, piece, terms, hand, revision] = table::parameters(uri.query().unwrap_or_default(), names, &mut errors);
    let (terms, revision) = (read_terms(terms, &mut errors), read_revision(revision, &mut errors));
    let hand = match hand.as_deref() {
        None | Some("right") => Hand::Right,
        Some("left") => Hand::Left,
        Some(_) => {
            errors.push(RequestError::parameter("hand", "must be right or left"));
            Hand::Right
        }
    };
    let revision = own(&app, &id, &uri, &headers, revision, errors).await?;
    let work = move || charted(&revision, size.as_deref(), piece.as_deref(), terms, hand);
    let body = app.calculator.run_in_turn(work).await??;
    Ok(cached::own(&headers, "image/svg+xml", body.into_bytes()))
}

fn charted(
    revision: &Revision,
    size: Option<&str>,
    piece: Option<&str>,
    terms: Option<Terms>,
    hand: Hand,
) -> Result<String, Problem> {
    let asked = Designed::of(revision).verification()?;
    let request = asked.request();
    let refused = |problems| asked.refusal(problems);
    let pattern = read(request.pattern, &request).map_err(refused)?;
    let size = size.map_or(Ok(0), |name| size_named(&pattern.sizes, name))?;
    let pieces = spelled(&request, size).map_err(refused)?;
    let names: Vec<String> = pieces.iter().map(|piece| piece.names.join(", ")).collect();
    let at = match piece {
        None => 0,
        Some(name) => piece_named(pieces.iter().map(|piece| piece.names.as_slice()), &names, name)?,
    };
    let drawn = pieces.get(at).and_then(|piece| draw(piece, terms.unwrap_or(pattern.terms), hand)).ok_or_else(|| {
        let detail =
            "no row of this piece can be drawn in this size: verify the pattern, its first rows were not understood";
        Problem::new(problem::NOT_DRAWN, detail)
    })?;
    let subject = drawn::chart::Subject {
        title: &revision.title,
        piece: names.get(at).map(String::as_str).filter(|_| names.len() > 1),
        size: pattern.sizes.get(size).map(String::as_str).filter(|_| pattern.sizes.len() > 1),
        left_handed: hand == Hand::Left,
    };
    Ok(drawn::chart::svg(&drawn, &subject))
}

/// The piece of this name: any of its headings will do.
fn piece_named<'a>(
    headings: impl Iterator<Item = &'a [String]>,
    names: &[String],
    name: &str,
) -> Result<usize, Problem> {
    let same = |known: &String| known.trim().eq_ignore_ascii_case(name.trim());
    let found = headings.zip(names).position(|(headings, joined)| same(joined) || headings.iter().any(same));
    found.ok_or_else(|| {
        let detail = format!("is no piece of this design, which has {}", names.join("; "));
        Problem::invalid(vec![RequestError::parameter("piece", detail)])
    })
}

/// One piece of the published revision to scale, with what it measures. Open to everybody: it shows no more than the counts.
#[utoipa::path(
    get,
    path = "/v1/designs/{id}/schematic.svg",
    operation_id = "get_schematic",
    tag = "designs",
    summary = "A piece to scale",
    params(
        ("id" = String, Path, description = "The design's slug, or its id", example = json!(design_example::SLUG)),
        ("size" = Option<String>, Query, description = "Which size, by its name; the first unless given"),
        ("piece" = Option<String>, Query, description = "Which piece, by its name; the first that can be measured unless given"),
        ("units" = Option<crate::api::parameters::ShownUnitsName>, Query, description = "`metric`, `imperial` or `both`, which it is unless given"),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "The picture",
            headers(
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`public, no-cache`")
            ),
            content((String = "image/svg+xml"))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::SchematicRefusals
    )
)]
pub async fn schematic(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    accept::choose(&headers, SVG)?;
    let mut errors = Vec::new();
    let names = ["size", "piece", "units"];
    let [size, piece, units] = table::parameters(uri.query().unwrap_or_default(), names, &mut errors);
    let units = read_units(units.as_deref(), &mut errors);
    if !errors.is_empty() {
        return Err(Problem::invalid(errors));
    }
    let (design, revision) = published(&app, &id).await?;
    let key = format!("{} {} {size:?} {piece:?} {units:?}", design.id, revision.number);
    let work = move || outlined(&revision, size.as_deref(), piece.as_deref(), units).map(String::into_bytes);
    let body = kept(&app, key, work).await?;
    Ok(cached::for_other_origins(cached::open(&headers, "image/svg+xml", body)))
}

fn outlined(revision: &Revision, size: Option<&str>, piece: Option<&str>, units: Units) -> Result<String, Problem> {
    let asked = Designed::of(revision).verification()?;
    let request = asked.request();
    let refused = |problems| asked.refusal(problems);
    let pattern = read(request.pattern, &request).map_err(refused)?;
    let size = size.map_or(Ok(0), |name| size_named(&pattern.sizes, name))?;
    let pieces = outlines(&request).map_err(refused)?;
    let names: Vec<String> = pieces.iter().map(|piece| piece.name.clone()).collect();
    let has = |at: &usize| pieces[*at].sizes.get(size).is_some_and(Option::is_some);
    let at = match piece {
        None => (0..pieces.len()).find(has).unwrap_or(0),
        Some(name) => piece_named(names.iter().map(std::slice::from_ref), &names, name)?,
    };
    let outline = pieces.get(at).and_then(|piece| piece.sizes.get(size)?.as_ref()).ok_or_else(|| {
        let detail = "this piece cannot be measured in this size: the design has no gauge, or not every row of the piece is right";
        Problem::new(problem::NOT_DRAWN, detail)
    })?;
    let mut heading = revision.title.clone();
    for (name, several) in [(names.get(at), names.len() > 1), (pattern.sizes.get(size), pattern.sizes.len() > 1)] {
        if let Some(name) = name.filter(|_| several) {
            heading = format!("{heading}, {name}");
        }
    }
    Ok(drawn::schematic::svg(outline, &heading, units))
}
