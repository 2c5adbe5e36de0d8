//! What the pruning rules know of a problem before the search begins.

use crate::bit_set::BitSet;
use crate::problem::{Action, Problem};

pub(super) struct PruningTables {
    /// For each part: every other part that some way of it needs open, transitively.
    pub needed_by_part: Vec<BitSet>,
    /// Parts whose own way back needs themselves open, by way of another part: so that the
    /// part can be settled another must be off, and for that this one must come off, too.
    pub needs_itself: BitSet,
    /// For each task: every part that some way to it needs open, transitively.
    pub needed_by_task: Vec<BitSet>,
    pub must_remain: BitSet,
    /// For each action: whether no other way of the same leg takes less work. False for a
    /// part that can be eased and has two ways.
    pub is_least_work: Vec<bool>,
}

impl PruningTables {
    #[cold]
    pub fn new(problem: &Problem) -> Self {
        let parts = problem.numbering.len();
        let mut must_remain = BitSet::empty(parts);
        for action in &problem.actions {
            action.precondition.collect_must_remain(&mut must_remain);
        }
        let mut needed_by_part = needed_by_part(problem);
        let mut needs_itself = BitSet::empty(parts);
        for (part, set) in needed_by_part.iter_mut().enumerate() {
            if set.contains(part) {
                needs_itself.insert(part);
                set.remove(part);
            }
        }
        let needed_by_task = (0..problem.request.tasks.len())
            .map(|task| needed_by_task(problem, task, &needed_by_part))
            .collect();
        Self {
            needed_by_part,
            needs_itself,
            needed_by_task,
            must_remain,
            is_least_work: problem
                .actions
                .iter()
                .map(|action| is_least_work(problem, action))
                .collect(),
        }
    }
}

/// The transitive closure of "some way of this part needs that part open".
fn needed_by_part(problem: &Problem) -> Vec<BitSet> {
    let parts = problem.numbering.len();
    let mut needed = vec![BitSet::empty(parts); parts];
    for action in &problem.actions {
        if let Some(moved) = action.part_move {
            action.precondition.collect_opened(&mut needed[moved.part]);
        }
    }
    loop {
        let mut has_changed = false;
        for part in 0..parts {
            let mut set = needed[part].clone();
            for next in needed[part].iter() {
                set.union_with(&needed[next]);
            }
            if set != needed[part] {
                needed[part] = set;
                has_changed = true;
            }
        }
        if !has_changed {
            return needed;
        }
    }
}

fn needed_by_task(problem: &Problem, task: usize, needed_by_part: &[BitSet]) -> BitSet {
    let mut set = BitSet::empty(problem.numbering.len());
    let actions = problem.actions.iter();
    for action in actions.filter(|action| action.completes == 1 << task) {
        action.precondition.collect_opened(&mut set);
    }
    let direct: Vec<usize> = set.iter().collect();
    for part in direct {
        set.union_with(&needed_by_part[part]);
    }
    set
}

fn is_least_work(problem: &Problem, action: &Action) -> bool {
    let Some(moved) = action.part_move else {
        return true;
    };
    if problem.numbering.has_two_ways(moved.part) && problem.part_legs[moved.part].eases {
        return false;
    }
    let actions = problem.actions.iter();
    let mut same_move = actions.filter(|other| other.part_move == Some(moved));
    same_move.all(|other| other.work >= action.work)
}
