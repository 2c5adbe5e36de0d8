//! Which parts are open, as one operation after the other is completed.

use std::collections::BTreeMap;

use lidoff_catalog::format::PartId;
use lidoff_job::{SaidOp, SaidWay};

/// The parts that are open, and whether each was eased on its way.
#[derive(Default)]
pub(super) struct Open(BTreeMap<PartId, bool>);

impl Open {
    /// How many.
    pub(super) fn many(&self) -> usize {
        self.0.len()
    }

    /// An operation is complete.
    pub(super) fn after(&mut self, op: &SaidOp) {
        let open = &mut self.0;
        match op {
            SaidOp::Ease(part) => {
                open.insert(part.clone(), true);
            }
            SaidOp::TakeOff { part, .. } => {
                open.entry(part.clone()).or_insert(false);
            }
            // A part that was eased on its way out is eased again when it is put
            // back in the unit, and settled after.
            SaidOp::PutBack {
                part,
                way: SaidWay::InPlace,
            } => {
                if open.get(part) == Some(&false) {
                    open.remove(part);
                }
            }
            SaidOp::PutBack {
                part,
                way: SaidWay::Bench,
            }
            | SaidOp::Settle(part) => {
                open.remove(part);
            }
            SaidOp::Swap(_) | SaidOp::Reseat(_) | SaidOp::Inspect(_) | SaidOp::Serve(_) => {}
        }
    }
}
