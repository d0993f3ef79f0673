//! The rules as the standard describes them (§3.49): names, what they mean and what to do, all from the rules' own pages.

use evenround_calc::verify::Rule;
use evenround_calc::verify::rules::{self, Page};
use serde::Serialize;

use super::message::Message;
use crate::api::rules::link;

/// One rule.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Descriptor {
    id: &'static str,
    name: String,
    short_description: Message<'static>,
    full_description: Message<'static>,
    help: Message<'static>,
    /// Only where the service's address is known: a path alone is no URI.
    #[serde(skip_serializing_if = "Option::is_none")]
    help_uri: Option<String>,
    default_configuration: Configuration,
}

#[derive(Debug, Serialize)]
struct Configuration {
    level: &'static str,
}

impl Descriptor {
    /// A rule, and its page on the service of that address.
    pub(super) fn of(rule: Rule, home: Option<&str>) -> Self {
        let page = rules::page(rule);
        Self {
            id: rule.name(),
            name: readable(rule.name()),
            short_description: Message::plain(page.summary),
            full_description: Message::plain(format!("{} {}", page.summary, page.why)),
            help: Message::with_markdown(help(page), help_in_markdown(page)),
            help_uri: home.map(|home| format!("{home}{}", link(rule))),
            default_configuration: Configuration { level: rule.severity().code() },
        }
    }
}

/// Where a rule stands in [`Rule::ALL`], and so among the descriptors.
pub(super) fn index_of(rule: Rule) -> Option<usize> {
    Rule::ALL.iter().position(|one| *one == rule)
}

/// `count-mismatch` as `CountMismatch`. What is one word gets a second: a name has to be another than the id, whose letters
/// may be of either case.
fn readable(id: &str) -> String {
    let capitalized = |word: &str| {
        let mut letters = word.chars();
        letters.next().map(|first| first.to_ascii_uppercase()).into_iter().chain(letters).collect::<String>()
    };
    let name: String = id.split('-').map(capitalized).collect();
    if name.eq_ignore_ascii_case(id) { format!("{name}Finding") } else { name }
}

fn help(page: &Page) -> String {
    format!(
        "{}\n\n{}\n\n{}\n\n{}\n\nThis draws it:\n\n{}\nThis does not: {}\n\n{}\nThe first one mended:\n\n{}",
        page.summary,
        page.why,
        page.working,
        page.remedy,
        page.fails,
        page.near_miss_because,
        page.near_miss,
        page.repaired
    )
}

fn help_in_markdown(page: &Page) -> String {
    format!(
        "{}\n\n**Why it matters.** {}\n\n**How to read the working.** {}\n\n**What to do.** {}\n\nThis draws it:\n\n\
         ```text\n{}```\n\nThis does not: {}\n\n```text\n{}```\n\nThe first one mended:\n\n```text\n{}```\n",
        page.summary,
        page.why,
        page.working,
        page.remedy,
        page.fails,
        page.near_miss_because,
        page.near_miss,
        page.repaired
    )
}
