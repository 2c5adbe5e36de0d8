//! Sequential ordering problems in the TSPLIB95 text format (G. Reinelt,
//! *TSPLIB 95*, Universität Heidelberg): a full matrix in which −1 in row *i*,
//! column *j* says that *j* comes before *i*. The first node is the start and the
//! last one the end.

use std::fmt;

/// A sequential ordering problem that has an order. Nodes are numbered from 0.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sop {
    nodes: usize,
    costs: Vec<Option<u64>>,
    before: Vec<Vec<usize>>,
    sorted: Vec<usize>,
}

/// Why a text is no sequential ordering problem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SopError {
    /// It has no `EDGE_WEIGHT_SECTION`.
    NoMatrix,
    /// A line before the matrix says that this is something else.
    OtherFormat {
        /// Which line: `TYPE`, `EDGE_WEIGHT_TYPE` or `EDGE_WEIGHT_FORMAT`.
        line: &'static str,
        /// What it says.
        found: String,
        /// What it should say.
        wanted: &'static str,
    },
    /// The first number of the matrix, which is its size, is missing or is no
    /// size.
    NoSize(String),
    /// The matrix is larger than can be worked on.
    TooManyNodes(usize),
    /// The line `DIMENSION` and the first number of the matrix differ.
    OtherSize {
        /// What the line says.
        said: String,
        /// The size of the matrix.
        size: usize,
    },
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
    /// These nodes, from 1, must each come before the next, and the last one before
    /// the first.
    Circle(Vec<usize>),
    /// An order could cost more than this.
    TooDear(u64),
}

impl fmt::Display for SopError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoMatrix => f.write_str(
                "There is no line EDGE_WEIGHT_SECTION, and so no matrix. Is this a SOP file?",
            ),
            Self::OtherFormat {
                line,
                found,
                wanted,
            } => write!(
                f,
                "The line {line} says “{found}”; only {wanted} can be read here."
            ),
            Self::NoSize(found) => write!(
                f,
                "The matrix should begin with its size, and begins with “{found}”."
            ),
            Self::TooManyNodes(nodes) => write!(
                f,
                "The matrix has {nodes} nodes; more than {MOST_NODES} are not worked on."
            ),
            Self::OtherSize { said, size } => write!(
                f,
                "The line DIMENSION says “{said}”, and the matrix begins with {size}. One of \
                 them is wrong."
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
            Self::Circle(nodes) => {
                let names: Vec<String> = nodes
                    .iter()
                    .chain(nodes.first())
                    .map(usize::to_string)
                    .collect();
                let names = names.join(" before ");
                write!(
                    f,
                    "No order is possible: node {names}. Take one of these −1 out."
                )
            }
            Self::TooDear(most) => write!(
                f,
                "An order could cost more than {most}, which is not worked on. Divide all \
                 costs by a common number."
            ),
        }
    }
}

impl std::error::Error for SopError {}

/// The most nodes that are worked on.
pub const MOST_NODES: usize = 512;

/// The most that an order may cost, so that sums of costs fit in 32 bits.
pub const MOST_COST: u64 = 1 << 27;

impl Sop {
    /// Reads the text of a SOP file.
    ///
    /// # Errors
    /// When it is not of the format, has no order, or is beyond [`MOST_NODES`] or
    /// [`MOST_COST`].
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
                "TYPE" => says("TYPE", value, "SOP")?,
                "EDGE_WEIGHT_TYPE" => says("EDGE_WEIGHT_TYPE", value, "EXPLICIT")?,
                "EDGE_WEIGHT_FORMAT" => says("EDGE_WEIGHT_FORMAT", value, "FULL_MATRIX")?,
                _ => {}
            }
        }
        let mut words = lines
            .flat_map(str::split_whitespace)
            .take_while(|word| *word != "EOF");
        let first = words.next().unwrap_or_default();
        let nodes = first.parse().ok().filter(|nodes| *nodes > 0);
        let nodes: usize = nodes.ok_or_else(|| SopError::NoSize(first.to_owned()))?;
        if nodes > MOST_NODES {
            return Err(SopError::TooManyNodes(nodes));
        }
        if let Some(said) = dimension.filter(|said| said.parse() != Ok(nodes)) {
            return Err(SopError::OtherSize {
                said: said.to_owned(),
                size: nodes,
            });
        }
        let (costs, before) = matrix(words, nodes)?;
        let mut it = Self {
            nodes,
            costs,
            before,
            sorted: Vec::new(),
        };
        it.sorted = it.sort().map_err(SopError::Circle)?;
        let dearest = (0..nodes).map(|node| it.dearest_from(node));
        if dearest.fold(0, u64::saturating_add) > MOST_COST {
            return Err(SopError::TooDear(MOST_COST));
        }
        Ok(it)
    }

    /// How many nodes.
    pub fn nodes(&self) -> usize {
        self.nodes
    }

    /// The cost of `to` right after `from`; `None` where that is not allowed.
    pub fn cost(&self, from: usize, to: usize) -> Option<u64> {
        self.costs[from * self.nodes + to]
    }

    /// The nodes that come before this one, as the matrix says it.
    pub fn before(&self, node: usize) -> &[usize] {
        &self.before[node]
    }

    /// The nodes so that each stands after those that come before it.
    pub(super) fn sorted(&self) -> &[usize] {
        &self.sorted
    }

    /// What it costs at the most to go on from a node; never from the first to the
    /// last one where there are others.
    fn dearest_from(&self, from: usize) -> u64 {
        let last = self.nodes - 1;
        let ends = (1..self.nodes).filter(|to| from > 0 || *to != last || last == 1);
        let costs = ends.filter_map(|to| self.cost(from, to));
        costs.max().unwrap_or(0)
    }

    /// Nodes after those before them, or a circle of nodes, from 1.
    fn sort(&self) -> Result<Vec<usize>, Vec<usize>> {
        let (nodes, last) = (self.nodes, self.nodes - 1);
        let mut must = vec![false; nodes * nodes];
        for (late, before) in self.before.iter().enumerate() {
            let implied = match late {
                0 => 0..0,
                _ if late == last => 0..last,
                _ => 0..1,
            };
            for early in before.iter().copied().chain(implied) {
                must[early * nodes + late] = true;
            }
        }
        let must = |early: usize, late: usize| must[early * nodes + late];
        let waits = |node: usize| (0..nodes).filter(|early| must(*early, node)).count();
        let mut waits: Vec<usize> = (0..nodes).map(waits).collect();
        let mut order: Vec<usize> = (0..nodes).filter(|node| waits[*node] == 0).collect();
        let mut at = 0;
        while let Some(early) = order.get(at).copied() {
            at += 1;
            for late in (0..nodes).filter(|late| must(early, *late)) {
                waits[late] -= 1;
                if waits[late] == 0 {
                    order.push(late);
                }
            }
        }
        let left: Vec<usize> = (0..nodes).filter(|node| waits[*node] > 0).collect();
        match left.is_empty() {
            true => Ok(order),
            false => Err(circle(&left, must)),
        }
    }
}

/// Walks back from a node for as long as there is one before, which there always
/// is, up to a node where it was already.
fn circle(left: &[usize], must: impl Fn(usize, usize) -> bool) -> Vec<usize> {
    let mut walked = vec![left[0]];
    loop {
        let now = walked[walked.len() - 1];
        let Some(before) = left.iter().copied().find(|other| must(*other, now)) else {
            return walked;
        };
        if let Some(at) = walked.iter().position(|node| *node == before) {
            return walked[at..].iter().rev().map(|node| node + 1).collect();
        }
        walked.push(before);
    }
}

fn says(line: &'static str, found: &str, wanted: &'static str) -> Result<(), SopError> {
    match found == wanted {
        true => Ok(()),
        false => Err(SopError::OtherFormat {
            line,
            found: found.to_owned(),
            wanted,
        }),
    }
}

/// The costs, row by row, and for each node those before it.
type Matrix = (Vec<Option<u64>>, Vec<Vec<usize>>);

fn matrix<'a>(words: impl Iterator<Item = &'a str>, nodes: usize) -> Result<Matrix, SopError> {
    let mut costs = Vec::with_capacity(nodes * nodes);
    let mut before = vec![Vec::new(); nodes];
    for (at, word) in words.enumerate() {
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
