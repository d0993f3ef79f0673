//! `evenround verify` over a whole shelf: which files it takes, in which order and form it answers, when it fails, what it
//! mends, what is accepted, and how much memory that takes.

#[path = "shelf_command/folder.rs"]
mod folder;

#[path = "shelf_command/accepting.rs"]
mod accepting;
#[path = "shelf_command/answers.rs"]
mod answers;
#[path = "shelf_command/exit_codes.rs"]
mod exit_codes;
#[path = "shelf_command/files.rs"]
mod files;
#[path = "shelf_command/mending.rs"]
mod mending;
#[path = "shelf_command/size.rs"]
mod size;
