//! The shapes of requests and answers. They borrow from the calculation's own types and only rename and arrange.

pub mod body_sizes;
pub mod changes;
pub mod checkpoints;
pub mod designs;
pub mod gauge;
pub mod gauge_conversions;
pub mod gauges;
pub mod grading_request;
pub mod gradings;
pub mod hook_advice;
pub mod hooks;
pub mod lengthening_request;
pub mod lengthenings;
pub mod own_stitch;
pub mod reports;
pub mod rules;
pub mod sources;
pub mod stitches;
pub mod substitutions;
pub mod verification;
pub mod verification_request;
pub mod yardage_request;
pub mod yardages;
pub mod yarn;
pub mod yarn_weights;
pub mod yarns;
