//! JUnit XML, which most machines that build and test show as a list of what passed and what did not. Nobody has made a
//! standard of it; this is what the schema of Jenkins' xUnit plugin has, and totals of the root, which it may lack, are left
//! out, since they would have to stand before the first text.
//!
//! A text is a suite and a row a case of it. What is about no row is a case by the name of its rule.

mod cases;

use std::io::{self, Write};

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

use super::{Checked, Failed, Report};
use cases::{Case, Outcome, cases};

/// The media type that is registered for XML of any kind.
pub const XML: &str = "application/xml";
/// The media type by which some programs ask for JUnit XML; it is not registered.
pub const JUNIT_XML: &str = "application/junit+xml";

/// The report of one text.
///
/// # Errors
/// None that a text could bring about: there is nothing to fail in memory.
pub fn of_one(one: &Checked<'_>) -> io::Result<Vec<u8>> {
    let mut out = Vec::new();
    let mut report = JUnit::new(&mut out)?;
    report.checked(one)?;
    report.finish()?;
    Ok(out)
}

/// A JUnit report; of each text its suite is made and written.
pub struct JUnit<W> {
    out: Writer<W>,
}

impl<W> std::fmt::Debug for JUnit<W> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("JUnit").finish_non_exhaustive()
    }
}

impl<W: Write> JUnit<W> {
    /// Begins a report.
    ///
    /// # Errors
    /// Where the output cannot be written.
    pub fn new(out: W) -> io::Result<Self> {
        let mut out = Writer::new_with_indent(out, b' ', 2);
        out.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
        out.write_event(Event::Start(BytesStart::new("testsuites").with_attributes([("name", "evenround")])))?;
        Ok(Self { out })
    }

    fn suite(&mut self, name: &str, cases: &[Case]) -> io::Result<()> {
        let name = allowed(name);
        let count = |kind: fn(&Outcome) -> bool| cases.iter().filter(|case| kind(&case.outcome)).count().to_string();
        self.out
            .create_element("testsuite")
            .with_attribute(("name", &*name))
            .with_attribute(("file", &*name))
            .with_attribute(("tests", &*cases.len().to_string()))
            .with_attribute(("failures", &*count(|outcome| matches!(outcome, Outcome::Failure(_)))))
            .with_attribute(("errors", &*count(|outcome| matches!(outcome, Outcome::Error(_)))))
            .with_attribute(("skipped", &*count(|outcome| matches!(outcome, Outcome::Skipped(_)))))
            .write_inner_content(|out| cases.iter().try_for_each(|one| case(out, &name, one)))?;
        Ok(())
    }
}

impl<W: Write> Report for JUnit<W> {
    fn checked(&mut self, one: &Checked<'_>) -> io::Result<()> {
        self.suite(one.name, &cases(one))
    }

    fn failed(&mut self, one: &Failed<'_>) -> io::Result<()> {
        self.suite(one.name, &[Case::not_verified(one.why)])
    }

    fn finish(&mut self) -> io::Result<()> {
        self.out.write_event(Event::End(BytesEnd::new("testsuites")))?;
        let out = self.out.get_mut();
        out.write_all(b"\n")?;
        out.flush()
    }
}

fn case<W: Write>(out: &mut Writer<W>, suite: &str, case: &Case) -> io::Result<()> {
    // Viewers take what is before the last point for a package, so that an ending would become a class.
    let file = suite.rsplit_once('.').filter(|(stem, _)| !stem.is_empty() && !stem.ends_with('/'));
    let mut class = file.map_or(suite, |(stem, _)| stem).to_owned();
    if !case.piece.is_empty() {
        class = format!("{class}.{}", allowed(&case.piece));
    }
    let element = out
        .create_element("testcase")
        .with_attribute(("classname", &*class))
        .with_attribute(("name", &*allowed(&case.name)));
    let (tag, outcome) = match &case.outcome {
        Outcome::Passed if case.remarks.is_empty() => {
            element.write_empty()?;
            return Ok(());
        }
        Outcome::Passed => ("", None),
        Outcome::Failure(why) => ("failure", Some(why)),
        Outcome::Error(why) => ("error", Some(why)),
        Outcome::Skipped(why) => ("skipped", Some(why)),
    };
    element.write_inner_content(|out| {
        if let Some(why) = outcome {
            let element = out
                .create_element(tag)
                .with_attribute(("type", why.kind))
                .with_attribute(("message", &*allowed(&why.message)));
            if why.details.is_empty() {
                element.write_empty()?;
            } else {
                element.write_text_content(BytesText::new(&allowed(&why.details)))?;
            }
        }
        if !case.remarks.is_empty() {
            out.create_element("system-out").write_text_content(BytesText::new(&allowed(&case.remarks)))?;
        }
        Ok(())
    })?;
    Ok(())
}

/// The text with a mark in place of what XML 1.0 has no way to write.
fn allowed(text: &str) -> String {
    let forbidden = |c: char| (c < ' ' && !matches!(c, '\t' | '\n' | '\r')) || matches!(c, '\u{fffe}' | '\u{ffff}');
    text.replace(forbidden, "\u{fffd}")
}
