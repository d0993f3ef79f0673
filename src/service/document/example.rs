//! The examples of a verification. Their answers are worked here and now.

use evenround_calc::verify::{self, verify};
use serde_json::Value;

use crate::api::gauge::{Gauge, Measurement, Measurements};
use crate::api::own_stitch::OwnStitchRequest;
use crate::api::verification::Verification;
use crate::api::verification_request::{
    Asked, Conventions, MarkupName, TermsName, TurningChainName, VerificationRequest,
};
use crate::demo;
use crate::quantity::LengthQuantity;
use crate::report::{self, Checked};

/// A pattern of which the document shows the answer.
pub struct Example {
    /// The written pattern.
    pub pattern: &'static str,
    settled: fn(&mut VerificationRequest<'static>),
}

/// It holds.
pub const HOLDS: Example = Example { pattern: demo::HOLDS, settled: |_| {} };
/// It has a fault.
pub const FAULTY: Example = Example {
    pattern: demo::FAULTY,
    settled: |request| request.sizes = Some(vec!["Toddler", "Child", "Adult S", "Adult M", "Adult L"]),
};
/// It leaves open what the request settles.
pub const SETTLED: Example = Example {
    pattern: "GLASSWORT DISHCLOTH\n\nCh 22.\nRow 1: Hdc in 3rd ch from hook and in each ch across, turn. (20)\n\
              Row 2: Ch 2, hdc in first st, *pebble in next st, hdc in next st; rep from * to last st, hdc in last st. (20)\n",
    settled: |request| {
        request.stitches = &[OwnStitchRequest { name: "pebble", places: 1, makes: 1, chains: None }];
        request.conventions = Some(Conventions {
            turning_chain: Some(TurningChainName::DoesNotCount),
            skipped_chains: Some(TurningChainName::DoesNotCount),
            ..Conventions::default()
        });
        let inches = |inches| LengthQuantity { inches: Some(inches), ..LengthQuantity::default() };
        request.gauge = Some(Gauge { stitch: Some("hdc"), stitches: 10.0, rows: None, over: inches(4.0) });
        request.measurements =
            Some(Measurements { width: Some(Measurement::One(inches(8.0))), ..Measurements::default() });
        request.structure = Some(true);
    },
};

/// It is a post of a blog.
pub const POST: Example = Example {
    pattern: "---\ntitle: Curlew Coaster\n---\n\n## Coaster\n\n**Rnd 1:** 6 sc in magic ring. (6)\n\n\
              **Rnd 2:** *2 sc in next st* around. (12)\n\n**Rnd 3:** *sc in next st, 2 sc in next st* around. (20)\n",
    settled: |request| request.markup = Some(MarkupName::Markdown),
};
/// The same as a page.
pub const PAGE: &str = "<h2>Coaster</h2>\n<p><strong>Rnd 1:</strong> 6 sc in magic ring. (6)<br />\n\
    <strong>Rnd 2:</strong>&nbsp;*2 sc in next st* around. (12)<br />\n\
    <strong>Rnd 3:</strong> *sc in next st, 2 sc in next st* around. (20)</p>\n";

impl Example {
    /// The body that asks for it.
    pub fn request(&self) -> Value {
        let mut request = VerificationRequest { pattern: self.pattern, ..VerificationRequest::default() };
        request.terms = Some(TermsName::Us);
        (self.settled)(&mut request);
        serde_json::to_value(request).expect("a request is plain data")
    }

    /// The answer as JSON.
    pub fn answer(&self) -> Value {
        let asked = Asked::from_json(&self.request().to_string(), "").expect("the example is a request");
        let worked = asked.verify().expect("the request fits its pattern");
        serde_json::to_value(Verification::from(&worked)).expect("an answer is plain data")
    }

    /// The answer to the bare text, as a report.
    pub fn report(&self) -> String {
        report::text::render(self.pattern, "pattern", &self.bare())
    }

    /// The same as a SARIF log.
    pub fn sarif(&self) -> Value {
        let log = report::sarif::of_one(&self.checked(&self.bare()), None).expect("memory takes what is written");
        serde_json::from_slice(&log).expect("a log is JSON")
    }

    /// The same as JUnit XML.
    pub fn junit(&self) -> String {
        let suites = report::junit::of_one(&self.checked(&self.bare())).expect("memory takes what is written");
        String::from_utf8(suites).expect("what is written is UTF-8")
    }

    fn bare(&self) -> verify::Verification {
        verify(&verify::Request::of(self.pattern)).expect("a bare text settles nothing that could not fit")
    }

    fn checked<'a>(&'a self, verification: &'a verify::Verification) -> Checked<'a> {
        Checked { name: "pattern", text: self.pattern, verification, accepted: &[] }
    }
}
