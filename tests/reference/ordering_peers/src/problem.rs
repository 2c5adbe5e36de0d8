//! The problem as the peers' models want it.

use fixedbitset::FixedBitSet;

/// A sequential ordering problem.
#[derive(Clone)]
pub struct Problem {
    pub nodes: usize,
    /// The cost of each pair; `None` where the second cannot come right after the
    /// first.
    pub costs: Vec<Vec<Option<i64>>>,
    /// All nodes before each node.
    pub before: Vec<FixedBitSet>,
    /// The cheapest way into each node.
    pub into: Vec<i64>,
}

impl Problem {
    /// Reads a TSPLIB file.
    pub fn parse(text: &str) -> Result<Self, String> {
        let (_, matrix) = text.split_once("EDGE_WEIGHT_SECTION").ok_or("no matrix")?;
        let words = matrix.split_whitespace().take_while(|word| *word != "EOF");
        let numbers: Result<Vec<i64>, _> = words.map(str::parse).collect();
        let numbers = numbers.map_err(|error| error.to_string())?;
        let nodes = usize::try_from(*numbers.first().ok_or("no size")?).map_err(|_| "size")?;
        if numbers.len() != 1 + nodes * nodes {
            return Err("not as many numbers as it should have".to_owned());
        }
        let at = |row: usize, column: usize| numbers[1 + row * nodes + column];
        let mut before = vec![FixedBitSet::with_capacity(nodes); nodes];
        for row in 0..nodes {
            for column in 0..nodes {
                let ends = (column == 0 || row == nodes - 1) && row != column;
                before[row].set(column, ends || row != column && at(row, column) == -1);
            }
        }
        loop {
            let was = before.clone();
            for set in &mut before {
                for node in set.clone().ones() {
                    set.union_with(&was[node]);
                }
            }
            if was == before {
                break;
            }
        }
        let follows = |from: usize, to: usize| {
            let between = (0..nodes).any(|it| before[it].contains(from) && before[to].contains(it));
            from != to && !before[from].contains(to) && !between
        };
        let cost = |from, to| follows(from, to).then(|| at(from, to));
        let row = |from| (0..nodes).map(|to| cost(from, to)).collect::<Vec<_>>();
        let costs: Vec<Vec<Option<i64>>> = (0..nodes).map(row).collect();
        let least = |to: usize| costs.iter().filter_map(|row| row[to]).min().unwrap_or(0);
        let into = (0..nodes).map(least).collect();
        Ok(Self {
            nodes,
            costs,
            before,
            into,
        })
    }
}
