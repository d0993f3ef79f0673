use super::*;
use std::collections::HashMap;

/// The run of plain stitches, each one yarn over or less above the one before it.
const RUN: [StitchId; 7] = [
    StitchId::SLIP_STITCH,
    StitchId::SINGLE_CROCHET,
    StitchId::HALF_DOUBLE_CROCHET,
    StitchId::DOUBLE_CROCHET,
    StitchId::TREBLE,
    StitchId::DOUBLE_TREBLE,
    StitchId::TRIPLE_TREBLE,
];

fn vocabulary(names: fn(&Stitch) -> &Names) -> HashMap<&'static str, StitchId> {
    let mut known = HashMap::new();
    for stitch in stitches() {
        let names = names(stitch);
        for name in std::iter::once(&names.term).chain(&names.abbreviations) {
            if let Some(other) = known.insert(*name, stitch.id) {
                panic!("{name:?} means {} and {}", self::stitch(other).name, stitch.name);
            }
        }
    }
    known
}

#[test]
fn the_data_file_parses_and_every_entry_is_found_by_name_and_by_id() {
    let parsed = parse(DATA).unwrap();
    assert_eq!(parsed, stitches());
    for (index, entry) in parsed.iter().enumerate() {
        assert_eq!(entry.id.index(), index);
        assert_eq!(by_name(entry.name), Some(entry.id));
        assert_eq!(stitch(entry.id).name, entry.name);
        assert_eq!(entry.name, entry.us.term.replace(' ', "-"));
    }
    assert_eq!(by_name("sc"), None);
}

#[test]
fn a_malformed_data_file_is_refused() {
    let row = "chain,basic,chain,ch,chain,ch,0,0,,,,1,,,,S32,\n";
    let file = |row: &str| format!("{}\n{row}", COLUMNS.join(","));
    assert!(parse(&file(row)).is_ok());
    for wrong in [
        file(&row.repeat(2)),
        file(&row.replace("basic", "plain")),
        file(&row.replace(",0,0,", ",one,0,")),
        file(&row.replace(",ch,", ",Ch,")),
        file(&row.replace(",ch,", ",ch; ,")),
        file(&row.replace(",S32", ",nothing,S32").replace(",,nothing", ",nothing")),
        file(&row.replace(",,,,S32", ",,S32")),
        row.to_owned(),
    ] {
        assert!(parse(&wrong).is_err(), "{wrong}");
    }
}

#[test]
fn constants_stand_where_the_data_file_has_them() {
    for (id, name) in [
        (StitchId::CHAIN, "chain"),
        (StitchId::SLIP_STITCH, "slip-stitch"),
        (StitchId::SINGLE_CROCHET, "single-crochet"),
        (StitchId::HALF_DOUBLE_CROCHET, "half-double-crochet"),
        (StitchId::DOUBLE_CROCHET, "double-crochet"),
        (StitchId::TREBLE, "treble"),
        (StitchId::DOUBLE_TREBLE, "double-treble"),
        (StitchId::TRIPLE_TREBLE, "triple-treble"),
    ] {
        assert_eq!(stitch(id).name, name);
    }
}

#[test]
fn no_name_means_two_stitches_within_one_vocabulary() {
    vocabulary(|stitch| &stitch.us);
    vocabulary(|stitch| &stitch.uk);
}

#[test]
fn uk_names_run_one_step_ahead_of_us_names() {
    let (us, uk) = (vocabulary(|stitch| &stitch.us), vocabulary(|stitch| &stitch.uk));
    for (us_name, uk_name) in [
        ("single crochet", "double crochet"),
        ("sc", "dc"),
        ("hdc", "htr"),
        ("dc", "tr"),
        ("tr", "dtr"),
        ("dtr", "trtr"),
        ("trtr", "qtr"),
        ("edc", "extr"),
        ("sctog", "dctog"),
        ("fpdc", "fptr"),
        ("fdc", "ftr"),
    ] {
        assert_eq!(us[us_name], uk[uk_name], "{us_name} and {uk_name}");
    }
    assert_eq!((us["dc"], uk["dc"]), (StitchId::DOUBLE_CROCHET, StitchId::SINGLE_CROCHET));
    assert!(!uk.contains_key("sc") && !uk.contains_key("hdc") && !us.contains_key("htr"));
}

#[test]
fn a_decrease_leaves_one_of_what_it_takes() {
    let decreases = || stitches().iter().filter(|stitch| stitch.kind == StitchKind::Decrease);
    for decrease in decreases() {
        assert_eq!(decrease.produced, Some(1), "{}", decrease.name);
        assert!(decrease.consumed.is_none_or(|consumed| consumed > 1), "{}", decrease.name);
    }
    for base in &RUN[1..] {
        let any = decreases().filter(|decrease| decrease.base == Some(*base) && decrease.consumed.is_none());
        assert_eq!(any.count(), 1, "{}", stitch(*base).name);
    }
}

#[test]
fn plain_and_post_stitches_use_one_and_leave_one() {
    for stitch in stitches() {
        let (consumed, produced) = match (stitch.kind, stitch.id) {
            (_, StitchId::CHAIN) => (0, 0),
            (StitchKind::Basic | StitchKind::Extended | StitchKind::Linked | StitchKind::Post, _) => (1, 1),
            (StitchKind::Foundation, _) => (0, 1),
            _ => continue,
        };
        assert_eq!((stitch.consumed, stitch.produced), (Some(consumed), Some(produced)), "{}", stitch.name);
    }
}

#[test]
fn heights_grow_along_the_run() {
    let heights = |of: fn(&Stitch) -> f64| RUN.map(|id| of(stitch(id)));
    for heights in [heights(|s| s.height.unwrap()), heights(|s| s.height_in_chains.unwrap().into())] {
        assert!(heights.is_sorted_by(|low, high| low < high), "{heights:?}");
    }
    assert_eq!(stitch(StitchId::SINGLE_CROCHET).height, Some(1.0));
    // A chain is a link, not a row: it has a length of one chain and no height.
    assert_eq!(stitch(StitchId::CHAIN).height_in_chains, Some(1));
    assert_eq!(stitch(StitchId::CHAIN).height, None);
}

#[test]
fn turning_chain_height_and_first_chain_agree() {
    for id in RUN {
        let stitch = stitch(id);
        assert_eq!(stitch.turning_chain, stitch.height_in_chains, "{}", stitch.name);
    }
    // The first stitch goes past its turning chain; a slip stitch too needs one chain to turn in.
    for id in &RUN[1..] {
        let stitch = stitch(*id);
        assert_eq!(stitch.first_chain, stitch.turning_chain.map(|chains| chains + 1), "{}", stitch.name);
    }
}

#[test]
fn a_stitch_made_of_another_stands_as_high() {
    for stitch in stitches() {
        let Some(base) = stitch.base.map(self::stitch) else {
            let named = matches!(stitch.kind, StitchKind::Extended | StitchKind::Post | StitchKind::Foundation);
            assert!(!named, "{} has no base", stitch.name);
            continue;
        };
        assert_eq!((base.kind, base.base), (StitchKind::Basic, None), "{}", stitch.name);
        let expected = if stitch.kind == StitchKind::Extended {
            let above = RUN.iter().skip_while(|id| **id != base.id).nth(1).unwrap();
            f64::midpoint(base.height.unwrap(), self::stitch(*above).height.unwrap())
        } else {
            base.height.unwrap()
        };
        assert_eq!(stitch.height, Some(expected), "{}", stitch.name);
    }
}

#[test]
fn every_source_is_in_the_table_and_every_line_of_the_table_is_used() {
    let mut reader = csv::Reader::from_reader(include_str!("../data/sources.csv").as_bytes());
    let mut used: HashMap<String, bool> = HashMap::new();
    for record in reader.records() {
        let record = record.unwrap();
        assert!(record.iter().all(|cell| !cell.is_empty()), "{record:?}");
        assert_eq!(used.insert(record[0].to_owned(), false), None, "{record:?}");
    }
    let mut uses = |source: &str, by: &str| {
        if source != "common practice" && !source.starts_with("derived: ") {
            *used.get_mut(source).unwrap_or_else(|| panic!("{by}: no source {source:?}")) = true;
        }
    };
    for stitch in stitches() {
        stitch.source.split("; ").for_each(|source| uses(source, stitch.name));
        crate::standards::yarn_use(stitch.id).source.split("; ").for_each(|source| uses(source, stitch.name));
    }
    for weight in crate::standards::yarn_weights::yarn_weights() {
        weight.sources.iter().for_each(|source| uses(source, weight.name));
    }
    for hook in crate::standards::hooks::hooks() {
        for source in hook.sources.iter().chain(&hook.us_sources).chain(&hook.uk_sources) {
            uses(source, "hooks");
        }
    }
    assert!(used.values().all(|used| *used), "{used:?}");
}
