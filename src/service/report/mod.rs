//! Renderers of a verification for people. They show what the answer says and decide nothing.

mod plain;
mod table;
pub mod text;
