//! show
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let text = if path == "-" { std::io::read_to_string(std::io::stdin()).unwrap() } else { std::fs::read_to_string(path).unwrap() };
    let a = evenround_calc::verify::verify(&evenround_calc::verify::Request::of(&text)).unwrap();
    println!("holds {} terms {:?} sizes {:?} {:?}", a.holds, a.terms, a.sizes, a.coverage);
    for s in &a.assumptions { println!("ASSUME {s:?}"); }
    for p in &a.pieces {
        println!("== {}", p.name);
        for r in &p.rows {
            print!("{:>3} {:<28} {:?} {:?}:", r.line, r.label, r.kind, r.reading);
            for c in &r.counts { match c { None => print!(" | -"), Some(c) => print!(" | #{:?}x{} {:?}/{:?}->{:?} sp{:?} st{:?} {:?}", c.number, c.times, c.used, c.available, c.made, c.spaces, c.stated, c.verdict) } }
            println!();
        }
    }
    for f in &a.findings { println!("{:?} {:?} {} {:?} L{}: {}", f.rule, f.severity, f.row, f.sizes, f.place.line, f.message); }
}
