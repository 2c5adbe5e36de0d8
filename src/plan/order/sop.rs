//! Sequential ordering problems in the TSPLIB95 text format (G. Reinelt,
//! *TSPLIB 95*, Universität Heidelberg): a full matrix in which −1 in row *i*,
//! column *j* says that *j* comes before *i*. The first node is the start and the
//! last one the end.

use std::fmt;

/// A sequential ordering problem. Nodes are numbered from 0.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sop {
    nodes: usize,
    costs: Vec<Option<u64>>,
    before: Vec<Vec<usize>>,
}

/// Why a text is no sequential ordering problem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SopError {
    /// It has no `EDGE_WEIGHT_SECTION`.
    NoMatrix,
    /// The first number of the matrix, which is its size, is missing or is no
    /// size.
    NoSize(String),
    /// Something in the matrix is no whole number from −1.
    NotANumber {
        /// What stands there.
        found: String,
        /// Row, from 1.
        row: usize,
        /// Column, from 1.
        column: usize,
    },
    /// The matrix has not as many numbers as its size asks for.
    WrongCount {
        /// As many as it should have.
        wanted: usize,
        /// As many as it has.
        found: usize,
    },
}

impl fmt::Display for SopError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoMatrix => f.write_str(
                "There is no line EDGE_WEIGHT_SECTION, and so no matrix. Is this a SOP file?",
            ),
            Self::NoSize(found) => write!(
                f,
                "The matrix should begin with its size, and begins with “{found}”."
            ),
            Self::NotANumber { found, row, column } => {
                write!(
                    f,
                    "Row {row}, column {column}: “{found}” is no whole number from −1."
                )
            }
            Self::WrongCount { wanted, found } => {
                write!(
                    f,
                    "The matrix should hold {wanted} numbers and holds {found}."
                )
            }
        }
    }
}

impl std::error::Error for SopError {}

/// The most nodes that are read; a larger matrix would not fit in memory.
const MOST_NODES: usize = 10_000;

impl Sop {
    /// Reads the text of a SOP file.
    ///
    /// # Errors
    /// When it is not of the format.
    pub fn parse(text: &str) -> Result<Self, SopError> {
        let mut lines = text.lines();
        lines
            .find(|line| line.trim().trim_end_matches(':').trim_end() == "EDGE_WEIGHT_SECTION")
            .ok_or(SopError::NoMatrix)?;
        let mut words = lines
            .flat_map(str::split_whitespace)
            .take_while(|word| *word != "EOF");
        let first = words.next().unwrap_or_default();
        let nodes = first
            .parse()
            .ok()
            .filter(|nodes| (1..=MOST_NODES).contains(nodes));
        let nodes: usize = nodes.ok_or_else(|| SopError::NoSize(first.to_owned()))?;
        let mut costs = Vec::with_capacity(nodes * nodes);
        let mut before = vec![Vec::new(); nodes];
        for (at, word) in words.enumerate() {
            let (row, column) = (at / nodes, at % nodes);
            let number: i64 = word.parse().map_err(|_| not_a_number(word, row, column))?;
            if row >= nodes {
                return Err(SopError::WrongCount {
                    wanted: nodes * nodes,
                    found: at + 1,
                });
            }
            if number == -1 && row != column {
                before[row].push(column);
            }
            costs.push(match number {
                -1 => None,
                _ => Some(u64::try_from(number).map_err(|_| not_a_number(word, row, column))?),
            });
        }
        if costs.len() != nodes * nodes {
            return Err(SopError::WrongCount {
                wanted: nodes * nodes,
                found: costs.len(),
            });
        }
        Ok(Self {
            nodes,
            costs,
            before,
        })
    }

    /// How many nodes.
    pub fn nodes(&self) -> usize {
        self.nodes
    }

    /// The cost of `to` right after `from`; `None` where that is not allowed.
    pub fn cost(&self, from: usize, to: usize) -> Option<u64> {
        self.costs[from * self.nodes + to]
    }

    /// The nodes that come before this one.
    pub fn before(&self, node: usize) -> &[usize] {
        &self.before[node]
    }
}

fn not_a_number(found: &str, row: usize, column: usize) -> SopError {
    SopError::NotANumber {
        found: found.to_owned(),
        row: row + 1,
        column: column + 1,
    }
}
