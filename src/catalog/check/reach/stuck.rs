//! A leg that cannot be reached.

use super::routes::{Chain, Mode, Node};

/// A leg that is not reached, and the cause.
pub(super) struct Stuck {
    pub(super) node: Node,
    pub(super) mode: Mode,
    pub(super) chain: Chain,
}
