//! The HTTP service and the command line around the calculation crate. No arithmetic of the trade lives here: requests
//! are read and checked, handed to [`evenround_calc`], and the answer is written in the form that was asked for.
//!
//! A request passes [`edge`] (request id, headers, deadline, refusals), then its handler in [`routes`]. Start with
//! [`app`] for how the parts hang together.

pub mod accept;
pub mod access;
pub mod api;
pub mod app;
pub mod batch;
pub mod body;
pub mod cached;
pub mod calculate;
pub mod calculator;
pub mod cli;
pub mod client;
pub mod config;
pub mod create;
pub mod demo;
pub mod designed;
pub mod document;
pub mod drawn;
pub mod edge;
pub mod fields;
pub mod healthcheck;
pub mod html;
pub mod idempotency_key;
pub mod keep_command;
pub mod key;
pub mod listener;
pub mod listing;
pub mod manuscript;
pub mod memory;
pub mod metrics;
pub mod problem;
pub mod quantity;
pub mod rate;
pub mod report;
pub mod request_id;
pub mod routes;
pub mod serve;
pub mod settings;
pub mod shown;
pub mod store;
pub mod table;
pub mod telemetry;
pub mod trace;
pub mod turns;
pub mod verify_command;
pub mod watched;
