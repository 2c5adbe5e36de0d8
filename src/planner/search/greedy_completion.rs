//! Some path from a state, without backtracking.

use rustc_hash::FxHashSet;

use super::search_problem::SearchProblem;

/// The longest path that is tried.
const MAX_LENGTH: usize = 1 << 14;

/// Takes the successor with the least f-score, then the next, and enters no state twice.
/// `None` where that leads into a dead end.
pub(super) fn greedy_completion<P: SearchProblem>(
    problem: &P,
    mut state: P::State,
) -> Option<(Vec<P::ActionId>, u64)> {
    let (mut actions, mut total) = (Vec::new(), 0);
    let mut visited = FxHashSet::default();
    let mut successors = Vec::new();
    while !problem.is_goal(&state) {
        if actions.len() >= MAX_LENGTH {
            return None;
        }
        visited.insert(problem.state_key(&state));
        successors.clear();
        problem.successors(&state, &mut successors);
        let candidates = successors.drain(..).filter_map(|(action, next, step)| {
            let heuristic = problem.heuristic(&next)?;
            let f_score = step + heuristic;
            let is_new = !visited.contains(&problem.state_key(&next));
            is_new.then_some((f_score, action, next, step))
        });
        let (_, action, next, step) = candidates.min_by_key(|(f_score, ..)| *f_score)?;
        actions.push(action);
        total += step;
        state = next;
    }
    Some((actions, total))
}
