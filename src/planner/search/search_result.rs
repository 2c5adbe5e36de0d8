//! What a search finds.

pub enum SearchResult<A> {
    /// A path, and a lower bound on every path. Where the two are equal it is proven
    /// cheapest.
    Path {
        actions: Vec<A>,
        cost: u64,
        bound: u64,
        states: usize,
    },
    NoPath,
    /// The limit was met before any path was found.
    LimitReached {
        states: usize,
    },
}
