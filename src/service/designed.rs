//! A stored design in the place of a pattern: `"design": {"id": …, "revision": …}` in the body of a calculation.
//!
//! The reference is found before the calculation takes its turn ([`named`]); what the design knows is then put into the body
//! where the body says nothing itself ([`Named::filled`]), and the calculation reads it like any other.

use axum::http::{HeaderMap, Uri};
use evenround_calc::verify::{Verification, census};
use serde_json::{Map, Value, json};

use crate::access::{self, Wish};
use crate::api::designs::{ESTIMATED, VERIFIED};
use crate::api::yardage_request;
use crate::api::{reports, verification_request};
use crate::app::App;
use crate::fields::{self, Fields, NumberBounds};
use crate::problem::{Problem, RequestError};
use crate::store::designs::{self, Revision};
use crate::store::reports::{self as stored_reports, StoredReport};

/// What calculates.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// A verification.
    Verification,
    /// A grading.
    Grading,
    /// An estimate of yarn.
    Yardage,
    /// Another gauge.
    Conversion,
    /// More repeats.
    Lengthening,
    /// A measure on the way.
    Checkpoint,
    /// Another yarn.
    Substitution,
}

impl Use {
    /// Whether its answer tells no more of a design than what is published of it.
    const fn is_open(self) -> bool {
        !matches!(self, Self::Verification | Self::Grading)
    }

    /// The fields of a reference beside its id and its revision.
    const fn more(self) -> &'static [&'static str] {
        match self {
            Self::Conversion | Self::Lengthening => &["piece"],
            Self::Checkpoint => &["piece", "size", "row"],
            Self::Substitution => &["colour"],
            Self::Verification | Self::Grading | Self::Yardage => &[],
        }
    }
}

/// The members of a revision, and its pattern.
#[derive(Debug, Clone)]
pub struct Designed {
    members: Vec<(String, Value)>,
}

impl Designed {
    /// Takes a revision apart.
    pub fn of(revision: &Revision) -> Self {
        let mut members = fields::members(&revision.content).unwrap_or_default();
        if let Some(pattern) = &revision.graded {
            members.push(("pattern".to_owned(), Value::from(pattern.clone())));
        }
        Self { members }
    }

    /// One of its members.
    pub fn member(&self, name: &str) -> Option<&Value> {
        self.members.iter().find(|(known, _)| known == name).map(|(_, value)| value)
    }

    /// A JSON object with its pattern and these of its members.
    pub fn body(&self, names: &[&str]) -> String {
        let kept = self.members.iter().filter(|(name, _)| name == "pattern" || names.contains(&name.as_str()));
        fields::object(&kept.cloned().collect::<Vec<_>>())
    }

    /// The verification of its pattern.
    ///
    /// # Errors
    /// Never with what was kept, unless the program reads it otherwise now.
    pub fn verification(&self) -> Result<verification_request::Asked, Problem> {
        verification_request::Asked::from_json(&self.body(VERIFIED), "")
    }

    fn worked(&self) -> Result<Verification, Problem> {
        self.verification()?.judge()
    }
}

/// A reference to a design in a body, with what it refers to.
#[derive(Debug)]
pub struct Named {
    how: Use,
    /// The other members of the body.
    members: Vec<(String, Value)>,
    design: Designed,
    reports: Vec<StoredReport>,
    piece: Option<String>,
    size: Option<String>,
    row: Option<u64>,
    colour: Option<String>,
}

/// The design that a body names, if it names one.
///
/// # Errors
/// Where the reference cannot be read, or refers to nothing that this request may use.
pub async fn named(app: &App, uri: &Uri, headers: &HeaderMap, text: &str, how: Use) -> Result<Option<Named>, Problem> {
    // Most bodies name none, and are not read twice.
    if !text.contains("\"design\"") {
        return Ok(None);
    }
    let Some(mut members) = fields::members(text) else { return Ok(None) };
    let is_reference = |(name, value): &(String, Value)| {
        // A substitution has a field of this name of its own.
        name == "design" && (how != Use::Substitution || value.get("id").is_some())
    };
    let Some(at) = members.iter().position(is_reference) else { return Ok(None) };
    let (_, reference) = members.remove(at);
    let mut errors = Vec::new();
    if members.iter().any(|(name, _)| name == "design") {
        errors.push(RequestError::at("/design", "is given twice; which one is meant?"));
    }
    if members.iter().any(|(name, _)| name == "pattern") {
        errors.push(RequestError::at("/pattern", "stands beside `design`, which has one; give one of them"));
    }
    let Some(mut fields) = Fields::of_value("/design".to_owned(), reference, &mut errors) else {
        return Err(Problem::invalid(errors));
    };
    if !fields.has("id") {
        errors.push(RequestError::at("/design/id", "is missing: give the id of a design"));
    }
    let id = fields.string("id", &mut errors);
    // Whole, and no more than u32::MAX, both.
    let bounds = NumberBounds::WholeFrom(1, u32::MAX);
    let number = fields.number("revision", bounds, &mut errors).map(|number| number as i64);
    let (mut piece, mut size, mut colour, mut row) = (None, None, None, None);
    for name in how.more() {
        match *name {
            "piece" => piece = fields.string("piece", &mut errors),
            "size" => size = fields.string("size", &mut errors),
            "colour" => colour = fields.string("colour", &mut errors),
            _ => row = fields.number("row", bounds, &mut errors).map(|number| number as u64),
        }
    }
    fields.close(&mut errors);
    let Some(id) = id.filter(|_| errors.is_empty()) else { return Err(Problem::invalid(errors)) };
    let (revision, reports) = found(app, uri, headers, &id, number, how).await?;
    let design = Designed::of(&revision);
    Ok(Some(Named { how, members, design, reports, piece, size, row, colour }))
}

/// The revision that is meant, and the reports on its design: the studio's own, or what is published.
async fn found(
    app: &App,
    uri: &Uri,
    headers: &HeaderMap,
    id: &str,
    number: Option<i64>,
    how: Use,
) -> Result<(Revision, Vec<StoredReport>), Problem> {
    let readers = app.store.readers();
    let access = access::studio(app, uri, headers, Wish::Read).await;
    if let Ok(studio) = &access
        && let Some(stored) = designs::get(readers, *studio, id).await?
    {
        let wanted = number.unwrap_or(stored.revision);
        let Some(revision) = designs::revision(readers, *studio, id, wanted).await? else {
            let detail = format!("is no revision of this design; they go from 1 to {}", stored.revision);
            return Err(Problem::invalid(vec![RequestError::at("/design/revision", detail)]));
        };
        let reports = match how {
            Use::Yardage => stored_reports::list(readers, *studio, id, 0, reports::MOST_TAKEN).await?,
            _ => Vec::new(),
        };
        return Ok((revision, reports));
    }
    if how.is_open()
        && let Some(published) = designs::published_content(readers, id).await?
        && number.is_none_or(|number| number == published.number)
    {
        return Ok((published, Vec::new()));
    }
    // Whoever has no studio at all is told so, rather than that there is no such design.
    access?;
    let detail = "is no design of yours; GET /v1/designs lists those that there are";
    Err(Problem::invalid(vec![RequestError::at("/design/id", detail)]))
}

impl Named {
    /// As long as the pattern and the body are, together.
    pub fn size(&self) -> usize {
        self.design.member("pattern").and_then(Value::as_str).map_or(0, str::len)
    }

    /// The body with what the design knows in it.
    ///
    /// # Errors
    /// Where the design does not know what this calculation needs.
    pub fn filled(mut self) -> Result<String, Problem> {
        match self.how {
            Use::Verification => self.take(VERIFIED),
            Use::Yardage => {
                self.take(ESTIMATED);
                self.take_reports();
            }
            Use::Grading => self.take_plan()?,
            Use::Conversion => {
                self.put("pattern_gauge", self.design.member("gauge").cloned());
                let sizes = self.sizes()?.into_iter().map(
                    |size| json!({ "name": size.name, "stitches": size.rows.widest.max(1), "rows": size.rows.len().max(1) }),
                );
                self.put("sizes", Some(Value::Array(sizes.collect())));
            }
            Use::Lengthening => self.take_rows()?,
            Use::Checkpoint => self.take_measure()?,
            Use::Substitution => self.take_yarn()?,
        }
        Ok(fields::object(&self.members))
    }

    /// Puts in what the body does not say itself.
    fn put(&mut self, name: &str, value: Option<Value>) {
        if let Some(value) = value
            && !self.members.iter().any(|(known, _)| known == name)
        {
            self.members.push((name.to_owned(), value));
        }
    }

    fn take(&mut self, names: &[&str]) {
        for name in ["pattern"].iter().chain(names) {
            self.put(name, self.design.member(name).cloned());
        }
    }

    /// Puts what testers used beside the other evidence.
    fn take_reports(&mut self) {
        // A report on an earlier revision may know sizes and colours that there are no more.
        let Some((sizes, colours)) = self.sizes_and_colours() else { return };
        let known = |list: &[String], name: Option<&str>| {
            name.is_none_or(|name| list.len() == 1 || list.iter().any(|known| known.eq_ignore_ascii_case(name.trim())))
        };
        let fits = |evidence: &Value| {
            let text = |value: &Value, name: &str| value.get(name).and_then(Value::as_str).map(str::to_owned);
            let used = evidence.get("used").and_then(Value::as_array).map_or(&[][..], Vec::as_slice);
            known(&sizes, text(evidence, "size").as_deref())
                && used.iter().all(|part| known(&colours, text(part, "colour").as_deref()))
        };
        let used: Vec<Value> = self.reports.iter().filter_map(reports::evidence).filter(fits).collect();
        if used.is_empty() {
            return;
        }
        match self.members.iter_mut().find(|(name, _)| name == "evidence") {
            Some((_, Value::Object(evidence))) => {
                evidence.entry("reports").or_insert(Value::Array(used));
            }
            Some(_) => {}
            None => self.members.push(("evidence".to_owned(), json!({ "reports": used }))),
        }
    }

    fn sizes_and_colours(&self) -> Option<(Vec<String>, Vec<String>)> {
        let asked = self.design.verification().ok()?;
        let census = census(&asked.request()).ok()?;
        Some((census.sizes.iter().map(|size| size.name.clone()).collect(), census.colours))
    }

    fn take_plan(&mut self) -> Result<(), Problem> {
        let Some(Value::Object(plan)) = self.design.member("plan").cloned() else {
            let detail = "is a written pattern; only a design with a `plan` can be graded";
            return Err(Problem::invalid(vec![RequestError::at("/design", detail)]));
        };
        for (name, value) in plan {
            self.put(&name, Some(value));
        }
        self.put("title", self.design.member("title").cloned());
        Ok(())
    }

    /// The rows of one piece in every size.
    fn sizes(&self) -> Result<Vec<SizeRows>, Problem> {
        let worked = self.design.worked()?;
        let piece = match &self.piece {
            None => worked.pieces.first(),
            Some(name) => {
                let found = worked.pieces.iter().find(|piece| piece.name.eq_ignore_ascii_case(name));
                if found.is_none() {
                    let names: Vec<_> = worked.pieces.iter().map(|piece| piece.name.as_str()).collect();
                    let detail = format!("is no piece of this design, which has {}", names.join(", "));
                    return Err(Problem::invalid(vec![RequestError::at("/design/piece", detail)]));
                }
                found
            }
        };
        let rows = piece.map_or(&[][..], |piece| &piece.rows);
        Ok(worked
            .sizes
            .iter()
            .enumerate()
            .map(|(at, name)| SizeRows {
                name: name.clone(),
                rows: rows
                    .iter()
                    .filter_map(|row| {
                        let count = row.counts.get(at)?.as_ref()?;
                        Some((count.number, count.times, count.made))
                    })
                    .fold(Rows::default(), Rows::with),
            })
            .collect())
    }

    fn take_rows(&mut self) -> Result<(), Problem> {
        self.put("gauge", self.design.member("gauge").cloned());
        let sizes = self.sizes()?;
        let rows =
            |name: &str| sizes.iter().find(|size| size.name.eq_ignore_ascii_case(name)).map(|size| size.rows.len());
        match self.members.iter_mut().find(|(name, _)| name == "sizes") {
            Some((_, Value::Array(given))) => {
                for size in given.iter_mut().filter_map(Value::as_object_mut) {
                    let known = size.get("name").and_then(Value::as_str).and_then(rows);
                    if let Some(known) = known {
                        size.entry("rows").or_insert(Value::from(known));
                    }
                }
            }
            Some(_) => {}
            None => {
                let all = sizes.iter().map(|size| json!({ "name": size.name, "rows": size.rows.len() }));
                self.put("sizes", Some(Value::Array(all.collect())));
            }
        }
        Ok(())
    }

    /// What a piece should measure after a row, by the design's gauge.
    fn take_measure(&mut self) -> Result<(), Problem> {
        let mut errors = Vec::new();
        let sizes = self.sizes()?;
        let names: Vec<&str> = sizes.iter().map(|size| size.name.as_str()).collect();
        let size = match &self.size {
            Some(name) => sizes.iter().find(|size| size.name.eq_ignore_ascii_case(name)),
            None => sizes.first().filter(|_| sizes.len() == 1),
        };
        if size.is_none() {
            let detail = format!("has to be one of {}", names.join(", "));
            errors.push(RequestError::at("/design/size", detail));
        }
        if self.row.is_none() {
            errors.push(RequestError::at("/design/row", "is missing: say after which row it is measured"));
        }
        let reached = size.zip(self.row).map(|(size, row)| (size.rows.until(row), size.rows.len()));
        let (Some((Some((rows, made)), _)), true) = (reached, errors.is_empty()) else {
            if let Some((None, last)) = reached {
                let detail = format!("is no row of this piece in this size; it has {last}");
                errors.push(RequestError::at("/design/row", detail));
            }
            return Err(Problem::invalid(errors));
        };
        let how = self.members.iter().find(|(name, _)| name == "measured_as").and_then(|(_, value)| value.as_str());
        let gauge = self.design.member("gauge");
        let of =
            |name: &str| gauge.and_then(|gauge| gauge.get(name)).and_then(Value::as_f64).filter(|count| *count > 0.0);
        let share = match how {
            Some("over-rows") => of("rows").map(|over| rows as f64 / over),
            Some("along-row" | "around") => of("stitches").zip(made).map(|(over, made)| made as f64 / over),
            // A flat piece from its centre outwards.
            Some("across") => of("rows").map(|over| 2.0 * rows as f64 / over),
            _ => None,
        };
        let over = gauge.and_then(|gauge| gauge.get("over")).and_then(Value::as_object);
        let expected = share.zip(over).map(|(share, over)| {
            let scaled = |value: &Value| value.as_f64().map(|value| Value::from(value * share));
            Value::Object(over.iter().filter_map(|(unit, value)| Some((unit.clone(), scaled(value)?))).collect())
        });
        self.put("expected", expected);
        Ok(())
    }

    /// The design's yarn of one colour, and how much each size takes of it.
    fn take_yarn(&mut self) -> Result<(), Problem> {
        let asked = yardage_request::Asked::read(&self.design.body(ESTIMATED))?;
        let worked = asked.answer()?;
        let names: Vec<&str> = worked.colours.iter().map(|colour| colour.0.as_str()).collect();
        let at = match &self.colour {
            None => Some(0).filter(|_| names.len() == 1),
            Some(colour) => names.iter().position(|name| name.eq_ignore_ascii_case(colour)),
        };
        let Some(at) = at else {
            let detail = format!("has to be one of {}", names.join(", "));
            return Err(Problem::invalid(vec![RequestError::at("/design/colour", detail)]));
        };
        let yarns = self.design.member("yarns").and_then(Value::as_array);
        let of_colour = |yarn: &&Value| {
            let colour = yarn.get("colour").and_then(Value::as_str);
            colour.is_none_or(|colour| colour.eq_ignore_ascii_case(names[at]))
        };
        let yarn = yarns.and_then(|yarns| yarns.iter().find(of_colour));
        let mut design = Map::new();
        for name in ["ball", "yarn_weight"] {
            if let Some(value) = yarn.and_then(|yarn| yarn.get(name)) {
                design.insert(name.to_owned(), value.clone());
            }
        }
        let sizes = worked.census.sizes.iter().zip(&worked.estimates.sizes).map(|(size, yarn)| {
            let amount = yarn.colours.get(at);
            let metres = amount.and_then(|colour| colour.amount.length).map(|length| length.value.to_metres());
            let grams = amount.and_then(|colour| colour.amount.weight).map(|weight| weight.value.to_grams());
            let used = match (metres, grams) {
                (Some(metres), _) => json!({ "m": metres }),
                (None, Some(grams)) => json!({ "g": grams }),
                (None, None) => Value::Null,
            };
            json!({ "name": size.name, "yarn": used })
        });
        self.put("sizes", Some(Value::Array(sizes.collect())));
        self.members.push(("design".to_owned(), Value::Object(design)));
        Ok(())
    }
}

/// A piece in one size.
struct SizeRows {
    name: String,
    rows: Rows,
}

/// Rows that are worked one after another.
#[derive(Default)]
struct Rows {
    /// The number of the first row of each run, the rows of it, and the stitches at its end.
    runs: Vec<(u64, u64, Option<u64>)>,
    /// The most stitches that a row comes to.
    widest: u64,
}

impl Rows {
    fn with(mut self, (number, times, made): (Option<u64>, u64, Option<u64>)) -> Self {
        // A foundation has no number and adds no height.
        if let Some(number) = number {
            self.runs.push((number, times, made));
        }
        self.widest = self.widest.max(made.unwrap_or(0));
        self
    }

    /// How many there are.
    fn len(&self) -> u64 {
        self.runs.iter().fold(0, |sum, run| sum.saturating_add(run.1))
    }

    /// How many rows are worked when this one is, and the stitches at its end.
    fn until(&self, row: u64) -> Option<(u64, Option<u64>)> {
        let mut before = 0u64;
        for (first, times, made) in &self.runs {
            if (*first..first.saturating_add(*times)).contains(&row) {
                return Some((before.saturating_add(row - first + 1), *made));
            }
            before = before.saturating_add(*times);
        }
        None
    }
}
