//! Tasks and operations by name, as stored in a log, and their conversion to and from
//! the planner's types.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{PartId, ServiceId, Text};
use lidoff_catalog::model::{Catalog, PartIx, ServiceIx};
use lidoff_i18n::{localize, tr_noop};
use lidoff_planner::{Op, Task, Way};

/// A task on the unit, by name.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum TaskRef {
    /// Replace the part.
    Replace(PartId),
    /// Reseat the part.
    Reseat(PartId),
    /// Inspect the part.
    Inspect(PartId),
    /// Run the service operation.
    Serve(ServiceId),
    /// Close the unit without the part; it goes out of use.
    LeaveOut(PartId),
}

/// A task with the name of its part or service.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NamedTask {
    pub task: TaskRef,
    /// Name of the part or of the service operation.
    pub name: Text,
}

/// Which way a part comes off or goes back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WayRef {
    /// In the unit.
    InPlace,
    /// In the unit, by the other way of that number in the catalog, from 0.
    Other(u8),
    /// On the bench, its carrier off.
    Bench,
}

/// A whole operation, by name.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum OpRef {
    /// Fitted → eased.
    Ease(PartId),
    /// Eased (or fitted) → off.
    TakeOff {
        part: PartId,
        /// Which way.
        way: WayRef,
    },
    /// Old part out, new part in its place.
    Swap(PartId),
    /// What reseating asks for.
    Reseat(PartId),
    /// A look.
    Inspect(PartId),
    /// A service operation.
    Serve(ServiceId),
    /// The part is left out for good.
    LeaveOut(PartId),
    /// Off → eased or fitted.
    PutBack {
        part: PartId,
        /// Which way.
        way: WayRef,
    },
    /// Eased → fitted.
    Settle(PartId),
}

impl TaskRef {
    /// The reference by which a log names a task.
    pub fn from_task(catalog: &Catalog, task: Task) -> Self {
        let part = |at: PartIx| catalog.part(at).id.clone();
        match task {
            Task::Replace(at) => Self::Replace(part(at)),
            Task::Reseat(at) => Self::Reseat(part(at)),
            Task::Inspect(at) => Self::Inspect(part(at)),
            Task::Serve(at) => Self::Serve(catalog.service(at).entry.id.clone()),
            Task::LeaveOut(at) => Self::LeaveOut(part(at)),
        }
    }

    /// The task in this catalog; `None` if it has no such part or service.
    pub fn find(&self, catalog: &Catalog) -> Option<Task> {
        let part = |id: &PartId| catalog.find_part(id.as_str());
        match self {
            Self::Replace(id) => part(id).map(Task::Replace),
            Self::Reseat(id) => part(id).map(Task::Reseat),
            Self::Inspect(id) => part(id).map(Task::Inspect),
            Self::Serve(id) => catalog.find_service(id.as_str()).map(Task::Serve),
            Self::LeaveOut(id) => part(id).map(Task::LeaveOut),
        }
    }

    /// The operation that performs it.
    pub fn op(&self) -> OpRef {
        match self {
            Self::Replace(part) => OpRef::Swap(part.clone()),
            Self::Reseat(part) => OpRef::Reseat(part.clone()),
            Self::Inspect(part) => OpRef::Inspect(part.clone()),
            Self::Serve(service) => OpRef::Serve(service.clone()),
            Self::LeaveOut(part) => OpRef::LeaveOut(part.clone()),
        }
    }

    /// The verb, as read before the name.
    pub const fn verb(&self) -> &'static str {
        match self {
            Self::Replace(_) => tr_noop!("Replace"),
            Self::Reseat(_) => tr_noop!("Reseat"),
            Self::Inspect(_) => tr_noop!("Inspect"),
            Self::Serve(_) => tr_noop!("Service"),
            Self::LeaveOut(_) => tr_noop!("Leave out"),
        }
    }
}

impl NamedTask {
    /// A task with the name that the catalog gives it.
    pub fn new(catalog: &Catalog, task: Task) -> Self {
        let name = match task {
            Task::Replace(at) | Task::Reseat(at) | Task::Inspect(at) | Task::LeaveOut(at) => {
                catalog.part(at).name.clone()
            }
            Task::Serve(at) => catalog.service(at).entry.name.clone(),
        };
        Self {
            task: TaskRef::from_task(catalog, task),
            name,
        }
    }

    /// "Replace: receipt printer".
    pub fn describe(&self) -> String {
        format!("{}: {}", localize(self.task.verb()), localize(&self.name))
    }
}

impl OpRef {
    /// The reference by which a log names an operation.
    pub fn from_op(catalog: &Catalog, op: Op) -> Self {
        let part = |at: PartIx| catalog.part(at).id.clone();
        let way = |way| match way {
            Way::InPlace => WayRef::InPlace,
            Way::Other(nth) => WayRef::Other(nth),
            Way::Bench => WayRef::Bench,
        };
        match op {
            Op::Ease(at) => Self::Ease(part(at)),
            Op::TakeOff(at, by) => Self::TakeOff {
                part: part(at),
                way: way(by),
            },
            Op::Swap(at) => Self::Swap(part(at)),
            Op::Reseat(at) => Self::Reseat(part(at)),
            Op::Inspect(at) => Self::Inspect(part(at)),
            Op::Serve(at) => Self::Serve(catalog.service(at).entry.id.clone()),
            Op::LeaveOut(at) => Self::LeaveOut(part(at)),
            Op::PutBack(at, by) => Self::PutBack {
                part: part(at),
                way: way(by),
            },
            Op::Settle(at) => Self::Settle(part(at)),
        }
    }

    /// The operation in this catalog; `None` if it has no such part or service.
    pub fn find(&self, catalog: &Catalog) -> Option<Op> {
        let part = |id: &PartId| catalog.find_part(id.as_str());
        let service = |id: &ServiceId| -> Option<ServiceIx> { catalog.find_service(id.as_str()) };
        let by = |way| match way {
            WayRef::InPlace => Way::InPlace,
            WayRef::Other(nth) => Way::Other(nth),
            WayRef::Bench => Way::Bench,
        };
        match self {
            Self::Ease(id) => part(id).map(Op::Ease),
            Self::TakeOff { part: id, way } => part(id).map(|at| Op::TakeOff(at, by(*way))),
            Self::Swap(id) => part(id).map(Op::Swap),
            Self::Reseat(id) => part(id).map(Op::Reseat),
            Self::Inspect(id) => part(id).map(Op::Inspect),
            Self::Serve(id) => service(id).map(Op::Serve),
            Self::LeaveOut(id) => part(id).map(Op::LeaveOut),
            Self::PutBack { part: id, way } => part(id).map(|at| Op::PutBack(at, by(*way))),
            Self::Settle(id) => part(id).map(Op::Settle),
        }
    }

    /// The way back of a way out; `None` for any other operation.
    pub fn way_back(&self) -> Option<Self> {
        match self {
            Self::Ease(part) => Some(Self::Settle(part.clone())),
            Self::TakeOff { part, way } => Some(Self::PutBack {
                part: part.clone(),
                way: *way,
            }),
            _ => None,
        }
    }

    /// The part that it is about, if it is about one.
    pub const fn part(&self) -> Option<&PartId> {
        match self {
            Self::Ease(part)
            | Self::TakeOff { part, .. }
            | Self::Swap(part)
            | Self::Reseat(part)
            | Self::Inspect(part)
            | Self::LeaveOut(part)
            | Self::PutBack { part, .. }
            | Self::Settle(part) => Some(part),
            Self::Serve(_) => None,
        }
    }
}
