//! Prints how a text is read: `cargo run -p evenround-calc --example tree FILE`.
fn main() {
    let path = std::env::args().nth(1).expect("a file");
    let text = std::fs::read_to_string(path).expect("a text");
    let pattern = evenround_calc::notation::read(&text, &evenround_calc::verify::Request::default()).expect("read");
    for definition in &pattern.definitions {
        println!(
            "definition {} in_one_place {} one_stitch {:?} unclear {} row {} place {:?}",
            definition.name,
            definition.in_one_place,
            definition.one_stitch,
            definition.unclear,
            definition.row,
            definition.place
        );
        for step in &definition.steps {
            println!("    {:?}", step.act);
        }
    }
    for piece in &pattern.pieces {
        println!("piece {:?}", piece.name);
        for row in &piece.rows {
            println!(
                "  row {:?} {:?} stated {:?}",
                row.label.of(&text),
                row.reading,
                row.stated.as_ref().map(|stated| &stated.parts)
            );
            for step in &row.steps {
                println!("    {:?} {:?}", step.span.of(&text), step.act);
            }
        }
    }
}
