//! Hooks: the one in use, and the one to try.

use evenround_calc::gauge::hook::{Advice, Direction};
use evenround_calc::units::Length;
use serde::Serialize;
use utoipa::ToSchema;

use crate::fields::Fields;
use crate::problem::RequestError;
use crate::quantity;

/// From the thinnest steel hook to what is worked with the whole hand.
const HOOKS: (Length, Length) = (Length::millimetres(0.3), Length::millimetres(100.0));

/// Reads the hook in use.
pub fn read_hook(fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<Length> {
    let value = fields.take("hook", errors)?;
    quantity::length_between(&fields.pointer("hook"), value, HOOKS, errors)
}

/// Which hook to try. Advice, not arithmetic.
#[derive(Debug, Serialize, ToSchema)]
pub struct HookAdvice<'a> {
    /// Which way to move.
    pub direction: DirectionName,
    /// By how many sizes of the usual run.
    #[schema(maximum = 4)]
    pub steps: u32,
    /// The hook to try, where it is known which one is in use.
    #[serde(rename = "try", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub to_try: Option<HookSize>,
    /// What the advice rests on.
    pub basis: &'a str,
}

/// Which way to move.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DirectionName {
    /// To a thicker hook.
    Up,
    /// To a thinner one.
    Down,
    /// Not at all.
    Stay,
}

/// A hook.
#[derive(Debug, Serialize, ToSchema)]
pub struct HookSize {
    /// Its diameter in millimetres.
    #[serde(rename = "mm")]
    #[schema(exclusive_minimum = 0.0)]
    pub millimetres: f64,
    /// Its US size, where published tables agree on one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub us: Option<&'static str>,
}

impl<'a> From<&'a Advice> for HookAdvice<'a> {
    fn from(advice: &'a Advice) -> Self {
        Self {
            direction: match advice.direction {
                Direction::Up => DirectionName::Up,
                Direction::Down => DirectionName::Down,
                Direction::Stay => DirectionName::Stay,
            },
            steps: advice.steps,
            to_try: advice
                .hook
                .map(|hook| HookSize { millimetres: quantity::rounded(hook.diameter.to_millimetres()), us: hook.us }),
            basis: &advice.basis,
        }
    }
}
