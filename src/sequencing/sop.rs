//! Sequential ordering problems in the TSPLIB95 text format (G. Reinelt, *TSPLIB 95*,
//! Universität Heidelberg): a full matrix in which −1 in row *i*, column *j* says that *j*
//! comes before *i*. The first node is the start and the last one is the end.

use std::fmt;

/// A sequential ordering problem that has a solution. Nodes are numbered from 0.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sop {
    nodes: usize,
    costs: Vec<Option<u64>>,
    before: Vec<Vec<usize>>,
    sorted: Vec<usize>,
}

/// Why a text is not a sequential ordering problem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SopError {
    /// It has no `EDGE_WEIGHT_SECTION`.
    NoMatrix,
    /// A line before the matrix names a format that is not supported.
    OtherFormat {
        /// `TYPE`, `EDGE_WEIGHT_TYPE` or `EDGE_WEIGHT_FORMAT`.
        line: &'static str,
        found: String,
        wanted: &'static str,
    },
    /// The size of the matrix, which is its first number, is missing or is not a size.
    NoSize(String),
    /// The matrix is larger than [`MAX_NODES`].
    TooManyNodes(usize),
    /// The line `DIMENSION` and the first number of the matrix differ.
    OtherSize {
        /// What the line says.
        stated: String,
        size: usize,
    },
    /// An entry of the matrix is not a whole number of at least −1.
    NotANumber {
        found: String,
        /// From 1.
        row: usize,
        /// From 1.
        column: usize,
    },
    /// The number of entries does not match the size.
    WrongCount { wanted: usize, found: usize },
    /// Each of these nodes, numbered from 1, must come before the next one, and the last one
    /// before the first.
    Cycle(Vec<usize>),
    /// The cost of a sequence could exceed the limit.
    TooExpensive(u64),
}

impl fmt::Display for SopError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoMatrix => f.write_str(
                "The line EDGE_WEIGHT_SECTION is missing. Check that this is a SOP file.",
            ),
            Self::OtherFormat {
                line,
                found,
                wanted,
            } => write!(
                f,
                "The line {line} says “{found}”, but only {wanted} is supported."
            ),
            Self::NoSize(found) => write!(
                f,
                "The matrix should begin with its size, but it begins with “{found}”."
            ),
            Self::TooManyNodes(nodes) => write!(
                f,
                "The matrix has {nodes} nodes. At most {MAX_NODES} are supported."
            ),
            Self::OtherSize { stated, size } => write!(
                f,
                "The line DIMENSION says “{stated}”, but the matrix begins with {size}. Correct \
                 the wrong one."
            ),
            Self::NotANumber { found, row, column } => {
                write!(
                    f,
                    "Row {row}, column {column}: “{found}” is not a whole number of −1 or more."
                )
            }
            Self::WrongCount { wanted, found } => {
                write!(
                    f,
                    "The matrix should hold {wanted} numbers, but it holds {found}."
                )
            }
            Self::Cycle(nodes) => {
                let names: Vec<String> = nodes
                    .iter()
                    .chain(nodes.first())
                    .map(usize::to_string)
                    .collect();
                let names = names.join(" before ");
                write!(
                    f,
                    "No order is possible: node {names}. Remove one of these −1."
                )
            }
            Self::TooExpensive(most) => write!(
                f,
                "The cost of an order could exceed the limit of {most}. Divide all costs by \
                 a common number."
            ),
        }
    }
}

impl std::error::Error for SopError {}

/// The most nodes of a problem.
pub const MAX_NODES: usize = 512;

/// The most that a sequence may cost, so that sums of costs fit into 32 bits.
pub const MAX_COST: u64 = 1 << 27;

impl Sop {
    /// Reads the text of a SOP file.
    ///
    /// # Errors Where it is not in the format, has no solution, or exceeds [`MAX_NODES`] or
    /// [`MAX_COST`].
    pub fn parse(text: &str) -> Result<Self, SopError> {
        let mut lines = text.lines();
        let mut dimension = None;
        loop {
            let line = lines.next().ok_or(SopError::NoMatrix)?;
            let (key, value) = line.split_once(':').unwrap_or((line, ""));
            let value = value.trim();
            match key.trim() {
                "EDGE_WEIGHT_SECTION" => break,
                "DIMENSION" => dimension = Some(value),
                "TYPE" => expect_value("TYPE", value, "SOP")?,
                "EDGE_WEIGHT_TYPE" => expect_value("EDGE_WEIGHT_TYPE", value, "EXPLICIT")?,
                "EDGE_WEIGHT_FORMAT" => expect_value("EDGE_WEIGHT_FORMAT", value, "FULL_MATRIX")?,
                _ => {}
            }
        }
        let mut tokens = lines
            .flat_map(str::split_whitespace)
            .take_while(|word| *word != "EOF");
        let first = tokens.next().unwrap_or_default();
        let nodes = first.parse().ok().filter(|nodes| *nodes > 0);
        let nodes: usize = nodes.ok_or_else(|| SopError::NoSize(first.to_owned()))?;
        if nodes > MAX_NODES {
            return Err(SopError::TooManyNodes(nodes));
        }
        if let Some(stated) = dimension.filter(|stated| stated.parse() != Ok(nodes)) {
            return Err(SopError::OtherSize {
                stated: stated.to_owned(),
                size: nodes,
            });
        }
        let (costs, before) = parse_matrix(tokens, nodes)?;
        let mut sop = Self {
            nodes,
            costs,
            before,
            sorted: Vec::new(),
        };
        sop.sorted = sop.sort().map_err(SopError::Cycle)?;
        let highest_cost = (0..nodes).map(|node| sop.most_expensive_from(node));
        if highest_cost.fold(0, u64::saturating_add) > MAX_COST {
            return Err(SopError::TooExpensive(MAX_COST));
        }
        Ok(sop)
    }

    pub fn nodes(&self) -> usize {
        self.nodes
    }

    /// The cost of `to` directly after `from`; `None` where that is not allowed.
    pub fn cost(&self, from: usize, to: usize) -> Option<u64> {
        self.costs[from * self.nodes + to]
    }

    /// The nodes that come before this one, as written in the matrix.
    pub fn before(&self, node: usize) -> &[usize] {
        &self.before[node]
    }

    /// The nodes in a topological order.
    pub(super) fn sorted(&self) -> &[usize] {
        &self.sorted
    }

    /// The most expensive arc out of a node; never from the first to the last one where there
    /// are others.
    fn most_expensive_from(&self, from: usize) -> u64 {
        let last = self.nodes - 1;
        let ends = (1..self.nodes).filter(|to| from > 0 || *to != last || last == 1);
        let costs = ends.filter_map(|to| self.cost(from, to));
        costs.max().unwrap_or(0)
    }

    /// A topological order, or a cycle of nodes numbered from 1.
    fn sort(&self) -> Result<Vec<usize>, Vec<usize>> {
        let (nodes, last) = (self.nodes, self.nodes - 1);
        let mut precedes = vec![false; nodes * nodes];
        for (late, before) in self.before.iter().enumerate() {
            let implied = match late {
                0 => 0..0,
                _ if late == last => 0..last,
                _ => 0..1,
            };
            for early in before.iter().copied().chain(implied) {
                precedes[early * nodes + late] = true;
            }
        }
        let precedes = |early: usize, late: usize| precedes[early * nodes + late];
        let unmet = |node: usize| (0..nodes).filter(|early| precedes(*early, node)).count();
        let mut unmet: Vec<usize> = (0..nodes).map(unmet).collect();
        let mut order: Vec<usize> = (0..nodes).filter(|node| unmet[*node] == 0).collect();
        let mut at = 0;
        while let Some(early) = order.get(at).copied() {
            at += 1;
            for late in (0..nodes).filter(|late| precedes(early, *late)) {
                unmet[late] -= 1;
                if unmet[late] == 0 {
                    order.push(late);
                }
            }
        }
        let left: Vec<usize> = (0..nodes).filter(|node| unmet[*node] > 0).collect();
        match left.is_empty() {
            true => Ok(order),
            false => Err(find_cycle(&left, precedes)),
        }
    }
}

/// Walks backwards from a node until it comes to one that it has visited. Each of these nodes
/// has one before it.
fn find_cycle(left: &[usize], precedes: impl Fn(usize, usize) -> bool) -> Vec<usize> {
    let mut walked = vec![left[0]];
    loop {
        let now = walked[walked.len() - 1];
        let Some(before) = left.iter().copied().find(|other| precedes(*other, now)) else {
            return walked;
        };
        if let Some(at) = walked.iter().position(|node| *node == before) {
            return walked[at..].iter().rev().map(|node| node + 1).collect();
        }
        walked.push(before);
    }
}

fn expect_value(line: &'static str, found: &str, wanted: &'static str) -> Result<(), SopError> {
    match found == wanted {
        true => Ok(()),
        false => Err(SopError::OtherFormat {
            line,
            found: found.to_owned(),
            wanted,
        }),
    }
}

/// The costs, row by row, and for each node the nodes before it.
type ParsedMatrix = (Vec<Option<u64>>, Vec<Vec<usize>>);

fn parse_matrix<'a>(
    tokens: impl Iterator<Item = &'a str>,
    nodes: usize,
) -> Result<ParsedMatrix, SopError> {
    let mut costs = Vec::with_capacity(nodes * nodes);
    let mut before = vec![Vec::new(); nodes];
    for (at, word) in tokens.enumerate() {
        let (row, column) = (at / nodes, at % nodes);
        if row >= nodes {
            return Err(SopError::WrongCount {
                wanted: nodes * nodes,
                found: at + 1,
            });
        }
        let wrong = || SopError::NotANumber {
            found: word.to_owned(),
            row: row + 1,
            column: column + 1,
        };
        let number: i64 = word.parse().map_err(|_| wrong())?;
        if number == -1 && row != column {
            before[row].push(column);
        }
        costs.push(match number {
            -1 => None,
            _ => Some(u64::try_from(number).map_err(|_| wrong())?),
        });
    }
    if costs.len() != nodes * nodes {
        return Err(SopError::WrongCount {
            wanted: nodes * nodes,
            found: costs.len(),
        });
    }
    Ok((costs, before))
}
