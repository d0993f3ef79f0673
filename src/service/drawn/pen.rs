//! Path data in millimetres.

use std::fmt::Write;

use evenround_calc::chart::{Point, Shape};

/// Millimetres with two decimals, no more than needed.
pub fn mm(value: f64) -> String {
    let mut text = format!("{value:.2}");
    while text.ends_with('0') {
        text.pop();
    }
    if text.ends_with('.') {
        text.pop();
    }
    if text == "-0" { "0".to_owned() } else { text }
}

/// Where units are on the sheet.
#[derive(Debug, Clone, Copy)]
pub struct Sheet {
    /// Millimetres of one unit.
    pub unit: f64,
    /// Where the origin is.
    pub left: f64,
    /// From above.
    pub top: f64,
}

impl Sheet {
    /// A point, x to the right and y downwards.
    pub fn at(&self, point: Point) -> (f64, f64) {
        (self.left + point.x * self.unit, self.top - point.y * self.unit)
    }

    /// The same as it stands in path data.
    fn written(&self, point: Point) -> String {
        let (x, y) = self.at(point);
        format!("{} {}", mm(x), mm(y))
    }
}

/// Letters on a sheet.
#[derive(Debug)]
pub struct Letters {
    /// Their middle.
    pub at: (f64, f64),
    /// Their height in millimetres.
    pub height: f64,
    /// What they say.
    pub text: String,
}

/// Strokes gathered for as few elements as can be.
#[derive(Debug, Default)]
pub struct Strokes {
    /// What is drawn in outline.
    pub open: String,
    /// What is filled.
    pub filled: String,
    /// What only leads somewhere.
    pub thin: String,
    /// What is written.
    pub letters: Vec<Letters>,
}

impl Strokes {
    /// Adds a shape.
    pub fn add(&mut self, sheet: &Sheet, shape: &Shape) {
        match shape {
            Shape::Line { points, thin } => {
                let path = if *thin { &mut self.thin } else { &mut self.open };
                for (nth, point) in points.iter().enumerate() {
                    let _ = write!(path, "{}{}", if nth == 0 { "M" } else { "L" }, sheet.written(*point));
                }
            }
            Shape::Oval { centre, long, short, axis, filled } => {
                let path = if *filled { &mut self.filled } else { &mut self.open };
                let (from, to) = (centre.along(*axis, -long), centre.along(*axis, *long));
                let turn = mm(-axis.y.atan2(axis.x).to_degrees());
                let (long, short) = (mm(long * sheet.unit), mm(short * sheet.unit));
                let (from, to) = (sheet.written(from), sheet.written(to));
                let _ = write!(path, "M{from}A{long} {short} {turn} 1 0 {to}A{long} {short} {turn} 1 0 {from}Z");
            }
            Shape::Lettered { centre, half, text } => {
                let (x, y) = sheet.at(*centre);
                let half = half * sheet.unit;
                let (left, top, side) = (mm(x - half), mm(y - half), mm(2.0 * half));
                let _ = write!(self.open, "M{left} {top}h{side}v{side}h-{side}Z");
                // Two letters share the box.
                let height = half * if text.chars().count() > 1 { 1.1 } else { 1.6 };
                self.letters.push(Letters { at: (x, y), height, text: text.clone() });
            }
            Shape::Letters { centre, height, text } => {
                let at = sheet.at(*centre);
                self.letters.push(Letters { at, height: height * sheet.unit, text: text.clone() });
            }
        }
    }
}
