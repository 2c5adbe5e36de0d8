//! Properties of the solver: brute force on small problems, the same problem reversed, the
//! same answer twice, bounds that hold whenever it is stopped; and files that are not in the
//! format.

use std::cell::Cell;

use lidoff_sequencing::{DEFAULT_MEMORY, Solution, Sop, SopError, solve};
use proptest::prelude::*;

/// A matrix as it stands in a file. −1: the column comes before the row.
type Rows = Vec<Vec<i64>>;

fn text(rows: &Rows) -> String {
    let line = |row: &Vec<i64>| row.iter().map(i64::to_string).collect::<Vec<_>>().join(" ");
    let lines: Vec<String> = rows.iter().map(line).collect();
    format!(
        "TYPE: SOP\nEDGE_WEIGHT_SECTION\n{}\n{}\nEOF\n",
        rows.len(),
        lines.join("\n")
    )
}

fn read(rows: &Rows) -> Sop {
    Sop::parse(&text(rows)).unwrap_or_else(|error| panic!("{error}"))
}

fn solved(rows: &Rows) -> Solution {
    solve(&read(rows), DEFAULT_MEMORY, &mut || true)
}

/// The cost of a sequence; `None` where it is not legal.
fn cost(rows: &Rows, order: &[usize]) -> Option<u64> {
    let mut nodes = order.to_vec();
    nodes.sort_unstable();
    let every: Vec<usize> = (0..rows.len()).collect();
    let ends = order.first() == Some(&0) && order.last() == Some(&(rows.len() - 1));
    let early = |at: usize| {
        order[at + 1..]
            .iter()
            .all(|late| rows[order[at]][*late] != -1)
    };
    let legal = nodes == every && ends && (0..order.len()).all(early);
    let sum: i64 = order.windows(2).map(|pair| rows[pair[0]][pair[1]]).sum();
    legal.then_some(sum.unsigned_abs())
}

/// The least cost, by trying every legal sequence.
fn brute(rows: &Rows, order: &mut Vec<usize>, sum: i64, best: &mut i64) {
    let nodes = rows.len();
    if order.len() == nodes {
        *best = sum.min(*best);
        return;
    }
    for next in 1..nodes {
        let free = !order.contains(&next)
            && (0..nodes)
                .all(|other| rows[next][other] != -1 || other == next || order.contains(&other))
            && (next < nodes - 1 || order.len() == nodes - 1);
        if free {
            let last = order[order.len() - 1];
            order.push(next);
            brute(rows, order, sum + rows[last][next], best);
            order.pop();
        }
    }
}

/// The same problem, reversed.
fn mirrored(rows: &Rows) -> Rows {
    let nodes = rows.len();
    let turned = |row: usize| (0..nodes).map(move |column| (nodes - 1 - column, nodes - 1 - row));
    (0..nodes)
        .map(|row| turned(row).map(|(from, to)| rows[from][to]).collect())
        .collect()
}

/// Problems with costs below `dearest`, in which this percentage of the pairs is in a fixed
/// order, not always along the numbering.
fn problems(nodes: std::ops::RangeInclusive<usize>, dearest: i64) -> impl Strategy<Value = Rows> {
    (nodes, 0u32..=90).prop_flat_map(move |(nodes, percent)| {
        let names = Just((1..nodes.max(2) - 1).collect::<Vec<usize>>()).prop_shuffle();
        let costs = prop::collection::vec(prop::collection::vec(0..dearest, nodes), nodes);
        let fixed = prop::collection::vec(0u32..100, nodes * nodes);
        (names, costs, fixed).prop_map(move |(names, mut rows, fixed)| {
            let last = nodes - 1;
            for (node, row) in rows.iter_mut().enumerate() {
                row[node] = 0;
                if node > 0 {
                    row[0] = -1;
                }
            }
            rows[last][..last].fill(-1);
            for (late, late_name) in names.iter().enumerate() {
                for (early, early_name) in names[..late].iter().enumerate() {
                    if fixed[late * nodes + early] < percent {
                        rows[*late_name][*early_name] = -1;
                    }
                }
            }
            rows
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn no_order_is_cheaper_than_the_one_that_is_proven(rows in problems(2..=9, 60)) {
        let mut least = i64::MAX;
        brute(&rows, &mut vec![0], 0, &mut least);
        let ordered = solved(&rows);
        prop_assert!(ordered.is_proven());
        prop_assert_eq!(ordered.cost, least.unsigned_abs());
        prop_assert_eq!(cost(&rows, &ordered.order), Some(ordered.cost));
    }

    #[test]
    fn ties_and_expensive_pairs_are_solved_too(rows in problems(5..=8, 3), dear in 1i64..15_000_000) {
        let rows: Rows = rows
            .into_iter()
            .map(|row| row.into_iter().map(|cost| if cost == 2 { dear } else { cost }).collect())
            .collect();
        let mut least = i64::MAX;
        brute(&rows, &mut vec![0], 0, &mut least);
        prop_assert_eq!(solved(&rows).cost, least.unsigned_abs());
        prop_assert_eq!(solved(&rows).bound, least.unsigned_abs());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn the_reversed_problem_has_the_same_cost(rows in problems(10..=16, 100)) {
        let (there, back) = (solved(&rows), solved(&mirrored(&rows)));
        prop_assert!(there.is_proven() && back.is_proven());
        prop_assert_eq!(there.cost, back.cost);
    }

    #[test]
    fn the_same_problem_has_the_same_answer(rows in problems(10..=16, 100)) {
        prop_assert_eq!(solved(&rows), solved(&rows));
    }

    #[test]
    fn a_solver_that_is_stopped_returns_a_legal_order_and_a_valid_bound(
        rows in problems(10..=16, 100),
        asked in 0usize..60,
    ) {
        let least = solved(&rows);
        prop_assert!(least.is_proven());
        let left = Cell::new(asked);
        let ordered = solve(&read(&rows), DEFAULT_MEMORY, &mut || {
            let more = left.get() > 0;
            left.set(left.get().saturating_sub(1));
            more
        });
        prop_assert!(ordered.bound <= least.cost);
        prop_assert!(least.cost <= ordered.cost);
        prop_assert_eq!(cost(&rows, &ordered.order), Some(ordered.cost));
    }

    #[test]
    fn with_hardly_any_memory_the_bound_holds_and_it_ends(rows in problems(12..=20, 100)) {
        let least = solved(&rows);
        let ordered = solve(&read(&rows), 20_000, &mut || true);
        prop_assert!(ordered.bound <= least.cost);
        prop_assert!(least.cost <= ordered.cost);
        prop_assert_eq!(cost(&rows, &ordered.order), Some(ordered.cost));
    }
}

/// Three nodes in a row.
const PLAIN: &str = "NAME: t\nTYPE: SOP\nDIMENSION: 3\nEDGE_WEIGHT_TYPE: EXPLICIT\n\
                     EDGE_WEIGHT_FORMAT: FULL_MATRIX\nEDGE_WEIGHT_SECTION\n3\n\
                     0 4 9\n-1 0 5\n-1 -1 0\nEOF\n";

/// The error for this file after one change.
fn refused(old: &str, new: &str) -> SopError {
    assert!(PLAIN.contains(old), "{old}");
    match Sop::parse(&PLAIN.replacen(old, new, 1)) {
        Ok(sop) => panic!("{new}: read as {sop:?}"),
        Err(error) => error,
    }
}

#[test]
fn the_plain_file_is_read() {
    let sop = Sop::parse(PLAIN).unwrap_or_else(|error| panic!("{error}"));
    let ordered = solve(&sop, DEFAULT_MEMORY, &mut || true);
    assert_eq!((ordered.order, ordered.cost), (vec![0, 1, 2], 9));
}

#[test]
fn one_node_alone_is_an_order() {
    assert_eq!(solved(&vec![vec![0]]).order, vec![0]);
}

#[test]
fn every_fault_of_a_file_is_reported() {
    assert_eq!(Sop::parse("").err(), Some(SopError::NoMatrix));
    let format = |line, found: &str, wanted| SopError::OtherFormat {
        line,
        found: found.to_owned(),
        wanted,
    };
    assert_eq!(refused("SOP", "ATSP"), format("TYPE", "ATSP", "SOP"));
    assert_eq!(
        refused("EXPLICIT", "EUC_2D"),
        format("EDGE_WEIGHT_TYPE", "EUC_2D", "EXPLICIT")
    );
    assert_eq!(
        refused("FULL_MATRIX", "UPPER_ROW"),
        format("EDGE_WEIGHT_FORMAT", "UPPER_ROW", "FULL_MATRIX")
    );
    assert_eq!(
        refused("DIMENSION: 3", "DIMENSION: 4"),
        SopError::OtherSize {
            stated: "4".to_owned(),
            size: 3
        }
    );
    assert_eq!(refused("\n3\n", "\nx\n"), SopError::NoSize("x".to_owned()));
    assert_eq!(refused("\n3\n", "\n0\n"), SopError::NoSize("0".to_owned()));
    assert_eq!(
        refused("\n3\n", "\n99999\n"),
        SopError::TooManyNodes(99_999)
    );
    let number = |found: &str| SopError::NotANumber {
        found: found.to_owned(),
        row: 2,
        column: 3,
    };
    assert_eq!(refused("0 5", "0 five"), number("five"));
    assert_eq!(refused("0 5", "0 -2"), number("-2"));
    let count = |found| SopError::WrongCount { wanted: 9, found };
    assert_eq!(refused(" -1 0\nEOF", "\nEOF"), count(7));
    assert_eq!(refused("-1 0\nEOF", "-1 0 7\nEOF"), count(10));
    assert_eq!(refused("0 4 9", "0 -1 9"), SopError::Cycle(vec![2, 1]));
    assert!(matches!(
        refused("0 4 9", "0 999999999 9"),
        SopError::TooExpensive(_)
    ));
}

#[test]
fn a_circle_is_named_in_its_order() {
    let rows: Rows = vec![
        vec![0, 1, 1, 1, 1],
        vec![-1, 0, 1, -1, 1],
        vec![-1, -1, 0, 1, 1],
        vec![-1, 1, -1, 0, 1],
        vec![-1, -1, -1, -1, 0],
    ];
    let Err(error) = Sop::parse(&text(&rows)) else {
        panic!("a circle has no order");
    };
    let SopError::Cycle(nodes) = &error else {
        panic!("{error:?}");
    };
    assert_eq!(nodes.len(), 3);
    for at in 0..3 {
        let (early, late) = (nodes[at] - 1, nodes[(at + 1) % 3] - 1);
        assert_eq!(rows[late][early], -1, "{error}");
    }
}
