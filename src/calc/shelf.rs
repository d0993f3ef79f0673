//! The patterns of the demo shelf and of the collection, for tests.

use std::fs::read_dir;

/// Every pattern of these folders of the demo, with its name.
pub fn texts(folders: &[&str]) -> Vec<(String, String)> {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/../service/demo");
    let mut texts = Vec::new();
    for folder in folders {
        let mut files: Vec<_> = read_dir(format!("{demo}/{folder}")).unwrap().flatten().collect();
        files.sort_by_key(std::fs::DirEntry::path);
        for file in files {
            texts
                .push((file.file_name().to_string_lossy().into_owned(), std::fs::read_to_string(file.path()).unwrap()));
        }
    }
    texts
}

/// Those that hold.
pub fn holding() -> Vec<(String, String)> {
    texts(&["holds", "collection"])
}
