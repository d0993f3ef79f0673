//! What a pattern takes in every size, by piece and colour: `cargo run -p evenround-calc --example census FILE`.

use evenround_calc::verify::{Request, census};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).ok_or("give a file")?;
    let text = std::fs::read_to_string(path)?;
    let census = census(&Request::of(&text)).map_err(|problems| problems.to_string())?;
    for size in &census.sizes {
        for piece in &size.pieces {
            println!("{}, {}, made {}", size.name, piece.name, piece.made);
            for (colour, labour, count) in &piece.works {
                println!("  {} {count} {labour:?}", census.colours[*colour]);
            }
        }
        println!("  by print: {:?}", size.by_print);
    }
    println!("unsaid: {:?}, stripes: {}", census.unsaid, census.stripes);
    Ok(())
}
