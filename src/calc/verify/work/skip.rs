//! Places that are passed over, and those that were.

use super::places::lacks;
use super::repeat::is_plain;
use super::{Misnamed, Trouble, Worker, seek_for};
use crate::fabric::{Builder, Item, Unit, Wanted};
use crate::notation::number::Num;
use crate::notation::token::Span;
use crate::notation::tree::Target;
use crate::standards::StitchId;

impl Worker<'_> {
    pub(super) fn skip(&mut self, places: Num, target: Target, first: bool, span: Span) {
        let Some(count) = self.value(places) else { return };
        // "FPdc around next dc 2 rows below, sk sc behind it": that stitch is covered already.
        if self.covers > 0 && count <= self.covers && matches!(target, Target::Any | Target::Kind(_)) {
            self.covers = 0;
            return;
        }
        self.covers = 0;
        match target {
            Target::Space(length) => {
                if self.fabric.is_some_and(|fabric| lacks(fabric, target)) {
                    self.stale.get_or_insert(Misnamed::missing(span, target));
                }
                for _ in 0..count.min(1000) {
                    if let Some(cursor) = &mut self.cursor
                        && let Some(passed) =
                            cursor.seek(Wanted::Space(length)).or_else(|| cursor.seek(Wanted::Space(None)))
                    {
                        cursor.use_item();
                        self.used = self.used.saturating_add(passed);
                        self.begun = true;
                    } else if self.cursor.is_some() && !self.grouped {
                        self.trouble.get_or_insert(self.no_such(target, span));
                    }
                }
            }
            Target::Unit(unit, _) => {
                for _ in 0..count.min(1000) {
                    if !self.pass_unit(unit) && self.cursor.is_some() && !self.grouped {
                        self.trouble.get_or_insert(self.no_such(target, span));
                    }
                }
            }
            Target::TurningChain if self.counted && self.only_chain_used() => {}
            // "ch 3, sk first st": the chain stands on that stitch already.
            _ if first && self.counted && self.only_chain_used() => {
                self.last_skip = count - 1;
                self.take(count - 1, span);
                self.stand_nowhere();
            }
            _ if self.on_chain && !self.begun => self.skip_foundation(count, None, &[], None),
            _ => {
                if let Target::Kind(kind) = target
                    && (self.fabric.is_some_and(|fabric| lacks(fabric, target)) || self.passes_others(kind, count))
                {
                    self.stale.get_or_insert(Misnamed::missing(span, target));
                }
                self.skipped = self.skipped.saturating_add(count);
                self.last_skip = count;
                self.stand_nowhere();
                self.take(count, span);
                self.stand_passed_over();
                self.just_skipped = count;
            }
        }
    }

    /// Whether a plain stitch of another kind stands among the next ones: "sk next 2 sc" over 2 dc.
    fn passes_others(&self, kind: StitchId, count: u64) -> bool {
        let Some(mut cursor) = self.cursor.clone() else { return false };
        if !is_plain(Item::Stitch(kind)) {
            return false;
        }
        let mut passed = 0;
        while passed < count.min(64) {
            let Some(item) = cursor.station() else { return false };
            if is_plain(item) && item.kind() != Some(kind) {
                return true;
            }
            passed += u64::from(item.is_place());
            cursor.use_item();
        }
        false
    }

    /// Passes over the next unit of a name; false where there is none.
    fn pass_unit(&mut self, unit: Unit) -> bool {
        let Some(cursor) = &mut self.cursor else { return false };
        let Some(passed) = cursor.seek(Wanted::Unit(unit)) else { return false };
        let Some(Item::Open(found)) = cursor.item() else { return false };
        cursor.use_item();
        let inner = cursor.leave_unit(found);
        self.used = self.used.saturating_add(passed.saturating_add(inner));
        self.begun = true;
        true
    }

    /// Places that were skipped before: nothing new is used.
    pub(super) fn work_into_skipped(&mut self, times: Option<u64>, pass: Builder, span: Span) {
        let times = times.unwrap_or(self.skipped);
        if self.skipped == 0 {
            // Skipped by an earlier row: its stitches are not counted here.
            return self.put_elsewhere(pass, times);
        }
        if times > self.skipped {
            self.used = self.used.saturating_add(times - self.skipped);
            self.trouble.get_or_insert(Trouble::RunOut { span, target: None });
        }
        self.skipped = self.skipped.saturating_sub(times);
        self.stand_on_passed_over(times);
        self.put(pass, times);
    }

    /// "in last sc" behind lace: what lies between is stepped over.
    pub(super) fn pass_to_last(&mut self, target: Target, times: Option<u64>) {
        let (Some(fabric), Some(cursor), Some(times)) = (self.fabric, self.cursor.as_mut(), times) else { return };
        if self.leapt.is_none() || matches!(target, Target::Gap | Target::TurningChain) {
            return;
        }
        let wanted = seek_for(fabric, target).unwrap_or(Wanted::Place);
        let ahead = cursor.count(wanted);
        let spare = ahead.saturating_sub(times);
        if spare == 0 || spare > 256 {
            return;
        }
        let unit = matches!(wanted, Wanted::Unit(_));
        for _ in 0..spare {
            if cursor.seek(wanted).is_none() {
                return;
            }
            if unit {
                return;
            }
            cursor.use_item();
        }
        self.used = self.used.max(self.available.saturating_sub(cursor.left()));
    }
}
