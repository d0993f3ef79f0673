//! What differs between two OpenAPI documents for those who write programs against them: everything but wording and examples.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Map, Value, json};

/// Words for people, and what is made from them.
const WORDS: [&str; 6] = ["description", "summary", "title", "example", "examples", "tags"];
const LOWER: [&str; 5] = ["minimum", "exclusiveMinimum", "minLength", "minItems", "minProperties"];
const UPPER: [&str; 5] = ["maximum", "exclusiveMaximum", "maxLength", "maxItems", "maxProperties"];
/// What says how a value is written.
const MANNER: [&str; 4] = ["format", "pattern", "propertyNames", "uniqueItems"];

/// Who writes what a schema describes: what may only grow for one may only shrink for the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Side {
    /// Those who ask.
    Asked,
    /// The service.
    Answered,
}

/// The document without words and examples.
pub fn wordless(value: &Value) -> Value {
    match value {
        Value::Object(map) => {
            let kept = map.iter().filter(|(key, value)| !is_words(key, value));
            Value::Object(kept.map(|(key, value)| (key.clone(), named_or_wordless(key, value))).collect())
        }
        Value::Array(list) => Value::Array(list.iter().map(wordless).collect()),
        other => other.clone(),
    }
}

/// A field may be called `description`; so within `properties` names are names.
fn named_or_wordless(key: &str, value: &Value) -> Value {
    match (key, value) {
        ("properties" | "schemas" | "headers" | "content", Value::Object(map)) => {
            Value::Object(map.iter().map(|(name, value)| (name.clone(), wordless(value))).collect())
        }
        _ => wordless(value),
    }
}

fn is_words(key: &str, value: &Value) -> bool {
    WORDS.contains(&key) && !(key == "title" && value.is_object())
}

/// Every difference by its name, with the reason where it breaks programs that are written.
pub fn changes(old: &Value, new: &Value) -> BTreeMap<String, Option<String>> {
    let (old, new) = (wordless(old), wordless(new));
    let mut comparison = Comparison { old: &old, new: &new, found: BTreeMap::new(), seen: BTreeSet::new() };
    let (before, after) = (operations(&old), operations(&new));
    for (name, operation) in &before {
        match after.get(name) {
            Some(now) => comparison.operation(name, operation, now),
            None => comparison.note(name, Some("it is gone")),
        }
    }
    for name in after.keys().filter(|name| !before.contains_key(*name)) {
        comparison.note(name, None);
    }
    comparison.found
}

/// Every operation by its method and path.
pub fn operations(document: &Value) -> BTreeMap<String, Value> {
    let mut all = BTreeMap::new();
    for (path, item) in map(&document["paths"]) {
        for (method, operation) in map(&item) {
            all.insert(format!("{} {path}", method.to_uppercase()), operation);
        }
    }
    all
}

fn map(value: &Value) -> Map<String, Value> {
    value.as_object().cloned().unwrap_or_default()
}

fn texts(value: &Value) -> BTreeSet<String> {
    value.as_array().into_iter().flatten().filter_map(Value::as_str).map(str::to_owned).collect()
}

struct Comparison<'a> {
    old: &'a Value,
    new: &'a Value,
    found: BTreeMap<String, Option<String>>,
    /// Schemas that are being compared or have been; they may contain themselves.
    seen: BTreeSet<(String, String, Side)>,
}

impl Comparison<'_> {
    fn note(&mut self, what: &str, breaks: Option<&str>) {
        let known = self.found.entry(what.to_owned()).or_default();
        if known.is_none() {
            *known = breaks.map(str::to_owned);
        }
    }

    fn operation(&mut self, name: &str, old: &Value, new: &Value) {
        self.parameters(name, &old["parameters"], &new["parameters"]);
        self.body(name, &old["requestBody"], &new["requestBody"]);
        let (before, after) = (map(&old["responses"]), map(&new["responses"]));
        for (status, answer) in &before {
            let what = format!("{name} {status}");
            match after.get(status) {
                Some(now) => self.answer(&what, answer, now),
                None => self.note(&what, Some("this answer is gone")),
            }
        }
        for status in after.keys().filter(|status| !before.contains_key(*status)) {
            self.note(&format!("{name} {status}"), None);
        }
        if old["operationId"] != new["operationId"] {
            self.note(name, Some("made clients call it by its operationId"));
        }
        let rest = |operation: &Value| {
            let mut rest = map(operation);
            rest.retain(|key, _| !["parameters", "requestBody", "responses", "operationId"].contains(&key.as_str()));
            rest
        };
        let (old, new) = (rest(old), rest(new));
        for key in differing(&old, &new) {
            let breaks = (key != "deprecated").then(|| format!("its {key} is another one"));
            self.note(name, breaks.as_deref());
        }
    }

    fn parameters(&mut self, name: &str, old: &Value, new: &Value) {
        let by_name = |list: &Value| -> BTreeMap<String, Value> {
            let parameters = list.as_array().into_iter().flatten();
            parameters.map(|one| (parameter(name, one), one.clone())).collect()
        };
        let (before, after) = (by_name(old), by_name(new));
        let required = |one: &Value| one["required"] == true;
        for (what, one) in &before {
            let Some(now) = after.get(what) else {
                self.note(what, Some("it is no longer taken"));
                continue;
            };
            if required(one) != required(now) {
                self.note(what, required(now).then_some("it must be given now"));
            }
            for key in ["style", "explode"].into_iter().filter(|key| one[*key] != now[*key]) {
                self.note(what, Some(&format!("its {key} is another one")));
            }
            self.schema(Side::Asked, what, &one["schema"], &now["schema"]);
        }
        for (what, now) in after.iter().filter(|(what, _)| !before.contains_key(*what)) {
            self.note(what, required(now).then_some("it must be given"));
        }
    }

    fn body(&mut self, name: &str, old: &Value, new: &Value) {
        let what = format!("{name} body");
        let required = |body: &Value| body["required"] == true;
        if old.is_null() != new.is_null() {
            let breaks = if new.is_null() { Some("it is no longer taken") } else { None };
            self.note(&what, breaks.or(required(new).then_some("it must be sent")));
        } else {
            if required(old) != required(new) {
                self.note(&what, required(new).then_some("it must be sent now"));
            }
            self.contents(Side::Asked, &what, &old["content"], &new["content"]);
        }
    }

    fn answer(&mut self, what: &str, old: &Value, new: &Value) {
        self.contents(Side::Answered, what, &old["content"], &new["content"]);
        let (before, after) = (map(&old["headers"]), map(&new["headers"]));
        for (header, one) in &before {
            let what = format!("{what} {header}");
            match after.get(header) {
                Some(now) => self.schema(Side::Answered, &what, &one["schema"], &now["schema"]),
                None => self.note(&what, Some("this header is gone")),
            }
        }
        for header in after.keys().filter(|header| !before.contains_key(*header)) {
            self.note(&format!("{what} {header}"), None);
        }
    }

    fn contents(&mut self, side: Side, what: &str, old: &Value, new: &Value) {
        let (before, after) = (map(old), map(new));
        for (media_type, one) in &before {
            let what = format!("{what} {media_type}");
            match after.get(media_type) {
                Some(now) => self.schema(side, &what, &one["schema"], &now["schema"]),
                None => self.note(&what, Some("this form is gone")),
            }
        }
        for media_type in after.keys().filter(|media_type| !before.contains_key(*media_type)) {
            self.note(&format!("{what} {media_type}"), None);
        }
    }

    fn schema(&mut self, side: Side, what: &str, old: &Value, new: &Value) {
        let mut what = what.to_owned();
        if let (Some(before), Some(after)) = (old["$ref"].as_str(), new["$ref"].as_str()) {
            if !self.seen.insert((before.to_owned(), after.to_owned(), side)) {
                return;
            }
            what = after.rsplit('/').next().unwrap_or(after).to_owned();
        }
        let (before, after) = (flat(self.old, old), flat(self.new, new));
        let (some, others) = (variants(&before), variants(&after));
        if some.is_some() || others.is_some() {
            let alone = |schema: &Value| vec![schema.clone()];
            // One that is named stays named here, to be known again.
            self.variants(side, &what, some.unwrap_or_else(|| alone(old)), others.unwrap_or_else(|| alone(new)));
        } else {
            self.plain(side, &what, &before, &after);
        }
    }

    /// What may be one of several: those that are written alike belong together, then one by one in their order.
    fn variants(&mut self, side: Side, what: &str, mut old: Vec<Value>, mut new: Vec<Value>) {
        let mut pairs = Vec::new();
        old.retain(|one| match new.iter().position(|other| other == one) {
            Some(at) => {
                pairs.push((one.clone(), new.remove(at)));
                false
            }
            None => true,
        });
        let both = old.len().min(new.len());
        pairs.extend(old.drain(..both).zip(new.drain(..both)));
        for (one, other) in pairs {
            self.schema(side, what, &one, &other);
        }
        if !old.is_empty() {
            self.note(what, (side == Side::Asked).then_some("one of its forms is no longer taken"));
        }
        if !new.is_empty() {
            self.note(what, (side == Side::Answered).then_some("it may have a form that it had not"));
        }
    }

    fn plain(&mut self, side: Side, what: &str, old: &Map<String, Value>, new: &Map<String, Value>) {
        let null = Value::Null;
        let of = |schema: &Map<String, Value>, key: &str| schema.get(key).unwrap_or(&null).clone();

        let (before, after) = (types(&of(old, "type")), types(&of(new, "type")));
        self.sets(side, what, &before, &after, "its type");
        self.values(side, what, &of(old, "enum"), &of(new, "enum"));
        self.properties(side, what, old, new);
        for key in ["items", "additionalProperties"] {
            let what = format!("{what}[]");
            match (of(old, key), of(new, key)) {
                (before, after) if before == after => {
                    // A name may stand for something else now.
                    if before.is_object() {
                        self.schema(side, &what, &before, &after);
                    }
                }
                (before @ Value::Object(_), after @ Value::Object(_)) => self.schema(side, &what, &before, &after),
                (before, after) => {
                    let tighter = !open(&after) && open(&before);
                    let looser = open(&after) && !open(&before);
                    // More than is promised may always be answered.
                    let breaks = tighter && side == Side::Asked || looser && side == Side::Answered && key == "items";
                    self.note(&what, breaks.then_some("what it may hold is another thing"));
                }
            }
        }
        for (keys, upper) in [(LOWER, false), (UPPER, true)] {
            for key in keys {
                let bound = |schema: &Map<String, Value>| schema.get(key).and_then(Value::as_f64);
                let (before, after) = (bound(old), bound(new));
                if before != after {
                    let tighter = match (before, after) {
                        (Some(before), Some(after)) => (after < before) == upper,
                        (before, _) => before.is_none(),
                    };
                    let breaks = tighter == (side == Side::Asked);
                    self.note(what, breaks.then_some(&*format!("its {key} is another one")));
                }
            }
        }
        for key in MANNER {
            let (before, after) = (of(old, key), of(new, key));
            if before != after {
                let fine = if side == Side::Asked { after.is_null() } else { before.is_null() };
                self.note(what, (!fine).then_some(&*format!("its {key} is another one")));
            }
        }
        let compared = ["type", "enum", "properties", "required", "items", "additionalProperties"];
        for key in differing(old, new) {
            if key == "deprecated" {
                self.note(what, None);
            } else if ![&compared[..], &LOWER, &UPPER, &MANNER].concat().contains(&&*key) {
                self.note(what, Some(&format!("its {key} is another one")));
            }
        }
    }

    /// Sets of what is possible, where everything is if nothing is said.
    fn sets(
        &mut self,
        side: Side,
        what: &str,
        old: &Option<BTreeSet<String>>,
        new: &Option<BTreeSet<String>>,
        of: &str,
    ) {
        let within = |inner: &Option<BTreeSet<String>>, outer: &Option<BTreeSet<String>>| match (inner, outer) {
            (_, None) => true,
            (None, Some(_)) => false,
            (Some(inner), Some(outer)) => inner.is_subset(outer),
        };
        if old != new {
            let fine = if side == Side::Asked { within(old, new) } else { within(new, old) };
            self.note(what, (!fine).then_some(&*format!("{of} is another one")));
        }
    }

    /// Values one by one; an answer may get new ones, which are announced.
    fn values(&mut self, side: Side, what: &str, old: &Value, new: &Value) {
        match (old.as_array(), new.as_array()) {
            (Some(before), Some(after)) => {
                for value in before.iter().filter(|value| !after.contains(value)) {
                    self.note(&format!("{what} = {}", shown(value)), Some("this value is gone"));
                }
                for value in after.iter().filter(|value| !before.contains(value)) {
                    self.note(&format!("{what} = {}", shown(value)), None);
                }
            }
            (None, None) => {}
            (before, _) => {
                let breaks = before.is_none() == (side == Side::Asked);
                self.note(what, breaks.then_some("which values there are is settled otherwise"));
            }
        }
    }

    fn properties(&mut self, side: Side, what: &str, old: &Map<String, Value>, new: &Map<String, Value>) {
        let of = |schema: &Map<String, Value>, key: &str| schema.get(key).cloned().unwrap_or_default();
        let (before, after) = (map(&of(old, "properties")), map(&of(new, "properties")));
        let (had_to, have_to) = (texts(&of(old, "required")), texts(&of(new, "required")));
        for (name, one) in &before {
            let what = format!("{what}.{name}");
            let Some(now) = after.get(name) else {
                self.note(&what, Some("this field is gone"));
                continue;
            };
            match (had_to.contains(name), have_to.contains(name)) {
                (false, true) => self.note(&what, (side == Side::Asked).then_some("it must be given now")),
                (true, false) => self.note(&what, (side == Side::Answered).then_some("it may be missing now")),
                _ => {}
            }
            self.schema(side, &what, one, now);
        }
        for name in after.keys().filter(|name| !before.contains_key(*name)) {
            let breaks = side == Side::Asked && have_to.contains(name);
            self.note(&format!("{what}.{name}"), breaks.then_some("it must be given"));
        }
    }
}

/// `GET /v1/yarns?limit`, or with the name behind it for what is not in the query.
fn parameter(operation: &str, one: &Value) -> String {
    let name = one["name"].as_str().unwrap_or_default();
    if one["in"] == "query" { format!("{operation}?{name}") } else { format!("{operation} {name}") }
}

/// A schema that a name stands for, and parts that belong together as one.
fn flat(document: &Value, schema: &Value) -> Map<String, Value> {
    let mut all = map(schema);
    if let Some(name) = all.remove("$ref") {
        let pointer = name.as_str().and_then(|name| name.strip_prefix('#')).unwrap_or_default();
        for (key, value) in flat(document, document.pointer(pointer).unwrap_or(&Value::Null)) {
            all.entry(key).or_insert(value);
        }
    }
    for part in all.remove("allOf").and_then(|parts| parts.as_array().cloned()).unwrap_or_default() {
        for (key, value) in flat(document, &part) {
            match (all.get_mut(&key), value) {
                (Some(Value::Object(into)), Value::Object(more)) => into.extend(more),
                (Some(Value::Array(into)), Value::Array(more)) if key == "required" => into.extend(more),
                (_, value) => {
                    all.insert(key, value);
                }
            }
        }
    }
    if let Some(value) = all.remove("const") {
        all.insert("enum".to_owned(), json!([value]));
    }
    all
}

fn variants(schema: &Map<String, Value>) -> Option<Vec<Value>> {
    schema.get("oneOf").or_else(|| schema.get("anyOf")).and_then(Value::as_array).cloned()
}

/// The types that a value may have; a number may be a whole one.
fn types(value: &Value) -> Option<BTreeSet<String>> {
    let mut all = match value {
        Value::Null => return None,
        Value::String(one) => BTreeSet::from([one.clone()]),
        several => texts(several),
    };
    if all.contains("number") {
        all.insert("integer".to_owned());
    }
    Some(all)
}

/// Whether anything may be there: where nothing is said, or yes.
fn open(value: &Value) -> bool {
    value.is_null() || value == true || value.as_object().is_some_and(Map::is_empty)
}

fn shown(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

fn differing(old: &Map<String, Value>, new: &Map<String, Value>) -> BTreeSet<String> {
    old.keys().chain(new.keys()).filter(|key| old.get(*key) != new.get(*key)).cloned().collect()
}
