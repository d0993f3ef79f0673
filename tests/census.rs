//! The census of the patterns on the shelf: equal to what was counted by hand, and to what the rows make.

use evenround_calc::fabric::Labour;
use evenround_calc::standards::{StitchId, stitch};
use evenround_calc::verify::{Census, Request, RowKind, Terms, Verification, census, judge};
use evenround_tests::generator::tape::seeded;
use evenround_tests::generator::words::say;
use evenround_tests::generator::{Tape, Wishes, make};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../src/service/demo")
}

fn read(file: &Path) -> String {
    std::fs::read_to_string(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()))
}

fn abbreviation(kind: StitchId, terms: Terms) -> &'static str {
    let names = if terms == Terms::Us { &stitch(kind).us } else { &stitch(kind).uk };
    names.abbreviations.first().copied().unwrap_or(names.term)
}

fn called(labour: Labour) -> String {
    let name = |kind| abbreviation(kind, Terms::Us);
    match labour {
        Labour::Chain => "ch".to_owned(),
        Labour::TurningChain => "turning ch".to_owned(),
        Labour::Join => "join".to_owned(),
        Labour::Closing(kind) => format!("closing {}", name(kind)),
        Labour::Stitch { kind, legs: 1 } => name(kind).to_owned(),
        Labour::Stitch { kind, legs } => format!("{}{legs}tog", name(kind)),
        Labour::Part(kind) => format!("leg of {}", name(kind)),
    }
}

/// What a size takes in one colour, in the words of the fixture.
fn told(census: &Census, size: usize, colour: usize) -> String {
    let mut works: BTreeMap<Labour, u64> = BTreeMap::new();
    for (_, labour, count) in census.sizes[size].works().filter(|work| work.0 == colour) {
        *works.entry(labour).or_default() += count;
    }
    works.into_iter().map(|(labour, count)| format!("{count} {}", called(labour))).collect::<Vec<_>>().join(", ")
}

#[test]
fn the_census_is_what_was_counted_by_hand() {
    let fixture: toml::Table =
        read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("census.toml")).parse().expect("census.toml is TOML");
    let patterns = fixture["pattern"].as_array().expect("patterns");
    assert!(patterns.len() >= 3);
    for pattern in patterns {
        let file = pattern["file"].as_str().expect("a file");
        let text = read(&demo().join(file));
        let census = census(&Request::of(&text)).unwrap();
        let counted: Vec<(String, String)> =
            census.colours.iter().enumerate().map(|(at, name)| (name.clone(), told(&census, 0, at))).collect();
        let by_hand: Vec<(String, String)> = pattern
            .as_table()
            .expect("a table")
            .iter()
            .filter(|(key, _)| *key != "file")
            .map(|(colour, works)| (colour.clone(), works.as_str().expect("words").to_owned()))
            .collect();
        assert_eq!(counted, by_hand, "{file}");
        assert!(census.sizes[0].by_print.is_empty() && census.unsaid.is_empty(), "{file}");
        println!("{file}: {counted:?}");
    }
}

/// What stands in the rows of a size by the verification's own words: `4×(3 dc, ch 2)` are 12 dc and 8 chains.
#[derive(Debug, Default, PartialEq, Eq)]
struct Stands {
    stitches: BTreeMap<String, u64>,
    chains: u64,
    turning: u64,
    picots: u64,
}

impl Stands {
    fn add(&mut self, words: &str, times: u64) {
        for part in parts(words) {
            if let Some((often, inner)) = part.split_once("×(") {
                let often: u64 = often.parse().expect("a number of times");
                self.add(inner.strip_suffix(')').expect("a bracket closes"), times * often);
            } else if let Some(length) = part.strip_prefix("ch ") {
                self.chains += times * length.parse::<u64>().expect("a number of chains");
            } else if part == "turning ch" {
                self.turning += times;
            } else if part == "picot" {
                self.picots += times;
            } else {
                let (count, kind) = part.split_once(' ').expect("a number and a stitch");
                let count = times * count.parse::<u64>().expect("a number of stitches");
                match kind {
                    "foundation ch" => self.chains += count,
                    kind => *self.stitches.entry(kind.to_owned()).or_default() += count,
                }
            }
        }
    }
}

/// Cut at the commas outside brackets.
fn parts(words: &str) -> Vec<&str> {
    let mut depth = 0;
    let cut = |c: char| {
        depth += i32::from(c == '(') - i32::from(c == ')');
        c == ',' && depth == 0
    };
    words.split(cut).map(str::trim).filter(|part| !part.is_empty()).collect()
}

/// What stands in the rows of one piece in one size, and what they make.
fn of_rows(verification: &Verification, piece: usize, size: usize) -> (Stands, u64) {
    let mut stands = Stands::default();
    let mut made = 0;
    for row in &verification.pieces[piece].rows {
        let Some(count) = row.counts[size].as_ref() else { continue };
        // What a foundation makes is chains.
        if row.kind != RowKind::Foundation {
            made += count.made.or(count.stated).unwrap_or(0) * count.times;
        }
        stands.add(count.structure.as_deref().unwrap_or(""), count.times);
    }
    (stands, made)
}

/// Everything in which the census of a pattern differs from what its rows make, how many pieces in their sizes it has, and how
/// many stitches.
fn differences(text: &str) -> (Vec<String>, usize, u64) {
    let request = Request { structure: true, ..Request::of(text) };
    let (census, verification) = (census(&request).unwrap(), judge(&request).unwrap());
    let (mut wrong, mut pieces, mut stitches) = (Vec::new(), 0, 0);
    for (at_size, size) in census.sizes.iter().enumerate() {
        assert_eq!(size.name, verification.sizes[at_size]);
        for (at, piece) in size.pieces.iter().enumerate() {
            let place = format!("{}, {}", piece.name, size.name);
            let (rows, made) = of_rows(&verification, at, at_size);
            let mut counted = Stands::default();
            for (_, labour, count) in &piece.works {
                match labour {
                    Labour::Chain => counted.chains += count,
                    Labour::Stitch { kind, .. } => {
                        let name = abbreviation(*kind, verification.terms).to_owned();
                        *counted.stitches.entry(name).or_default() += count;
                    }
                    _ => {}
                }
            }
            let sum: u64 = counted.stitches.values().sum();
            let by_print = size.by_print.iter().any(|(name, _)| *name == piece.name);
            // A row that could not be read counts as it prints, which `made` does not.
            if by_print && sum + rows.turning > made || !by_print && sum + rows.turning != made {
                wrong.push(format!("{place}: {sum} stitches and {} chains that count; rows make {made}", rows.turning));
            }
            if !by_print && counted.stitches != rows.stitches {
                wrong.push(format!("{place}: {:?}, and in the rows stand {:?}", counted.stitches, rows.stitches));
            }
            // A ring that a round makes for itself is not shown in the round.
            let rings = counted.chains.checked_sub(rows.chains + 3 * rows.picots);
            if rings != Some(0) && !(text.contains("ring") && rings.is_some_and(|rings| rings <= 8)) {
                wrong.push(format!("{place}: {} chains, and the rows show {}", counted.chains, rows.chains));
            }
            pieces += 1;
            stitches += sum;
        }
    }
    (wrong, pieces, stitches)
}

#[test]
fn the_census_of_every_pattern_is_the_sum_of_what_its_rows_make() {
    let mut files: Vec<PathBuf> = ["holds", "faulty"]
        .iter()
        .flat_map(|folder| std::fs::read_dir(demo().join(folder)).expect("the shelf"))
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    assert!(files.len() >= 20);
    let (mut pieces, mut stitches) = (0, 0);
    for file in files {
        let (wrong, of_file, counted) = differences(&read(&file));
        assert!(wrong.is_empty(), "{}: {wrong:#?}", file.display());
        pieces += of_file;
        stitches += counted;
    }
    println!("{pieces} pieces in their sizes, {stitches} stitches");
    assert!(pieces >= 60);
}

#[test]
fn the_census_of_patterns_made_up_at_random_is_the_sum_of_what_their_rows_make() {
    let mut pieces = 0;
    for seed in 0..u64::from(evenround_tests::cases(400)) {
        for wishes in [Wishes::default(), Wishes { all_said: true, ..Wishes::default() }] {
            let numbers = seeded(seed, 300);
            let text = say(&make(&mut Tape::new(&numbers), wishes), None).text;
            let (wrong, of_text, _) = differences(&text);
            assert!(wrong.is_empty(), "seed {seed}: {wrong:#?}\n{text}");
            pieces += of_text;
        }
    }
    println!("{pieces} pieces in their sizes");
}
