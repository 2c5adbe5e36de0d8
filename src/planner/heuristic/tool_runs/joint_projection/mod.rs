//! The operations projected onto some tools and all faces at once.
//!
//! Each tool and each face by itself may find the order that suits it best. Where a tool is
//! used on several faces, these orders often exclude each other: what saves a run of the tool
//! turns the unit over once more. So the tools that are used on more than one face, and the
//! faces, are looked at together: the least cost of their changes in one common order, with
//! every other tool counted as "another one". That is at least the sum of their separate
//! counts. The tools that are left out are added as before.
//!
//! It is found by depth-first branch and bound over what is left, what is in hand and what is
//! up (A. H. Land, A. G. Doig, "An Automatic Method of Solving Discrete Programming Problems",
//! *Econometrica* 28 (1960) 497–520, from memory), with a memo of solved states. What costs no
//! change and leaves what is in hand and up is done at once, as in a single projection. The
//! bound is the sum of the separate counts. For a resource that an operation neither uses nor
//! lays aside the count stays as it was, because in that projection the operation is free.
//!
//! To keep a question short, only values below a limit are wanted exactly, and the number of
//! states that it may look at is limited.

mod branch_and_bound;
mod joint_state;
mod shared_resources;
mod variant;

pub use branch_and_bound::{JointContext, JointProjection};
