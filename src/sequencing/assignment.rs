//! What the cheapest assignment of a next node to each node pays for, laid on rows
//! and columns.
//!
//! Every order gives each node but the last one a next node, and each but the first
//! one a node before: an assignment. H. W. Kuhn, "The Hungarian method for the
//! assignment problem", *Naval Research Logistics Quarterly* 2 (1955) 83–97, with a
//! shortest way to one more pair each time: R. Jonker, A. Volgenant, *Computing* 38
//! (1987) 325–340 (both from memory).

/// What each row and each column pays at the cheapest assignment.
pub(super) struct Shares {
    pub rows: Vec<i64>,
    pub columns: Vec<i64>,
}

/// More than any sum of costs.
const FAR: i64 = i64::MAX / 4;

/// Shares such that no pair costs less than its row and its column pay, and all
/// shares together are what the cheapest assignment of every row costs, each to a
/// column of its own. `None` where there is no such assignment. `cost` is `None` for
/// a pair that cannot be.
pub(super) fn shares(
    rows: usize,
    columns: usize,
    cost: impl Fn(usize, usize) -> Option<i64>,
) -> Option<Shares> {
    let mut shares = Shares {
        rows: vec![0; rows],
        columns: vec![0; columns],
    };
    // The row that each column belongs to.
    let mut taken: Vec<Option<usize>> = vec![None; columns];
    for first in 0..rows {
        // How far each column is from the first row, and by which column one comes.
        let mut far = vec![FAR; columns];
        let mut by: Vec<Option<usize>> = vec![None; columns];
        let mut seen = vec![false; columns];
        let (mut row, mut from, mut gone) = (first, None, 0);
        let free = loop {
            for column in (0..columns).filter(|column| !seen[*column]) {
                let Some(cost) = cost(row, column) else {
                    continue;
                };
                let there = gone + cost - shares.rows[row] - shares.columns[column];
                if there < far[column] {
                    (far[column], by[column]) = (there, from);
                }
            }
            let near = (0..columns).filter(|column| !seen[*column]);
            let near = near.min_by_key(|column| far[*column])?;
            if far[near] >= FAR {
                return None;
            }
            (seen[near], gone) = (true, far[near]);
            match taken[near] {
                Some(next) => (row, from) = (next, Some(near)),
                None => break near,
            }
        };
        shares.rows[first] += gone;
        for column in (0..columns).filter(|column| seen[*column]) {
            let less = gone - far[column];
            shares.columns[column] -= less;
            if let Some(row) = taken[column] {
                shares.rows[row] += less;
            }
        }
        let mut column = free;
        while let Some(before) = by[column] {
            taken[column] = taken[before];
            column = before;
        }
        taken[column] = Some(first);
    }
    Some(shares)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Sop;
    use crate::matrix::{Matrix, NEVER};
    use crate::memory::Memory;
    use crate::relax::{Prices, Table, Ways};
    use proptest::prelude::*;

    /// The cheapest assignment of the rows from this one on to columns that are free.
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

    /// Problems without precedence but for their ends, as files.
    fn problems() -> impl Strategy<Value = String> {
        (3..7_usize).prop_flat_map(|nodes| {
            proptest::collection::vec(0..60_i64, nodes * nodes).prop_map(move |costs| {
                let cost = |at: usize| match (at / nodes, at % nodes) {
                    (row, column) if row == column => 0,
                    (row, column) if column == 0 || row == nodes - 1 => -1,
                    _ => costs[at],
                };
                let costs: Vec<String> =
                    (0..nodes * nodes).map(|at| cost(at).to_string()).collect();
                let text = costs.join(" ");
                format!("TYPE: SOP\nEDGE_WEIGHT_SECTION\n{nodes}\n{text}\nEOF\n")
            })
        })
    }

    /// What the cheapest order costs that begins so, in units.
    fn cheapest(matrix: &Matrix<1>, order: &mut Vec<usize>) -> i64 {
        if order.len() == matrix.nodes {
            return matrix.sum(order);
        }
        let mut best = i64::from(NEVER);
        for next in 1..matrix.nodes {
            let is_last = next == matrix.nodes - 1;
            if !order.contains(&next) && is_last == (order.len() == matrix.nodes - 1) {
                order.push(next);
                best = best.min(cheapest(matrix, order));
                order.pop();
            }
        }
        best
    }

    proptest! {
        #[test]
        fn at_the_prices_of_the_assignment_the_bound_is_between_it_and_the_cheapest_order(
            text in problems(),
            parts in 1..9_i32,
        ) {
            let sop = Sop::parse(&text).unwrap_or_else(|error| panic!("{error}"));
            let matrix = Matrix::<1>::new(&sop);
            let rest = matrix.nodes - 1;
            let found = shares(rest, rest, |from, next| {
                let cost = matrix.cost(from, next + 1);
                (cost < NEVER).then(|| i64::from(cost))
            });
            let Some(found) = found else { return Ok(()) };
            let assigned: i64 = found.rows.iter().chain(&found.columns).sum();
            let ways = Ways::new(&matrix, i64::from(NEVER));
            let mut table = Table::new(&matrix, Memory::none(&matrix), &ways);
            let prices = Prices::of_assignment(&matrix, parts);
            prop_assert!(table.fill(&ways, &prices, &mut || true));
            let bound = i64::from(table.root()) + prices.sum();
            let parts = i64::from(parts);
            prop_assert!(assigned * parts <= bound);
            prop_assert!(bound <= cheapest(&matrix, &mut vec![0]) * parts);
        }

        #[test]
        fn shares_add_up_to_the_cheapest_assignment_and_no_pair_costs_less(cost in costs()) {
            let size = cost.len();
            let found = shares(size, size, |row, column| cost[row][column]);
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
