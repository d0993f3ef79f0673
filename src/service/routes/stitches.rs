//! `GET /v1/stitches`: the stitch dictionary.

use axum::http::{HeaderMap, Uri};
use axum::response::Response;
use evenround_calc::standards::{Names, Stitch, StitchKind, stitch, stitches, yarn_use};

use crate::api::sources::rests_on;
use crate::api::stitches::{KINDS, StitchList, counts, kind_of};
use crate::fields;
use crate::problem::{Problem, RequestError};
use crate::table::{self, Cell, Column};

/// A vocabulary: `us` or `uk`.
type Vocabulary = fn(&Stitch) -> &Names;

const TERMS: [(&str, Vocabulary); 2] = [("us", |entry| &entry.us), ("uk", |entry| &entry.uk)];

/// The stitch dictionary: what each stitch is called in US and in UK terms, what it uses of the row below, what it leaves for
/// the next one, its turning chain and its height, and who has published it.
///
/// The same word may name two stitches: `?name=dc` gives the US double crochet and the US single crochet, which is the UK's
/// double crochet; `?terms=` decides. `Accept` chooses between JSON and CSV. The answer may be kept, and asked for again
/// with `If-None-Match`.
#[utoipa::path(
    get,
    path = "/v1/stitches",
    operation_id = "list_stitches",
    tag = "tables",
    summary = "The stitch dictionary, each entry with its sources",
    params(
        ("kind" = Option<crate::api::stitches::StitchKindName>, Query, description = "Only stitches of this kind"),
        ("name" = Option<String>, Query, description = "Only what is called this: a term, an abbreviation, or the lasting name", example = json!("htr")),
        ("terms" = Option<crate::api::verification_request::TermsName>, Query, description = "Whose name that is; either's unless given"),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "The entries",
            headers(
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "How long it may be kept"),
                ("Vary" = String, description = "`accept`")
            ),
            content(
                (StitchList = "application/json", example = json!(StitchList::of(called("htr")))),
                (String = "text/csv", example = json!(table::csv(COLUMNS, called("htr"))))
            )
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::TableRefusals
    )
)]
pub async fn list(uri: Uri, headers: HeaderMap) -> Result<Response, Problem> {
    let representation = table::representation(&headers)?;
    let wanted = Wanted::read(uri.query().unwrap_or_default())?;
    let entries: Vec<&Stitch> = stitches().iter().filter(|entry| wanted.is(entry)).collect();
    let json = || StitchList::of(entries.iter().copied());
    table::answer(&headers, representation, json, || table::csv(COLUMNS, entries.iter().copied()))
}

#[derive(Default)]
struct Wanted {
    kind: Option<StitchKind>,
    name: Option<String>,
    terms: Option<Vocabulary>,
}

impl Wanted {
    fn read(query: &str) -> Result<Self, Problem> {
        let mut errors = Vec::new();
        let [kind, name, terms] = table::parameters(query, ["kind", "name", "terms"], &mut errors);
        let mut or_error = |name: &str, detail: String| errors.push(RequestError::parameter(name, detail));
        let kind =
            kind.and_then(|given| fields::chosen(&given, &KINDS).map_err(|detail| or_error("kind", detail)).ok());
        let chosen = terms
            .as_ref()
            .and_then(|given| fields::chosen(given, &TERMS).map_err(|detail| or_error("terms", detail)).ok());
        if terms.is_some() && name.is_none() {
            or_error("terms", "says whose name is meant, and no name is given; add name, or leave it out".to_owned());
        }
        let name = name.and_then(|given| super::yarn_weights::words("name", given, &mut errors));
        if errors.is_empty() { Ok(Self { kind, name, terms: chosen }) } else { Err(Problem::invalid(errors)) }
    }

    fn is(&self, entry: &Stitch) -> bool {
        let of = |vocabulary: Vocabulary, name: &str| {
            let names = vocabulary(entry);
            names.term == name || names.abbreviations.contains(&name)
        };
        self.kind.is_none_or(|kind| entry.kind == kind)
            && self.name.as_deref().is_none_or(|name| {
                let decrease = of_any_number(name);
                let called = |vocabulary| of(vocabulary, name) || of(vocabulary, &decrease);
                entry.name == name || self.terms.map_or_else(|| TERMS.iter().any(|(_, terms)| called(*terms)), called)
            })
    }
}

/// A decrease as the dictionary has it, without its number: `sctog` for `sc3tog`.
fn of_any_number(name: &str) -> String {
    match name.split_once("tog") {
        Some((stitch, rest)) => format!("{}tog{rest}", stitch.trim_end_matches(|c: char| c.is_ascii_digit())),
        None => name.to_owned(),
    }
}

/// What anybody calls so, for the document.
fn called(name: &str) -> Vec<&'static Stitch> {
    let wanted = Wanted { name: Some(name.to_owned()), ..Wanted::default() };
    stitches().iter().filter(|entry| wanted.is(entry)).collect()
}

fn whole(figure: Option<u32>) -> Cell {
    Cell::Figure(figure.map(f64::from))
}

const COLUMNS: &[Column<Stitch>] = &[
    ("name", |entry| entry.name.into()),
    ("kind", |entry| kind_of(entry).into()),
    ("us_term", |entry| entry.us.term.into()),
    ("us_abbreviations", |entry| entry.us.abbreviations.join("; ").into()),
    ("uk_term", |entry| entry.uk.term.into()),
    ("uk_abbreviations", |entry| entry.uk.abbreviations.join("; ").into()),
    ("consumed", |entry| whole(entry.consumed)),
    ("produced", |entry| whole(entry.produced)),
    ("turning_chain", |entry| whole(entry.turning_chain)),
    ("turning_chain_counts", |entry| entry.turning_chain_counts.map_or("", counts).into()),
    ("first_chain", |entry| whole(entry.first_chain)),
    ("height_in_chains", |entry| whole(entry.height_in_chains)),
    ("height", |entry| Cell::Figure(entry.height)),
    ("symbol", |entry| entry.symbol.unwrap_or_default().into()),
    ("base", |entry| entry.base.map_or("", |base| stitch(base).name).into()),
    ("yarn_ratio", |entry| Cell::Figure(Some(yarn_use(entry.id).ratio))),
    ("yarn_spread", |entry| Cell::Figure(Some(yarn_use(entry.id).spread))),
    ("remark", |entry| entry.note.into()),
    ("source_ids", |entry| entry.source.into()),
    ("sources", |entry| rests_on(entry.source).in_words().into()),
];
