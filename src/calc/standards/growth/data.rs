//! The data files, read.

use super::super::body_sizes::data::{figure, keep, records};
use super::{Adults, AgeBand, Lms, Reference, Sex, Summary};
use crate::units::Length;

const GROWTH: &str = include_str!("../data/growth-lms.csv");
const CHILDREN: &str = include_str!("../data/children-1977.csv");
const ADULTS: &str = include_str!("../data/adults-ansur2.csv");

/// One reference's numbers for one measure and sex, by age in months, the youngest first.
pub struct Curve {
    pub reference: Reference,
    pub measure: &'static str,
    pub sex: Sex,
    pub points: Vec<(f64, Lms)>,
}

pub fn curves() -> Result<Vec<Curve>, String> {
    let mut curves: Vec<Curve> = Vec::new();
    for row in records(GROWTH, &["measure", "reference", "sex", "months", "l", "m", "s"])? {
        let reference = Reference::ALL.into_iter().find(|reference| reference.name() == &row[1]);
        let reference = reference.ok_or_else(|| format!("no reference {:?}", &row[1]))?;
        let sex = match &row[2] {
            "boys" => Sex::Boys,
            "girls" => Sex::Girls,
            other => return Err(format!("no sex {other:?}")),
        };
        let point = (figure(&row[3])?, Lms { l: figure(&row[4])?, m: figure(&row[5])?, s: figure(&row[6])? });
        let same = |curve: &&mut Curve| (curve.reference, curve.measure, curve.sex) == (reference, &row[0], sex);
        match curves.iter_mut().find(same) {
            Some(curve) => curve.points.push(point),
            None => curves.push(Curve { reference, measure: keep(&row[0]), sex, points: vec![point] }),
        }
    }
    match curves.iter().find(|curve| !curve.points.is_sorted_by(|(young, _), (old, _)| young < old)) {
        Some(curve) => Err(format!("{} of {} is not by age", curve.measure, curve.reference.name())),
        None => Ok(curves),
    }
}

pub fn children() -> Result<Vec<(&'static str, Vec<AgeBand>)>, String> {
    let mut measures: Vec<(&'static str, Vec<AgeBand>)> = Vec::new();
    for row in records(CHILDREN, &["from_months", "to_months", "measure", "n", "mean", "sd", "p5", "p50", "p95"])? {
        let summary = summary([&row[3], &row[4], &row[5], &row[6], &row[7], &row[8]])?;
        let band = AgeBand { from_months: figure(&row[0])?, to_months: figure(&row[1])?, summary };
        match measures.iter_mut().find(|(measure, _)| *measure == &row[2]) {
            Some((_, bands)) => bands.push(band),
            None => measures.push((keep(&row[2]), vec![band])),
        }
    }
    for (measure, bands) in &measures {
        if !bands.windows(2).all(|pair| matches!(pair, [young, old] if young.to_months == old.from_months)) {
            return Err(format!("the ages of {measure} have a gap"));
        }
    }
    Ok(measures)
}

pub fn adults() -> Result<Vec<(Adults, &'static str, Summary)>, String> {
    let rows = records(ADULTS, &["sex", "measure", "n", "mean", "sd", "p5", "p50", "p95"])?;
    let adult = |row: &csv::StringRecord| {
        let who = match &row[0] {
            "women" => Adults::Women,
            "men" => Adults::Men,
            other => return Err(format!("no adults {other:?}")),
        };
        Ok((who, keep(&row[1]), summary([&row[2], &row[3], &row[4], &row[5], &row[6], &row[7]])?))
    };
    rows.iter().map(adult).collect()
}

fn summary([people, mean, deviation, p5, p50, p95]: [&str; 6]) -> Result<Summary, String> {
    let length = |cell: &str| figure(cell).map(Length::millimetres);
    Ok(Summary {
        people: people.parse().map_err(|_| format!("{people:?} people"))?,
        mean: length(mean)?,
        deviation: length(deviation)?,
        p5: length(p5)?,
        p50: length(p50)?,
        p95: length(p95)?,
    })
}
