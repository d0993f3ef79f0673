//! What is left of a unit behind the place in it that was worked.

use super::Worker;
use crate::fabric::{Item, Unit, Wanted};
use crate::notation::tree::{Act, Step, Target};

impl Worker<'_> {
    /// "sc in ch-3 sp of next fan, ch 5, sk 3 dc": the fan has just those three dc behind its space, so they are meant.
    pub(super) fn skips_rest_of(&self, unit: Unit, rest: &[Step]) -> bool {
        let mut rest =
            rest.iter().skip_while(|step| matches!(step.act, Act::Chain { .. } | Act::Aside | Act::Picot(_)));
        let Some(Act::Skip { places, target: Target::Kind(kind), .. }) = rest.next().map(|step| &step.act) else {
            return false;
        };
        let (Some(places), Some(cursor)) = (self.value(*places), &self.cursor) else { return false };
        let mut ahead = cursor.clone();
        if ahead.seek(Wanted::Unit(unit)).is_none() {
            return false;
        }
        ahead.use_item();
        if ahead.seek(Wanted::Space(None)).is_none() {
            return false;
        }
        ahead.use_item();
        let mut left = 0u64;
        loop {
            match ahead.item() {
                Some(Item::Close(_)) => return left == places,
                Some(item) if item.is_place() && item.kind() == Some(*kind) => {
                    left = left.saturating_add(ahead.run_left());
                    ahead.skip_run();
                }
                _ => return false,
            }
        }
    }
}
