use super::*;
use std::path::Path;

#[test]
fn look_at_the_shelf() {
    let folder = std::env::var("EVENROUND_SHELF").map_or_else(
        |_| Path::new(env!("CARGO_MANIFEST_DIR")).join("../src/service/demo/holds"),
        std::path::PathBuf::from,
    );
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("a file").path();
        let text = std::fs::read_to_string(&path).expect("a text");
        let conventions = settle(&text);
        let answer = work(&text, conventions.conventions);
        println!(
            "=== {} {:?} {conventions:?} {} rows {:?}",
            path.file_name().unwrap().to_string_lossy(),
            answer.sizes,
            answer.rows.len(),
            answer.faults()
        );
        let lines: Vec<&str> = text.lines().collect();
        for row in &answer.rows {
            if row.sizes.iter().any(|o| matches!(o, Outcome::Wrong(_) | Outcome::Unread(_))) {
                println!("{}: {}\n     {:?}", row.line, lines[row.line - 1], row.sizes);
            }
        }
    }
}
