//! One operation as the search sees it.

use smallvec::SmallVec;

use crate::{Op, PartState, Prices, Tenths};
use lidoff_catalog::model::{Catalog, FaceIx, StepIx, ToolIx};
use lidoff_catalog::setup::Setup;

use super::formula::Holds;
use super::node::Node;
use super::test::Test;

/// An operation, what it needs, costs and changes.
#[derive(Clone, Debug)]
pub struct Action {
    pub op: Op,
    pub steps: Vec<StepIx>,
    /// The part that it moves.
    pub moves: Option<Move>,
    /// The task that it does, as a bit.
    pub does: u64,
    /// Tasks that must be done before, as bits.
    pub blocked_by: u64,
    /// It cannot be done again: a way out that was blocked after it was gone.
    pub shut: bool,
    pub needs: Holds,
    /// What it needs, and where its part must be.
    pub test: Test,
    /// Sum of step times.
    pub work: Tenths,
    pub tools: Uses,
    pub faces: Uses,
    /// Step by step; only where a wait begins or ends in it.
    beats: Option<Vec<Beat>>,
}

/// A part, from where to where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Move {
    pub part: usize,
    pub from: PartState,
    pub to: PartState,
}

/// What of one kind (tools, or faces) an operation uses, in order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Uses {
    /// The first that it asks for; [`Node::NO`] when it asks for none.
    pub first: u16,
    /// The last.
    pub last: u16,
    /// Changes inside.
    pub changes: u32,
    /// All of them, in order; none stands twice in a row.
    pub order: SmallVec<[u16; 2]>,
}

impl Uses {
    fn of(wanted: impl Iterator<Item = Option<usize>>) -> Self {
        let mut uses = Self {
            first: Node::NO,
            last: Node::NO,
            changes: 0,
            order: SmallVec::new(),
        };
        for want in wanted.flatten() {
            let want = want as u16;
            if uses.first == Node::NO {
                uses.first = want;
            } else if uses.last != want {
                uses.changes += 1;
            }
            if uses.last != want {
                uses.order.push(want);
            }
            uses.last = want;
        }
        uses
    }

    /// Changes when it is done with this in hand, the change at its start
    /// included.
    pub fn changes_after(&self, have: u16) -> u32 {
        self.changes + u32::from(self.first != Node::NO && self.first != have)
    }

    /// What is in hand after.
    pub fn leaves(&self, have: u16) -> u16 {
        if self.last == Node::NO {
            have
        } else {
            self.last
        }
    }

    /// Whether it neither asks for a change nor leaves one.
    pub fn is_free(&self, have: u16) -> bool {
        self.changes_after(have) == 0
    }
}

#[derive(Clone, Debug)]
struct Beat {
    work: Tenths,
    tool: Option<u16>,
    face: Option<u16>,
    after: Option<usize>,
    starts: Option<(usize, Tenths)>,
}

/// What an action takes from here.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Taken {
    pub tool_changes: u32,
    pub face_changes: u32,
    pub waiting: Tenths,
    pub total: Tenths,
}

impl Action {
    pub fn new(
        catalog: &Catalog,
        setup: &Setup,
        prices: &Prices,
        waits: &[usize],
        op: Op,
        needs: Holds,
        parts: usize,
    ) -> Self {
        let steps = op.steps(catalog, setup);
        let each = || steps.iter().map(|at| catalog.step(*at));
        let beats = beats(catalog, prices, waits, &steps);
        Self {
            op,
            moves: None,
            does: 0,
            blocked_by: 0,
            shut: false,
            test: Test::of(&needs, parts),
            needs,
            work: steps.iter().map(|step| prices.of(*step)).sum(),
            tools: Uses::of(each().map(|step| step.tool.map(ToolIx::index))),
            faces: Uses::of(each().map(|step| step.face.map(FaceIx::index))),
            beats,
            steps,
        }
    }

    /// Whether it can be done here.
    pub fn can(&self, node: &Node) -> bool {
        let wanted = self.does == 0 || node.tasks & self.does != 0;
        wanted
            && !self.shut
            && node.tasks & self.blocked_by & !self.does == 0
            && self.test.is_met(node)
    }

    /// Whether it can be done here without a change of tool or face.
    pub fn is_free(&self, node: &Node) -> bool {
        self.tools.is_free(node.tool) && self.faces.is_free(node.face)
    }

    /// Does it: what it takes, and the state after.
    pub fn apply(&self, node: &Node, prices: &Prices) -> (Taken, Node) {
        let mut next = node.clone();
        let mut taken = Taken {
            tool_changes: self.tools.changes_after(node.tool),
            face_changes: self.faces.changes_after(node.face),
            ..Taken::default()
        };
        match &self.beats {
            Some(beats) => play(beats, &mut next, &mut taken, prices),
            None => {
                taken.total = self.work
                    + taken.tool_changes * prices.tool_change
                    + taken.face_changes * prices.face_change;
                run_down(&mut next, taken.total);
            }
        }
        next.tool = self.tools.leaves(node.tool);
        next.face = self.faces.leaves(node.face);
        next.tasks &= !self.does;
        if let Some(moved) = self.moves {
            next.set(moved.part, moved.to);
        }
        (taken, next)
    }
}

fn beats(
    catalog: &Catalog,
    prices: &Prices,
    waits: &[usize],
    steps: &[StepIx],
) -> Option<Vec<Beat>> {
    let local = |wait: usize| waits.iter().position(|at| *at == wait);
    let all: Vec<Beat> = steps
        .iter()
        .map(|at| {
            let step = catalog.step(*at);
            let starts = step.starts_wait.and_then(|wait| {
                Some((
                    local(wait.index())?,
                    catalog.wait(wait).seconds.saturating_mul(10),
                ))
            });
            Beat {
                work: prices.of(*at),
                tool: step.tool.map(|tool| tool.index() as u16),
                face: step.face.map(|face| face.index() as u16),
                after: step.after_wait.and_then(|wait| local(wait.index())),
                starts,
            }
        })
        .collect();
    all.iter()
        .any(|beat| beat.after.is_some() || beat.starts.is_some())
        .then_some(all)
}

fn play(beats: &[Beat], node: &mut Node, taken: &mut Taken, prices: &Prices) {
    let (mut tool, mut face) = (node.tool, node.face);
    for beat in beats {
        let mut spent = 0;
        if let Some(want) = beat.tool
            && want != tool
        {
            spent += prices.tool_change;
            tool = want;
        }
        if let Some(want) = beat.face
            && want != face
        {
            spent += prices.face_change;
            face = want;
        }
        if let Some(wait) = beat.after {
            let left = node.waits[wait].saturating_sub(spent);
            taken.waiting += left;
            spent += left;
        }
        spent += beat.work;
        taken.total += spent;
        run_down(node, spent);
        if let Some((wait, long)) = beat.starts {
            node.waits[wait] = long;
        }
    }
}

fn run_down(node: &mut Node, spent: Tenths) {
    for left in &mut node.waits {
        *left = left.saturating_sub(spent);
    }
}
