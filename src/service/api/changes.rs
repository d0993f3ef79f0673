//! What differs between two revisions of a design.

use evenround_calc::errata::{Affected, Changes, Redefined, RowChange, RowState};
use evenround_calc::verify::Terms;
use serde::Serialize;
use utoipa::ToSchema;

use crate::api::verification_request::TermsName;

/// What differs between two revisions: in rows and counts, size by size, and in words.
#[derive(Debug, Serialize, ToSchema)]
pub struct ChangesAnswer<'a> {
    /// The earlier revision.
    #[schema(minimum = 1)]
    pub from: i64,
    /// The later one.
    #[schema(minimum = 1)]
    pub to: i64,
    /// The vocabularies, where they differ.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub terms: Option<TermsChange>,
    /// Sizes that there were not before.
    pub sizes_added: &'a [String],
    /// Sizes that there are no more.
    pub sizes_removed: &'a [String],
    /// Pieces that there were not before.
    pub pieces_added: &'a [String],
    /// Pieces that there are no more.
    pub pieces_removed: &'a [String],
    /// Stitches whose meaning has changed.
    pub redefined: Vec<RedefinedAnswer<'a>>,
    /// The sizes that both revisions have, with what differs in each.
    pub sizes: Vec<ChangesOfSize<'a>>,
    /// Whether text outside the rows has changed.
    pub other_text: bool,
    /// A note to be pasted, as plain text.
    pub note: String,
    /// The same as Markdown.
    pub note_markdown: String,
    /// Whether a maker who has worked so far has to go back, where that was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub affected: Option<AffectedAnswer<'a>>,
}

/// Another vocabulary.
#[derive(Debug, Serialize, ToSchema)]
pub struct TermsChange {
    /// What it was.
    pub before: TermsName,
    /// What it is.
    pub now: TermsName,
}

/// A stitch whose meaning has changed.
#[derive(Debug, Serialize, ToSchema)]
pub struct RedefinedAnswer<'a> {
    /// Its name.
    pub name: &'a str,
    /// How it was explained.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub before: Option<&'a str>,
    /// How it is explained now.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub now: Option<&'a str>,
}

/// What differs in one size.
#[derive(Debug, Serialize, ToSchema)]
pub struct ChangesOfSize<'a> {
    /// Its name.
    pub size: &'a str,
    /// The rows that differ, in the order in which they are worked.
    pub rows: Vec<RowChangeAnswer<'a>>,
}

/// A row that differs.
#[derive(Debug, Serialize, ToSchema)]
pub struct RowChangeAnswer<'a> {
    /// Its piece; left out where pieces have no names.
    #[serde(skip_serializing_if = "str::is_empty")]
    #[schema(required = false)]
    pub piece: &'a str,
    /// In what way: `work` (something else is worked), `times` (the same, more or fewer times), `added`, `removed`,
    /// `follows` (the same words come to another count because of a row before), `count` (only the printed count was
    /// another), `number`, `wording`, `unread` (it could not be read and its words are others).
    #[schema(value_type = RowChangeName)]
    pub kind: &'static str,
    /// Whether a maker who has worked it has to work it again.
    pub reworked: bool,
    /// As it was; left out for a new row.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub before: Option<RowStateAnswer<'a>>,
    /// As it is; left out for a row that is gone.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub now: Option<RowStateAnswer<'a>>,
    /// The old row after which a new one comes in, or a row is gone.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub after: Option<&'a str>,
    /// The stitches whose new meaning makes the difference.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    #[schema(required = false)]
    pub because: &'a [String],
}

/// In what way a row differs.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum RowChangeName {
    /// Something else is worked.
    Work,
    /// The same, more or fewer times.
    Times,
    /// It is new.
    Added,
    /// It is gone.
    Removed,
    /// The same words come to another count because of a row before.
    Follows,
    /// Only the printed count was another.
    Count,
    /// Only its number is another.
    Number,
    /// The same is worked, said otherwise.
    Wording,
    /// It could not be read, and its words are others.
    Unread,
}

/// A row as one size has it.
#[derive(Debug, Serialize, ToSchema)]
pub struct RowStateAnswer<'a> {
    /// What it is called; empty where it has no name.
    pub label: &'a str,
    /// Its number, or that of its first row.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub first: Option<u64>,
    /// The number of its last row.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub last: Option<u64>,
    /// What stands behind its label, in this size.
    pub text: &'a str,
    /// Stitches at its end, as they come out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub made: Option<u64>,
    /// Stitches at its end, as they are printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub stated: Option<u64>,
}

/// The answer to a maker who has worked so far.
#[derive(Debug, Serialize, ToSchema)]
pub struct AffectedAnswer<'a> {
    /// Whether something that is worked already has changed.
    pub affected: bool,
    /// The last row that stands as it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub back_to: Option<&'a str>,
    /// The first row that is different now.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub first: Option<&'a str>,
    /// The same in words.
    pub words: &'a str,
}

impl<'a> From<&'a Affected> for AffectedAnswer<'a> {
    fn from(found: &'a Affected) -> Self {
        Self {
            affected: found.affected,
            back_to: found.back_to.as_deref(),
            first: found.first.as_deref(),
            words: &found.words,
        }
    }
}

fn terms(terms: Terms) -> TermsName {
    match terms {
        Terms::Us => TermsName::Us,
        Terms::Uk => TermsName::Uk,
    }
}

fn state(state: &RowState) -> RowStateAnswer<'_> {
    RowStateAnswer {
        label: &state.label,
        first: state.first,
        last: state.last,
        text: &state.text,
        made: state.made,
        stated: state.stated,
    }
}

fn row(change: &RowChange) -> RowChangeAnswer<'_> {
    RowChangeAnswer {
        piece: &change.piece,
        kind: change.kind.name(),
        reworked: change.kind.is_reworked(),
        before: change.before.as_ref().map(state),
        now: change.now.as_ref().map(state),
        after: change.after.as_deref(),
        because: &change.because,
    }
}

fn redefined(stitch: &Redefined) -> RedefinedAnswer<'_> {
    RedefinedAnswer { name: &stitch.name, before: stitch.before.as_deref(), now: stitch.now.as_deref() }
}

impl<'a> ChangesAnswer<'a> {
    /// What is answered.
    pub fn of(from: i64, to: i64, changes: &'a Changes, affected: Option<&'a Affected>) -> Self {
        Self {
            from,
            to,
            terms: changes.terms.map(|(before, now)| TermsChange { before: terms(before), now: terms(now) }),
            sizes_added: &changes.sizes_added,
            sizes_removed: &changes.sizes_removed,
            pieces_added: &changes.pieces_added,
            pieces_removed: &changes.pieces_removed,
            redefined: changes.redefined.iter().map(redefined).collect(),
            sizes: changes
                .sizes
                .iter()
                .map(|size| ChangesOfSize { size: &size.size, rows: size.rows.iter().map(row).collect() })
                .collect(),
            other_text: changes.other_text,
            note: changes.note(),
            note_markdown: changes.note_markdown(),
            affected: affected.map(Into::into),
        }
    }
}
