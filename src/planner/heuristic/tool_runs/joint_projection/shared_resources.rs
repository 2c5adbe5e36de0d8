//! The tools and faces that are looked at together.

use rustc_hash::FxHashMap;

use crate::bit_set::BitSet;

use super::super::super::leg_profile::ResourcesUsed;
use super::super::operations::OperationGraph;
use super::variant::{Current, OTHER};

/// One tool or face.
pub(super) struct SharedResource {
    /// The index of its projection.
    pub projection: usize,
    /// The tool, or the face.
    pub number: u16,
    /// The price of a change to it, in tenths.
    pub price: u64,
}

/// The tools, then the faces.
pub(super) struct SharedResources {
    pub all: Vec<SharedResource>,
    tools: usize,
}

impl SharedResources {
    /// The tools that are used on more than one face, and every face; `None` where there is
    /// no such tool, or there are more resources than bits. The first `tools` projections
    /// are those of tools.
    pub fn new(graph: &OperationGraph, tools: usize, prices: [u64; 2]) -> Option<Self> {
        let shared_tools = tools_on_several_faces(graph);
        let faces = used_faces(graph);
        let count = shared_tools.iter().chain(faces.iter()).count();
        if shared_tools.is_empty() || count > u64::BITS as usize {
            return None;
        }
        let resource = |side: usize, number: usize| SharedResource {
            projection: number + [0, tools][side],
            number: number as u16,
            price: prices[side],
        };
        let all = shared_tools.iter().map(|tool| resource(0, tool));
        let all = all.chain(faces.iter().map(|face| resource(1, face)));
        Some(Self {
            all: all.collect(),
            tools: shared_tools.iter().count(),
        })
    }

    /// The tool in hand and the face up, by their indices here.
    pub fn current(&self, tool: u16, face: u16) -> Current {
        let (tools, faces) = self.all.split_at(self.tools);
        let index = |resources: &[SharedResource], number, first: usize| {
            let position = resources.iter().position(|one| one.number == number);
            position.map_or(OTHER, |position| (first + position) as u8)
        };
        [index(tools, tool, 0), index(faces, face, self.tools)]
    }

    pub fn price(&self, resource: u8) -> u64 {
        let resource = self.all.get(usize::from(resource));
        resource.map_or(0, |resource| resource.price)
    }
}

fn used(graph: &OperationGraph) -> impl Iterator<Item = &ResourcesUsed> {
    graph.used.iter().flatten()
}

fn tools_on_several_faces(graph: &OperationGraph) -> BitSet {
    let mut first_face: FxHashMap<u16, u16> = FxHashMap::default();
    let mut several = BitSet::empty(graph.resource_count(|used| &used.tools));
    for used in used(graph) {
        for tool in &used.tools {
            for face in &used.faces {
                if first_face.entry(*tool).or_insert(*face) != face {
                    several.insert(usize::from(*tool));
                }
            }
        }
    }
    several
}

fn used_faces(graph: &OperationGraph) -> BitSet {
    let mut faces = BitSet::empty(graph.resource_count(|used| &used.faces));
    for face in used(graph).flat_map(|used| &used.faces) {
        faces.insert(usize::from(*face));
    }
    faces
}
