use std::collections::BTreeSet;

use proptest::prelude::*;

use super::*;

#[test]
fn nothing_rests_on_memory_and_every_source_is_known() {
    let mut used = BTreeSet::new();
    for row in body_sizes() {
        assert!(![row.status, row.note, row.source].iter().any(|text| text.contains("memory")), "{row:?}");
        assert!(!row.status.is_empty(), "{row:?}");
        for id in row.source.split("; ") {
            assert!(source(id).is_some(), "{row:?}");
            used.insert(id);
        }
        assert_eq!(row.sources().count(), row.source.split("; ").count());
    }
    assert_eq!(body_sizes().len(), 362);
    assert!(used.len() >= 13, "{used:?}");
}

#[test]
fn sources_are_told_once_and_in_full() {
    let ids: BTreeSet<&str> = SOURCES.iter().map(|source| source.id).collect();
    assert_eq!(ids.len(), SOURCES.len());
    assert!(SOURCES.iter().all(|source| !source.what.is_empty() && !source.place.is_empty()));
}

#[test]
fn a_table_with_a_slip_is_refused() {
    let ages = "table,size,wearers,from_months,to_months,basis\nhead,child,children,36,120,common practice\n";
    let file = |row: &str| {
        format!(
            "table,size,measure,kind,inches_low,inches_high,centimetres_low,centimetres_high,status,note,source\n{row}\n"
        )
    };
    let row = "head,child,head circumference,body,18,20,45.5,51,one page,,S74";
    assert_eq!(data::rows_of(&file(row), ages).unwrap().len(), 1);
    for wrong in [
        row.replace("body", "boddy"),
        row.replace("18,20", "20,18"),
        row.replace("18,20", "18,"),
        row.replace("18,20", "18,NaN"),
        row.replace("18,20,45.5,51", ",,,"),
        row.replace("head,child", "head,tween"),
    ] {
        assert!(data::rows_of(&file(&wrong), ages).is_err(), "{wrong}");
    }
    assert!(data::rows_of(row, ages).is_err());
    assert!(data::rows_of(&file(row), &ages.replace("36,120", ",")).is_err());
    assert!(data::rows_of(&file(row), &ages.replace("children", "people")).is_err());
}

/// Two pairs are off in the source itself; the answer of the service lists them.
#[test]
fn inches_and_centimetres_agree_but_where_the_source_is_off() {
    let off: Vec<_> = body_sizes()
        .iter()
        .filter_map(|row| Some((row.table, row.size, row.measure, row.misprint()?.to_centimetres())))
        .map(|(table, size, measure, off)| format!("{table} {size}, {measure}: {off:.2} cm"))
        .collect();
    let known = ["woman XS, center back neck to wrist: -1.19 cm", "woman 5X, bust: -0.52 cm"];
    assert_eq!(off.iter().collect::<BTreeSet<_>>(), known.map(str::to_owned).iter().collect());
}

#[test]
fn bodies_grow_from_size_to_size() {
    for table in ["woman", "man", "child", "youth", "baby", "head"] {
        let table = tables().iter().find(|known| known.name == table).unwrap();
        for of in &table.measures {
            let sizes: Vec<_> = table.sizes.iter().filter_map(|size| measure(table.name, size, of)).collect();
            let grows = sizes.is_sorted_by(|small, large| small.low() <= large.low() && small.high() <= large.high());
            assert!(grows, "{} {of}", table.name);
        }
    }
}

#[test]
fn the_sizes_of_the_contract_are_there() {
    for size in ["toddler", "child", "woman", "man"] {
        assert!(find("hand", size, "hand circumference (no thumb)").is_ok(), "{size}");
    }
    assert_eq!(find("HAND", " Woman ", "Hand Circumference (no thumb)").unwrap().size, "woman");
}

#[test]
fn of_several_pages_the_one_with_the_most_sizes_is_taken() {
    // Both the page with 9 hats and the one with 7 have a preemie's.
    assert_eq!(measure("hat", "preemie", "hat circumference").unwrap().source, "S79");
    let defaults = body_sizes().iter().filter(|row| row.is_default()).count();
    let names: BTreeSet<_> = body_sizes().iter().map(|row| (row.table, row.size, row.measure)).collect();
    assert_eq!(defaults, names.len());
}

#[test]
fn an_unknown_name_is_told_what_there_is() {
    for (table, size, of, what, nearest) in [
        ("hnad", "woman", "hand circumference (no thumb)", "table", Some("hand")),
        ("hand", "wommen", "hand circumference (no thumb)", "size", Some("woman")),
        ("woman", "1x", "bust", "size", Some("XL (1X)")),
        ("woman", "XS", "bst", "measure", Some("bust")),
        ("hand", "woman", "hand length (wrist to middle finger tip)", "measure", None),
        ("", "", "", "table", None),
    ] {
        let problem = find(table, size, of).unwrap_err();
        assert_eq!((problem.what, problem.nearest), (what, nearest), "{problem}");
        assert!(!problem.known.is_empty());
    }
    let known = find("hand", "woman", "hand length (wrist to middle finger tip)").unwrap_err();
    assert_eq!(
        known.to_string(),
        "\"hand length (wrist to middle finger tip)\" is no measure of the size woman of the table hand. \
         There is \"hand circumference (no thumb)\""
    );
}

proptest! {
    #[test]
    fn any_names_are_answered(table in ".{0,90}", size in ".{0,90}", of in ".{0,90}") {
        if let Err(problem) = find(&table, &size, &of) {
            prop_assert!(problem.to_string().len() < 4000);
        }
    }

    #[test]
    fn one_wrong_letter_still_finds_the_name(at in 0usize..1000, place in 0usize..30, letter in "[a-z]") {
        let row = &body_sizes()[at % body_sizes().len()];
        let mut name: Vec<char> = row.measure.chars().collect();
        let place = place % name.len();
        name[place] = letter.chars().next().unwrap();
        let name: String = name.into_iter().collect();
        match find(row.table, row.size, &name) {
            Ok(found) => prop_assert_eq!(found.measure, row.measure),
            Err(problem) => prop_assert!(problem.nearest.is_some(), "{}", problem),
        }
    }
}
