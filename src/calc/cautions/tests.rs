use std::collections::BTreeSet;

use proptest::prelude::*;

use super::*;
use crate::standards::body_sizes::tables;

#[test]
fn every_caution_is_told_once_with_a_source_and_defers() {
    let about: BTreeSet<&str> = all().iter().map(|caution| caution.about).collect();
    assert_eq!(about.len(), all().len());
    for caution in all() {
        assert_eq!(caution.defers, DEFERS);
        assert!(!caution.source.iter().any(|source| source.contains("memory")), "{caution:?}");
        assert!(caution.text.ends_with('.') && !caution.text.contains("  "), "{caution:?}");
        assert!(caution.in_short.ends_with('.') && caution.in_short.len() < caution.text.len(), "{caution:?}");
    }
}

/// No sentence tells a maker that a piece is without danger.
#[test]
fn nothing_is_called_safe() {
    for caution in all() {
        let words = format!("{} {}", caution.text, caution.in_short).to_lowercase();
        let words: Vec<&str> = words.split(|c: char| !c.is_alphanumeric()).collect();
        let free = words.iter().any(|word| ["safe", "safely", "harmless"].contains(word));
        assert!(!free, "{caution:?}");
    }
}

#[test]
fn whoever_is_younger_has_no_fewer_cautions() {
    let wearers = [Wearer::Preemie, Wearer::Baby, Wearer::Toddler, Wearer::Child, Wearer::Adult];
    for item in Item::ALL {
        for pair in wearers.windows(2) {
            let (younger, older) = (cautions(item, pair[0]), cautions(item, pair[1]));
            assert!(older.iter().all(|caution| younger.contains(caution)), "{item:?} {pair:?}");
        }
        assert!(!cautions(item, Wearer::Baby).is_empty(), "{item:?}");
    }
}

#[test]
fn what_threatens_most_is_said_where_it_threatens() {
    for (item, wearer, about) in [
        (Item::Hat, Wearer::Baby, "sleep"),
        (Item::Hat, Wearer::Child, "cords"),
        (Item::Blanket, Wearer::Preemie, "sleep"),
        (Item::Toy, Wearer::Toddler, "small parts"),
        (Item::Mitt, Wearer::Baby, "loose threads"),
        (Item::Sock, Wearer::Baby, "loose threads"),
        (Item::Cowl, Wearer::Child, "cords"),
        (Item::Nightwear, Wearer::Child, "fire"),
        (Item::Cocoon, Wearer::Baby, "sleeping products"),
        (Item::PotHolder, Wearer::Adult, "heat"),
        (Item::Garment, Wearer::Toddler, "small parts"),
    ] {
        let found = cautions(item, wearer);
        assert!(found.iter().any(|caution| caution.about == about), "{item:?} {wearer:?}: {about}");
    }
    assert!(cautions(Item::Garment, Wearer::Adult).is_empty());
}

#[test]
fn every_size_of_every_table_is_for_somebody() {
    for table in tables() {
        for size in &table.sizes {
            assert!(who(table.name, size).is_some(), "{} {size}", table.name);
        }
    }
    for (table, size, wearer) in [
        ("head", "preemie", Wearer::Preemie),
        ("hat", "newborn", Wearer::Baby),
        ("baby", "12 months", Wearer::Toddler),
        ("child", "2", Wearer::Toddler),
        ("child", "4", Wearer::Child),
        ("youth", "12", Wearer::Child),
        ("youth", "14", Wearer::Adult),
        ("hat", "5T to small adult", Wearer::Child),
        ("woman", "XL (1X)", Wearer::Adult),
    ] {
        assert_eq!(who(table, size), Some(wearer), "{table} {size}");
    }
}

#[test]
fn sizes_of_a_designer_tell_by_their_words() {
    for (name, wearer) in [
        ("Newborn", Some(Wearer::Baby)),
        ("3-6 mo", Some(Wearer::Baby)),
        ("12-18M", Some(Wearer::Toddler)),
        ("2T", Some(Wearer::Toddler)),
        ("Child S", Some(Wearer::Child)),
        ("Age 8", Some(Wearer::Child)),
        ("Adult M", Some(Wearer::Adult)),
        ("Men's L", Some(Wearer::Adult)),
        ("M", None),
        ("2X", None),
        ("", None),
    ] {
        assert_eq!(of_size_name(name), wearer, "{name}");
    }
}

proptest! {
    #[test]
    fn any_name_and_title_is_answered(name in ".{0,80}") {
        let _ = (of_size_name(&name), Item::of_title(&name), who(&name, &name));
    }
}

/// A caution that one size has is said of that size alone, and none is lost or said twice.
#[test]
fn lines_of_a_pattern_say_every_caution_once_and_whose_it_is() {
    let wearers = [Wearer::Preemie, Wearer::Baby, Wearer::Toddler, Wearer::Child, Wearer::Adult];
    for item in Item::ALL {
        for (youngest, wearer) in wearers.into_iter().enumerate() {
            let made = MadeFor::told(Some(item), "", &[], vec![Some(wearer), Some(Wearer::Adult)]);
            let lines = made.lines(&["Wee", "Grown"]);
            let (few, all) = (cautions(item, Wearer::Adult).len(), cautions(item, wearer).len());
            assert_eq!(lines.len(), all + usize::from(all > 0), "{item:?} {wearer:?}");
            let of_one = lines.iter().filter(|line| line.contains("(for Wee): ")).count();
            assert_eq!(of_one, all - few, "{item:?} {youngest}");
        }
    }
}
