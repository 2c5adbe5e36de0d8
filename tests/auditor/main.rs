//! The second judge over the plans of the job: every task and every pair of tasks of every
//! demo unit, and of random units; from the closed unit, after some steps, and closing up.

mod demo_units;
mod jobs;
mod random_units;
mod replaced;
mod two_judges;
