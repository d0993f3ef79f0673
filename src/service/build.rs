//! Migrations are compiled in, which the compiler does not know: a changed one must rebuild the crate.

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=../../migrations/sqlite");
}
