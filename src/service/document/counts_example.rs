//! The example of counts.

use super::design_example::{ID, SLUG, longer_coaster};
use crate::api::counts::CountsAnswer;
use crate::api::designs::read;
use crate::shown::text;
use crate::store::designs::{PublishedDesign, Revision};

/// The counts of the coaster as a text.
pub fn text() -> String {
    let draft = read(&longer_coaster().to_string(), Vec::new()).expect("the example is a design");
    let at = "2026-03-02T07:30:00.000Z";
    let published = PublishedDesign {
        id: ID.to_owned(),
        slug: SLUG.to_owned(),
        revision: 2,
        title: draft.title.clone(),
        published_at: at.to_owned(),
    };
    let revision = Revision {
        number: 2,
        title: draft.title,
        content: draft.content,
        graded: draft.graded,
        restored_from: None,
        created_at: at.to_owned(),
    };
    text::write(&CountsAnswer::of(&published, &revision).expect("the example is worked"))
}
