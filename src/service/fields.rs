//! Reading the members of a JSON object by hand, so that everything wrong with a request is said at once, each with its
//! JSON pointer, and unknown members are refused by name. A derived reader stops at the first.

use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde::ser::{Serialize, Serializer};
use serde_json::Value;

use crate::problem::{self, Problem, RequestError};

/// A JSON document whose top level is an object, its members in order and none lost.
struct Members(Vec<(String, Value)>);

impl<'de> Deserialize<'de> for Members {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Collect;
        impl<'de> Visitor<'de> for Collect {
            type Value = Members;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Members, A::Error> {
                let mut members = Vec::new();
                while let Some(member) = map.next_entry()? {
                    members.push(member);
                }
                Ok(Members(members))
            }
        }
        deserializer.deserialize_map(Collect)
    }
}

/// An object with these members, as JSON, in their order.
pub fn object(members: &[(String, Value)]) -> String {
    struct Object<'a>(&'a [(String, Value)]);

    impl Serialize for Object<'_> {
        fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
            serializer.collect_map(self.0.iter().map(|(name, value)| (name, value)))
        }
    }

    // Plain data does not fail to be written.
    serde_json::to_string(&Object(members)).unwrap_or_default()
}

/// The members of a JSON object, in order and none lost; nothing where it is none.
pub fn members(text: &str) -> Option<Vec<(String, Value)>> {
    serde_json::from_str(text).ok().map(|Members(members)| members)
}

/// An object being read. Members that nobody took are refused by [`Fields::close`].
#[derive(Debug)]
pub struct Fields {
    pointer: String,
    members: Vec<(String, Value)>,
    asked: Vec<&'static str>,
}

impl Fields {
    /// The top level of a JSON body with a pattern.
    ///
    /// # Errors
    /// Where it is not JSON, or not an object.
    pub fn of_body(text: &str) -> Result<Self, Problem> {
        Self::of_body_like(text, "{\"pattern\": \"…\"}")
    }

    /// The top level of a JSON body; `such_as` shows what one looks like.
    ///
    /// # Errors
    /// Where it is not JSON, or not an object.
    pub fn of_body_like(text: &str, such_as: &str) -> Result<Self, Problem> {
        match serde_json::from_str(text) {
            Ok(Members(members)) => Ok(Self { pointer: String::new(), members, asked: Vec::new() }),
            Err(error) if error.is_data() => {
                // Valid JSON of another type is a request that does not fit; broken JSON further on is still broken JSON.
                match serde_json::from_str::<serde::de::IgnoredAny>(text) {
                    Ok(_) => Err(Problem::invalid(vec![RequestError::at(
                        "",
                        format!("must be a JSON object such as {such_as}"),
                    )])),
                    Err(error) => Err(malformed(&error)),
                }
            }
            Err(error) => Err(malformed(&error)),
        }
    }

    /// A nested object.
    pub fn of_value(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Option<Self> {
        match value {
            Value::Object(map) => Some(Self { pointer, members: map.into_iter().collect(), asked: Vec::new() }),
            other => {
                errors.push(RequestError::at(pointer, format!("must be an object, not {}", name_of(&other))));
                None
            }
        }
    }

    /// The pointer of this object.
    pub fn own_pointer(&self) -> &str {
        &self.pointer
    }

    /// The pointer of a member of this object.
    pub fn pointer(&self, name: &str) -> String {
        format!("{}/{}", self.pointer, name.replace('~', "~0").replace('/', "~1"))
    }

    /// Whether a member is there.
    pub fn has(&self, name: &str) -> bool {
        self.members.iter().any(|(key, _)| key == name)
    }

    /// Takes a member out. A member that stands twice is an error, and so is `null`.
    pub fn take(&mut self, name: &'static str, errors: &mut Vec<RequestError>) -> Option<Value> {
        self.asked.push(name);
        let first = self.members.iter().position(|(key, _)| key == name)?;
        let (_, value) = self.members.remove(first);
        let before = self.members.len();
        self.members.retain(|(key, _)| key != name);
        if self.members.len() < before {
            errors.push(RequestError::at(self.pointer(name), "is given twice; which one is meant?"));
            return None;
        }
        if value.is_null() {
            errors.push(RequestError::at(self.pointer(name), "must not be null; leave it out instead"));
            return None;
        }
        Some(value)
    }

    /// Takes a string out.
    pub fn string(&mut self, name: &'static str, errors: &mut Vec<RequestError>) -> Option<String> {
        match self.take(name, errors)? {
            Value::String(text) => Some(text),
            other => {
                errors.push(RequestError::at(self.pointer(name), format!("must be a string, not {}", name_of(&other))));
                None
            }
        }
    }

    /// Takes a text of a person's own out, which is kept as it was written.
    pub fn text(&mut self, name: &'static str, bounds: TextBounds, errors: &mut Vec<RequestError>) -> Option<String> {
        let text = self.string(name, errors)?;
        let faults = bounds.faults(&text);
        let sound = faults.is_empty();
        errors.extend(faults.into_iter().map(|detail| RequestError::at(self.pointer(name), detail)));
        sound.then_some(text)
    }

    /// Takes a list of strings out.
    pub fn strings(&mut self, name: &'static str, errors: &mut Vec<RequestError>) -> Option<Vec<String>> {
        let list = match self.take(name, errors)? {
            Value::Array(list) => list,
            other => {
                errors.push(RequestError::at(
                    self.pointer(name),
                    format!("must be a list of strings, not {}", name_of(&other)),
                ));
                return None;
            }
        };
        let before = errors.len();
        let pointer = self.pointer(name);
        let mut strings = Vec::with_capacity(list.len());
        for (i, item) in list.into_iter().enumerate() {
            match item {
                Value::String(text) => strings.push(text),
                other => errors.push(RequestError::at(
                    format!("{pointer}/{i}"),
                    format!("must be a string, not {}", name_of(&other)),
                )),
            }
        }
        // A list of which only a part could be read is no list to judge any further.
        (errors.len() == before).then_some(strings)
    }

    /// Takes a list out.
    pub fn list(&mut self, name: &'static str, errors: &mut Vec<RequestError>) -> Option<Vec<Value>> {
        match self.take(name, errors)? {
            Value::Array(list) => Some(list),
            other => {
                errors.push(RequestError::at(self.pointer(name), format!("must be a list, not {}", name_of(&other))));
                None
            }
        }
    }

    /// Takes `true` or `false` out.
    pub fn flag(&mut self, name: &'static str, errors: &mut Vec<RequestError>) -> Option<bool> {
        match self.take(name, errors)? {
            Value::Bool(flag) => Some(flag),
            other => {
                let detail = format!("must be true or false, not {}", name_of(&other));
                errors.push(RequestError::at(self.pointer(name), detail));
                None
            }
        }
    }

    /// Takes a number out.
    pub fn number(&mut self, name: &'static str, bounds: NumberBounds, errors: &mut Vec<RequestError>) -> Option<f64> {
        let given = self.take(name, errors)?;
        let read = match given.as_f64() {
            Some(number) => bounds.check(number).map(|()| number),
            None => Err(format!("must be a number, not {}", name_of(&given))),
        };
        read.map_err(|detail| errors.push(RequestError::at(self.pointer(name), detail))).ok()
    }

    /// Takes one of a few words out.
    pub fn choice<T: Copy>(
        &mut self,
        name: &'static str,
        choices: &[(&str, T)],
        errors: &mut Vec<RequestError>,
    ) -> Option<T> {
        let given = self.string(name, errors)?;
        chosen(&given, choices).map_err(|detail| errors.push(RequestError::at(self.pointer(name), detail))).ok()
    }

    /// Refuses what nobody took.
    pub fn close(self, errors: &mut Vec<RequestError>) {
        for (name, _) in &self.members {
            let detail = format!("is not a field here; the fields are {}", self.asked.join(", "));
            errors.push(RequestError::at(self.pointer(name), detail));
        }
    }
}

/// What a text has to be.
#[derive(Debug, Clone, Copy)]
pub struct TextBounds {
    /// The most characters.
    pub most: usize,
    /// Whether it may have several lines, and tabs.
    pub lines: bool,
}

impl TextBounds {
    /// Everything that is wrong with a text.
    fn faults(self, text: &str) -> Vec<String> {
        let mut faults = Vec::new();
        if text.trim().is_empty() {
            faults.push("is empty; leave it out, or say something".to_owned());
        }
        let characters = text.chars().count();
        if characters > self.most {
            faults.push(format!("has {characters} characters; at most {} are kept", self.most));
        }
        let wrong = |c: char| c.is_control() && !(self.lines && matches!(c, '\n' | '\r' | '\t'));
        if let Some((at, c)) = text.chars().enumerate().find(|(_, c)| wrong(*c)) {
            let place = at + 1;
            faults.push(match c {
                '\n' | '\r' => format!("has a line break at character {place}; write it in one line"),
                _ => format!(
                    "has the control character U+{:04X} at character {place}, which nobody can see; take it out",
                    u32::from(c)
                ),
            });
        }
        faults
    }
}

/// What a number has to be.
#[derive(Debug, Clone, Copy)]
pub enum NumberBounds {
    /// More than 0, and at most this.
    AboveZero(u32),
    /// Whole, from 0 to this.
    Whole(u32),
    /// Whole, from the first to the second.
    WholeFrom(i32, u32),
    /// From the first to the second, both included.
    Between(i32, u32),
}

impl NumberBounds {
    /// Whether a number is within them.
    ///
    /// # Errors
    /// A sentence that says what it must be.
    pub fn check(self, number: f64) -> Result<(), String> {
        match self {
            Self::AboveZero(most) if number > 0.0 && number <= f64::from(most) => Ok(()),
            Self::AboveZero(most) => Err(format!("must be more than 0 and at most {most}")),
            Self::Whole(most) if (0.0..=f64::from(most)).contains(&number) && number.fract() == 0.0 => Ok(()),
            Self::Whole(most) => Err(format!("must be a whole number from 0 to {most}")),
            Self::WholeFrom(least, most)
                if (f64::from(least)..=f64::from(most)).contains(&number) && number.fract() == 0.0 =>
            {
                Ok(())
            }
            Self::WholeFrom(least, most) => Err(format!("must be a whole number from {least} to {most}")),
            Self::Between(least, most) if (f64::from(least)..=f64::from(most)).contains(&number) => Ok(()),
            Self::Between(least, most) => Err(format!("must be from {least} to {most}")),
        }
    }
}

/// The meaning of one of a few words.
///
/// # Errors
/// A sentence that lists the words.
pub fn chosen<T: Copy>(given: &str, choices: &[(&str, T)]) -> Result<T, String> {
    match choices.iter().find(|(word, _)| *word == given) {
        Some((_, meaning)) => Ok(*meaning),
        None => {
            let words: Vec<String> = choices.iter().map(|(word, _)| format!("{word:?}")).collect();
            Err(format!("must be {}", words.join(" or ")))
        }
    }
}

/// The refusal of something that is not JSON; it names the place.
pub fn malformed(error: &serde_json::Error) -> Problem {
    // The library's own message ends with the place; it is said in full words here.
    let message = error.to_string();
    let message = message.rsplit_once(" at line ").map_or(message.as_str(), |(before, _)| before);
    Problem::new(problem::MALFORMED_JSON, format!("line {}, column {}: {message}", error.line(), error.column()))
}

const fn name_of(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "true or false",
        Value::Number(_) => "a number",
        Value::String(_) => "a string",
        Value::Array(_) => "a list",
        Value::Object(_) => "an object",
    }
}
