//! The smallest plan that still goes wrong in the same way.

use evenround_calc::grading::plan::*;

/// Drops sizes, pieces, sections and textures as long as the fault stays.
pub fn smallest(plan: &Plan, still: impl Fn(&Plan) -> bool) -> Plan {
    let mut plan = plan.clone();
    let mut tried = 0;
    loop {
        let smaller = steps(&plan).into_iter().find(|plan| {
            tried += 1;
            tried < 400 && still(plan)
        });
        match smaller {
            Some(smaller) => plan = smaller,
            None => return plan,
        }
    }
}

fn steps(plan: &Plan) -> Vec<Plan> {
    let mut all = Vec::new();
    let mut with = |change: &dyn Fn(&mut Plan)| {
        let mut next = plan.clone();
        change(&mut next);
        if next != *plan {
            all.push(next);
        }
    };
    for piece in 0..plan.pieces.len() {
        let is_yoke = plan.pieces.iter().any(|other| matches!(other.start, Start::Sleeve(yoke) if yoke >= piece));
        if plan.pieces.len() > 1 && !is_yoke {
            with(&|plan| {
                plan.pieces.remove(piece);
            });
        }
        for section in (0..plan.pieces[piece].sections.len()).rev() {
            if plan.pieces[piece].sections.len() > 1 {
                with(&|plan| {
                    plan.pieces[piece].sections.remove(section);
                });
            }
            with(&|plan| plan.pieces[piece].sections[section].rows.clear());
            with(&|plan| plan.pieces[piece].sections[section].tolerance = None);
            with(&|plan| plan.pieces[piece].make = 1);
        }
    }
    for size in 0..plan.sizes.len() {
        if plan.sizes.len() > 1 {
            with(&|plan| drop_size(plan, size));
        }
    }
    all
}

/// The plan in one size alone.
pub fn only(plan: &Plan, size: usize) -> Plan {
    let mut plan = plan.clone();
    for other in (0..plan.sizes.len()).rev().filter(|other| *other != size) {
        drop_size(&mut plan, other);
    }
    plan
}

fn drop_size(plan: &mut Plan, size: usize) {
    plan.sizes.remove(size);
    for section in plan.pieces.iter_mut().flat_map(|piece| &mut piece.sections) {
        let mut demands = shape_demands_mut(&mut section.shape);
        if let Some(Extent::Length(demand) | Extent::Until(demand)) = &mut section.extent {
            demands.push(demand);
        }
        for demand in demands {
            if let Wanted::Each(each) = &mut demand.of {
                each.remove(size);
            }
        }
    }
}

/// Every demand of a shape, to be changed, in the order of [`Shape::demands`].
pub fn shape_demands_mut(shape: &mut Shape) -> Vec<&mut Demand> {
    match shape {
        Shape::Circle { size: CircleSize::Around(one) | CircleSize::Across(one), .. }
        | Shape::Ball { across: one, .. }
        | Shape::Taper { to: one, .. }
        | Shape::Polygon { side: one, .. }
        | Shape::Triangle { depth: one }
        | Shape::CircularYoke { around: one, .. } => vec![one],
        Shape::Even { width: one } | Shape::Revolve { across: one, .. } => one.iter_mut().collect(),
        Shape::Cone { around: one, slant: two, .. } | Shape::Oval { long: one, wide: two } => vec![one, two],
        Shape::RaglanYoke { neck, body, sleeve, underarm } => vec![neck, body, sleeve, underarm],
    }
}
