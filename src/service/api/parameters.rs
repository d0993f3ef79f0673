//! Words that a query may choose among. These types only describe them; each is read where it is used.

use utoipa::ToSchema;

/// The hand that holds the hook.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum HandName {
    /// The right one.
    Right,
    /// The left one.
    Left,
}

/// Which measures are shown.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum ShownUnitsName {
    /// Centimetres, metres, grams.
    Metric,
    /// Inches, yards, ounces.
    Imperial,
    /// Both of them.
    Both,
}

/// Whether it is those that are listed.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum YesOrNo {
    /// It is those.
    Yes,
    /// It is the others.
    No,
}
