//! The counts as a sheet: one record for each figure, so that nothing has to be taken out of a cell again.

use super::rows;
use crate::api::counts::CountsAnswer;
use crate::table::{records, words};

/// The columns. A record with `kind` row, round or foundation is a count; any other has its figure in `value`, and
/// one of yarn its colour in `row`.
const COLUMNS: [&str; 12] =
    ["piece", "row", "kind", "size", "number", "times", "stitches", "spaces", "right", "what", "value", "unit"];

/// All of it: rows, then measurements, then yarn.
pub fn write(counts: &CountsAnswer) -> String {
    let mut all: Vec<Vec<String>> = vec![COLUMNS.iter().map(|name| (*name).to_owned()).collect()];
    let figure = |figure: Option<u64>| figure.map_or_else(String::new, |figure| figure.to_string());
    for piece in &counts.pieces {
        for ((label, row), kind) in rows(piece).zip(piece.rows.iter().map(|row| row.kind)) {
            for (size, count) in counts.sizes.iter().zip(row) {
                let Some(count) = count else { continue };
                let mut record = vec![words(&piece.name), words(&label), kind.to_owned(), words(size)];
                record.extend([figure(count.number), count.times.to_string(), figure(count.stitches)]);
                record.extend([figure(count.spaces), count.right.to_string()]);
                record.resize(COLUMNS.len(), String::new());
                all.push(record);
            }
        }
    }
    for piece in &counts.measurements {
        for (size, measured) in counts.sizes.iter().zip(&piece.sizes) {
            let Some(measured) = measured else { continue };
            let lengths = [
                ("width", measured.width),
                ("around", measured.around),
                ("across", measured.across),
                ("length", Some(measured.length)),
            ];
            for (what, length) in lengths {
                let Some(length) = length else { continue };
                let near = if what == "length" { measured.length_about } else { measured.width_about };
                let what = if near { format!("{what}, about") } else { what.to_owned() };
                for (value, unit) in [(length.centimetres, "cm"), (length.inches, "in")] {
                    all.push(other(&piece.piece, "measurement", size, &what, &value.to_string(), unit));
                }
            }
        }
    }
    for size in &counts.yarn {
        for colour in &size.colours {
            let mut put = |which, value: String, unit| {
                let mut record = other("", "yarn", &size.name, which, &value, unit);
                record[1] = words(&colour.colour);
                all.push(record);
            };
            if let Some(length) = &colour.amount.length {
                for (which, length) in [("likely", &length.likely), ("low", &length.low), ("high", &length.high)] {
                    put(which, length.metres.to_string(), "m");
                    put(which, length.yards.to_string(), "yd");
                }
            }
            if let Some(weight) = &colour.amount.weight {
                for (which, weight) in [("likely", &weight.likely), ("low", &weight.low), ("high", &weight.high)] {
                    put(which, weight.grams.to_string(), "g");
                    put(which, weight.ounces.to_string(), "oz");
                }
            }
            if let Some(balls) = colour.balls {
                put("balls", balls.to_string(), "balls");
            }
        }
    }
    records(all.into_iter())
}

fn other(piece: &str, kind: &str, size: &str, what: &str, value: &str, unit: &str) -> Vec<String> {
    let mut record = vec![words(piece), String::new(), kind.to_owned(), words(size)];
    record.resize(9, String::new());
    record.extend([words(what), value.to_owned(), unit.to_owned()]);
    record
}
