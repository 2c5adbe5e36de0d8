//! Dual values of the assignment problem: give each node a next node at the least total cost.
//!
//! Every sequence gives each node but the last one a next node, and each but the first one a
//! previous node, so it is an assignment. H. W. Kuhn, "The Hungarian method for the assignment
//! problem", *Naval Research Logistics Quarterly* 2 (1955) 83–97, with a shortest augmenting
//! path for each row: R. Jonker, A. Volgenant, *Computing* 38 (1987) 325–340 (both from
//! memory).

/// The dual values of the rows and the columns.
pub(super) struct AssignmentDuals {
    pub rows: Vec<i64>,
    pub columns: Vec<i64>,
}

/// More than any sum of costs.
const UNREACHED: i64 = i64::MAX / 4;

/// Optimal dual values: no pair costs less than the sum of its row's and its column's value,
/// and all values sum to the cost of the cheapest assignment of every row to a column of its
/// own. `None` where there is no such assignment. `cost` is `None` for a pair that is not
/// allowed.
pub(super) fn assignment_duals(
    rows: usize,
    columns: usize,
    cost: impl Fn(usize, usize) -> Option<i64>,
) -> Option<AssignmentDuals> {
    let mut assignment_duals = AssignmentDuals {
        rows: vec![0; rows],
        columns: vec![0; columns],
    };
    // The row that each column is assigned to.
    let mut taken: Vec<Option<usize>> = vec![None; columns];
    for first in 0..rows {
        // The length of the shortest path from the first row to each column, and the column
        // before it on that path.
        let mut far = vec![UNREACHED; columns];
        let mut by: Vec<Option<usize>> = vec![None; columns];
        let mut seen = vec![false; columns];
        let (mut row, mut from, mut gone) = (first, None, 0);
        let free = loop {
            for column in (0..columns).filter(|column| !seen[*column]) {
                let Some(cost) = cost(row, column) else {
                    continue;
                };
                let there =
                    gone + cost - assignment_duals.rows[row] - assignment_duals.columns[column];
                if there < far[column] {
                    (far[column], by[column]) = (there, from);
                }
            }
            let near = (0..columns).filter(|column| !seen[*column]);
            let near = near.min_by_key(|column| far[*column])?;
            if far[near] >= UNREACHED {
                return None;
            }
            (seen[near], gone) = (true, far[near]);
            match taken[near] {
                Some(next) => (row, from) = (next, Some(near)),
                None => break near,
            }
        };
        assignment_duals.rows[first] += gone;
        for column in (0..columns).filter(|column| seen[*column]) {
            let less = gone - far[column];
            assignment_duals.columns[column] -= less;
            if let Some(row) = taken[column] {
                assignment_duals.rows[row] += less;
            }
        }
        let mut column = free;
        while let Some(before) = by[column] {
            taken[column] = taken[before];
            column = before;
        }
        taken[column] = Some(first);
    }
    Some(assignment_duals)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The cheapest assignment of this row and the following ones to the free columns.
    fn by_trying_all(cost: &[Vec<Option<i64>>], row: usize, free: &mut Vec<bool>) -> Option<i64> {
        let Some(costs) = cost.get(row) else {
            return Some(0);
        };
        let mut best = None;
        for (column, here) in costs.iter().enumerate() {
            let Some(here) = here.filter(|_| free[column]) else {
                continue;
            };
            free[column] = false;
            if let Some(rest) = by_trying_all(cost, row + 1, free) {
                best = Some(best.map_or(here + rest, |best: i64| best.min(here + rest)));
            }
            free[column] = true;
        }
        best
    }

    fn costs() -> impl Strategy<Value = Vec<Vec<Option<i64>>>> {
        let cost = prop_oneof![4 => (0..40_i64).prop_map(Some), 1 => Just(None)];
        (1..6_usize).prop_flat_map(move |size| {
            let row = proptest::collection::vec(cost.clone(), size);
            proptest::collection::vec(row, size)
        })
    }

    proptest! {
        #[test]
        fn the_duals_sum_to_the_cheapest_assignment_and_no_pair_costs_less(cost in costs()) {
            let size = cost.len();
            let found = assignment_duals(size, size, |row, column| cost[row][column]);
            let best = by_trying_all(&cost, 0, &mut vec![true; size]);
            prop_assert_eq!(found.is_some(), best.is_some());
            let Some(found) = found else { return Ok(()) };
            let sum: i64 = found.rows.iter().chain(&found.columns).sum();
            prop_assert_eq!(Some(sum), best);
            for (row, costs) in cost.iter().enumerate() {
                for (column, cost) in costs.iter().enumerate() {
                    let paid = found.rows[row] + found.columns[column];
                    prop_assert!(cost.is_none_or(|cost| cost >= paid));
                }
            }
        }
    }
}
