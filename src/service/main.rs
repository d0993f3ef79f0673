//! The service and the command line.
fn main() {}
