//! What a row is worked on besides the row below: the far side of the foundation chain, the side of the piece, pieces that
//! were finished before, stitches that earlier rows left.

use super::{Trouble, Worker};
use crate::fabric::{Builder, Cursor, Row as Fabric};
use crate::notation::token::Span;

/// Where the hook is when it is not on the row below.
#[derive(Default)]
pub(super) struct Ground<'w> {
    at: At,
    /// The row below, while the hook is elsewhere.
    row: Option<(Option<Cursor<'w>>, Option<&'w Fabric>)>,
    /// Pieces worked into: what they are called, and how far.
    pieces: Vec<Other<'w>>,
    /// Stitches taken from what earlier rows left.
    unworked: u64,
    /// The hook was elsewhere at some time.
    been: bool,
    /// Every stitch went elsewhere.
    only: bool,
}

/// A piece that is worked into.
struct Other<'w> {
    name: Span,
    cursor: Cursor<'w>,
    fabric: &'w Fabric,
    /// Stitches asked of it, whether it has them or not.
    asked: u64,
}

#[derive(Default, Clone, Copy, PartialEq, Eq)]
enum At {
    #[default]
    Row,
    FarSide,
    Side,
    Piece(usize),
}

impl Ground<'_> {
    pub(super) fn is_elsewhere(&self) -> bool {
        self.at != At::Row
    }

    /// Whether work went elsewhere at all.
    pub(super) fn is_used(&self, elsewhere: bool) -> bool {
        self.been || self.unworked > 0 || elsewhere
    }

    /// On another piece, whose stitches are none of this one.
    pub(super) fn is_piece(&self) -> bool {
        matches!(self.at, At::Piece(_))
    }

    /// On a side of the piece.
    pub(super) fn is_side(&self) -> bool {
        self.at == At::Side
    }

    /// On a side or on the far side of the chain, from which a plain stitch leads back to the row.
    pub(super) fn is_edge(&self) -> bool {
        matches!(self.at, At::Side | At::FarSide) && self.row.is_some()
    }
}

impl<'w> Worker<'w> {
    fn leave_for(&mut self, at: At, fabric: &'w Fabric, cursor: Cursor<'w>) {
        self.put_back();
        if !self.ground.been {
            self.ground.only = !self.begun;
        }
        self.ground.been = true;
        if self.ground.row.is_none() {
            self.ground.row = Some((self.cursor.take(), self.fabric));
        }
        self.ground.at = at;
        self.cursor = Some(cursor);
        self.fabric = Some(fabric);
    }

    /// Notes what is asked of a piece; false where the hook is on none.
    pub(super) fn ask_piece(&mut self, count: u64) -> bool {
        let At::Piece(at) = self.ground.at else { return false };
        if let Some(other) = self.ground.pieces.get_mut(at) {
            other.asked = other.asked.saturating_add(count);
        }
        true
    }

    /// Keeps how far a piece was worked.
    fn put_back(&mut self) {
        if let At::Piece(at) = self.ground.at
            && let (Some(cursor), Some(slot)) = (self.cursor.take(), self.ground.pieces.get_mut(at))
        {
            slot.cursor = cursor;
        }
    }

    /// The chain is worked from its other end: all of its chains but the last, which both sides share.
    pub(super) fn go_to_far_side(&mut self, span: Span) {
        if self.on_chain && self.ground.at == At::Row {
            let Some(fabric) = self.fabric else { return };
            let usable = self.available;
            if self.left() > 0 {
                self.trouble.get_or_insert(Trouble::LeftOver { left: self.left() });
            }
            let far = usable.saturating_sub(1);
            let mut cursor = Cursor::new(fabric);
            cursor.take(fabric.totals().places.saturating_sub(far));
            self.available = usable.saturating_add(far);
            // The first chain was worked already; whoever leaves it leaves nothing.
            self.wrapped = 1;
            self.ground.at = At::FarSide;
            self.far_side = true;
            self.cursor = Some(cursor);
            let _ = span;
            return;
        }
        let setting = self.setting;
        let foundation = &setting.foundation;
        if foundation.totals().places == 0 {
            self.known = false;
            return;
        }
        self.available = self.available.saturating_add(foundation.totals().places);
        self.leave_for(At::FarSide, foundation, Cursor::new(foundation));
    }

    /// "of first leg": the piece of that name, as it was left.
    pub(super) fn go_to_piece(&mut self, name: Span, span: Span) {
        let setting = self.setting;
        let written = name.of(setting.text);
        if let Some(at) =
            self.ground.pieces.iter().position(|other| other.name.of(setting.text).eq_ignore_ascii_case(written))
        {
            let Other { cursor, fabric, .. } = &self.ground.pieces[at];
            let (cursor, fabric) = (cursor.clone(), *fabric);
            return self.leave_for(At::Piece(at), fabric, cursor);
        }
        let Some(fabric) = self.piece_called(written) else {
            // Nothing is called so: it is part of what is worked.
            return;
        };
        let at = self.ground.pieces.len();
        self.available = if at == 0 && !self.begun { 0 } else { self.available };
        self.available = self.available.saturating_add(fabric.totals().places);
        let cursor = Cursor::new(fabric);
        self.ground.pieces.push(Other { name, cursor: cursor.clone(), fabric, asked: 0 });
        self.leave_for(At::Piece(at), fabric, cursor);
        let _ = span;
    }

    /// The last row of a piece: by its whole name, or by the noun in it ("first leg" is a LEG).
    fn piece_called(&self, written: &str) -> Option<&'w Fabric> {
        let setting = self.setting;
        let lower = written.to_lowercase();
        let noun = lower.split_whitespace().next_back().unwrap_or("");
        let digits = lower.split_whitespace().find(|word| word.bytes().all(|byte| byte.is_ascii_digit()));
        let noun = if noun.bytes().all(|byte| byte.is_ascii_digit()) {
            lower.split_whitespace().next().unwrap_or("")
        } else {
            noun
        };
        let noun = noun.trim_end_matches('s');
        if noun.len() < 2 {
            return None;
        }
        let named =
            |at: usize| setting.pattern.pieces.get(at).map(|piece| piece.name.to_lowercase()).unwrap_or_default();
        let nth = match (digits, lower.split_whitespace().next()) {
            (Some(digits), _) => digits.parse().ok(),
            (None, Some("first" | "1st" | "left")) => Some(1usize),
            (None, Some("second" | "2nd" | "right" | "other")) => Some(2),
            (None, Some("third" | "3rd")) => Some(3),
            _ => None,
        };
        let mut called: Vec<&(usize, Fabric)> = setting
            .ends
            .latest_first()
            .filter(|(at, _)| {
                let name = named(*at);
                name == lower
                    || name
                        .split_whitespace()
                        .any(|word| word.trim_matches(|c: char| !c.is_alphanumeric()).trim_end_matches('s') == noun)
            })
            .collect();
        called.reverse();
        // LEG 1 and LEG 2 have their numbers; one LEG made twice is both.
        let exact = called.iter().find(|(at, _)| named(*at) == lower);
        let chosen = exact.or_else(|| match nth {
            Some(nth) if called.len() > 1 => called.get(nth - 1),
            _ => called.last(),
        });
        if let Some((_, fabric)) = chosen {
            return Some(fabric);
        }
        // The piece in hand may be called by its own name.
        let own = setting.own_name.to_lowercase();
        let mine = own.split_whitespace().any(|word| word.trim_end_matches('s') == noun);
        let row = self.ground.row.as_ref().map_or(self.fabric, |(_, fabric)| *fabric);
        if mine { row } else { None }
    }

    /// Ends the row on the row below: what pieces have left is left.
    pub(super) fn come_back(&mut self) {
        if self.ground.at == At::FarSide && self.on_chain {
            return;
        }
        self.put_back();
        if !self.ground.been {
            return;
        }
        let unmet = self
            .ground
            .pieces
            .iter()
            .find(|other| other.asked > other.fabric.totals().places || other.cursor.left() > 0 && !self.left_said);
        if let Some(other) = unmet
            && self.trouble.is_none()
        {
            let has = other.fabric.totals().places;
            // What was passed over to find a kind of stitch was asked for too.
            let asked = if other.asked > has { other.asked } else { has - other.cursor.left() };
            self.trouble = Some(Trouble::Unmet { piece: other.name, has, asked });
        }
        // On an edge nothing of the row below is asked for.
        let was = std::mem::take(&mut self.ground.at);
        if let Some((cursor, fabric)) = self.ground.row.take() {
            let side_left = if was == At::Side && self.ground.only { self.left() } else { 0 };
            self.cursor = cursor;
            self.fabric = fabric;
            if self.ground.only {
                self.cursor = None;
                if side_left > 0 && self.trouble.is_none() && !self.left_said {
                    self.trouble = Some(Trouble::LeftOver { left: side_left });
                }
            }
        }
    }

    /// Back to the row below from an edge.
    pub(super) fn back_to_row(&mut self) {
        if let Some((cursor, fabric)) = self.ground.row.take() {
            self.ground.at = At::Row;
            self.ground.only = false;
            self.cursor = cursor;
            self.fabric = fabric;
        }
    }

    /// Along the side: one place a row.
    pub(super) fn work_into_edge(&mut self, times: Option<u64>, pass: Builder, span: Span) {
        let setting = self.setting;
        let rows = setting.side.totals().places;
        if rows == 0 {
            match times {
                Some(times) => self.put_elsewhere(pass, times),
                None => self.known = false,
            }
            return;
        }
        if self.ground.at != At::Side {
            if !self.ground.been && !self.begun {
                self.available = 0;
            }
            self.available = self.available.saturating_add(rows);
            self.leave_for(At::Side, &setting.side, Cursor::new(&setting.side));
        }
        let times = times.unwrap_or(self.left());
        self.take(times, span);
        self.put(pass, times);
    }

    /// What an earlier row left, the latest first.
    pub(super) fn work_into_unworked(&mut self, times: Option<u64>, pass: Builder, span: Span) {
        let there: u64 = self.setting.unworked.iter().sum();
        let latest = self.setting.unworked.last().copied().unwrap_or(0);
        let times = times.unwrap_or(latest);
        if there > 0 {
            self.ground.unworked = self.ground.unworked.saturating_add(times);
            self.available = self.available.saturating_add(times);
            self.used = self.used.saturating_add(times);
            if self.ground.unworked > there {
                self.available -= (self.ground.unworked - there).min(times);
                self.trouble.get_or_insert(Trouble::RunOut { span, target: None });
            }
        }
        self.put_elsewhere(pass, times);
    }

    /// Whether so many are left of the stitches of an earlier row that this one takes up.
    pub(super) fn unworked_left(&self, said: u64) -> bool {
        let used = self.ground.unworked;
        used > 0 && self.setting.unworked.iter().any(|left| left.checked_sub(used) == Some(said))
    }

    /// How many of the stitches that earlier rows left are used now.
    pub(super) fn unworked_used(&self) -> u64 {
        self.ground.unworked
    }
}
