//! Which parts are open after each operation.

use std::collections::BTreeMap;

use lidoff_catalog::format::PartId;
use lidoff_job::{OpRef, WayRef};

/// The parts that are open, and whether each was eased on its way.
#[derive(Default)]
pub(super) struct Open(BTreeMap<PartId, bool>);

impl Open {
    /// Number of open parts.
    pub(super) fn many(&self) -> usize {
        self.0.len()
    }

    /// Applies a completed operation.
    pub(super) fn after(&mut self, op: &OpRef) {
        let open = &mut self.0;
        match op {
            OpRef::Ease(part) => {
                open.insert(part.clone(), true);
            }
            OpRef::TakeOff { part, .. } => {
                open.entry(part.clone()).or_insert(false);
            }
            // A part that was eased on its way out is eased again when it is put
            // back in the unit, and settled after.
            OpRef::PutBack {
                part,
                way: WayRef::InPlace | WayRef::Other(_),
            } => {
                if open.get(part) == Some(&false) {
                    open.remove(part);
                }
            }
            OpRef::PutBack {
                part,
                way: WayRef::Bench,
            }
            | OpRef::Settle(part) => {
                open.remove(part);
            }
            // What is left out for good is no longer open.
            OpRef::LeaveOut(part) => {
                open.remove(part);
            }
            OpRef::Swap(_) | OpRef::Reseat(_) | OpRef::Inspect(_) | OpRef::Serve(_) => {}
        }
    }
}
