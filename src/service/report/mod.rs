//! Renderers of a verification for people. They show what the answer says and decide nothing.

mod excerpt;
pub mod plain;
mod repairs;
mod structure;
mod table;
pub mod text;
