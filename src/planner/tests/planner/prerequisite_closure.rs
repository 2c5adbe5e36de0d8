//! With changes free and one way to everything, the strip-down is no choice at all: it is the
//! transitive closure of the prerequisites, which petgraph works out.

use std::collections::BTreeSet;

use lidoff_catalog::format::{Formula, ReachedState};
use lidoff_catalog::model::{PartIx, ResolvedFormula, StepIx};
use lidoff_planner::{Op, Phase, Task, Tenths, Way};
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::proptest_config;
use lidoff_testkit::random::UnitFeatures;
use lidoff_testkit::random_cases::{PriceModel, random_cases};
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::Dfs;
use proptest::prelude::*;

use super::checks::{ops, proven};

/// No choice, and nothing that must be opened twice.
const NO_CHOICE: UnitFeatures = UnitFeatures {
    routes: false,
    riders: false,
    staying: false,
    waits: false,
    services: false,
    ..UnitFeatures::ALL
};

proptest! {
    #![proptest_config(proptest_config(512))]

    #[test]
    fn the_strip_down_is_the_closure_of_the_prerequisites(
        job in random_cases(NO_CHOICE, 3, PriceModel::FreeChanges)
    ) {
        let closure = Prerequisites::of(&job).closure(&job.tasks);
        // A leg without steps on this unit is free and may be opened for nothing.
        let free = Prerequisites::of(&job).nodes.into_iter().map(|(leg, _)| leg);
        let free = free.filter(|leg| !closure.contains(leg));
        prop_assume!(free.map(|leg| leg.time(&job)).all(|time| time > 0));

        let plan = proven(&job)?;
        let strip_down: Vec<Op> = ops(&plan)
            .into_iter()
            .filter(|op| op.phase() == Phase::StripDown)
            .collect();
        let once: BTreeSet<Op> = strip_down.iter().copied().collect();
        prop_assert_eq!(once.len(), strip_down.len(), "something is opened twice");
        let wanted: BTreeSet<Op> = closure.iter().map(|leg| leg.out()).collect();
        prop_assert_eq!(once, wanted);
        let legs: Tenths = closure.iter().map(|leg| leg.time(&job)).sum();
        let tasks: Tenths = job.tasks.iter().map(|task| task_time(&job, *task)).sum();
        prop_assert_eq!(plan.cost.total, legs + tasks);
    }
}

/// A leg of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum LegOf {
    Ease(PartIx),
    Off(PartIx),
}

impl LegOf {
    fn out(self) -> Op {
        match self {
            Self::Ease(part) => Op::Ease(part),
            Self::Off(part) => Op::TakeOff(part, Way::InPlace),
        }
    }

    /// Out and back, in tenths of a second.
    fn time(self, job: &PlanningCase) -> Tenths {
        let leg = match self {
            Self::Ease(part) => job.catalog.part(part).ease.as_ref(),
            Self::Off(part) => job.catalog.part(part).take_off.as_ref(),
        };
        let leg = leg.expect("only legs that there are become nodes");
        time(job, &leg.out) + time(job, &leg.back)
    }
}

fn time(job: &PlanningCase, steps: &[StepIx]) -> Tenths {
    let there = steps
        .iter()
        .filter(|step| job.setup.holds(&job.catalog.step(**step).when));
    there.map(|step| job.prices.of(*step)).sum()
}

fn task_time(job: &PlanningCase, task: Task) -> Tenths {
    match task {
        Task::Replace(part) => {
            let swap = job.catalog.part(part).swap.as_ref();
            let swap = swap.expect("only what is offered is asked for");
            let moved = swap
                .hand_backs
                .iter()
                .filter(|piece| job.setup.holds(&piece.when));
            let moved: Tenths = moved.map(|piece| time(job, &piece.steps)).sum();
            time(job, &swap.steps) + moved
        }
        Task::Reseat(part) => {
            let how = job.catalog.part(part).reseat.as_ref();
            time(job, &how.expect("only what is offered is asked for").steps)
        }
        Task::Inspect(part) => {
            let how = job.catalog.part(part).inspect.as_ref();
            time(job, &how.expect("only what is offered is asked for").steps)
        }
        Task::Serve(service) => time(job, &job.catalog.service(service).steps),
        Task::LeaveOut(part) => time(job, &job.catalog.part(part).leave_out),
    }
}

/// Which leg needs which, as a graph.
struct Prerequisites<'a> {
    job: &'a PlanningCase,
    graph: DiGraph<LegOf, ()>,
    nodes: Vec<(LegOf, NodeIndex)>,
}

impl<'a> Prerequisites<'a> {
    fn of(job: &'a PlanningCase) -> Self {
        let mut graph = DiGraph::new();
        let mut nodes = Vec::new();
        for (at, part) in job.catalog.parts() {
            if !job.setup.holds(&part.when) {
                continue;
            }
            let ease = part.ease.iter().map(|_| LegOf::Ease(at));
            let off = part.take_off.iter().map(|_| LegOf::Off(at));
            for leg in ease.chain(off) {
                nodes.push((leg, graph.add_node(leg)));
            }
        }
        let mut all = Self { job, graph, nodes };
        for (leg, node) in all.nodes.clone() {
            for asked in all.asked_by(leg) {
                let to = all.node(asked);
                all.graph.add_edge(node, to, ());
            }
        }
        all
    }

    /// Every leg that the tasks need, directly or not.
    fn closure(&self, tasks: &[Task]) -> BTreeSet<LegOf> {
        let mut closure = BTreeSet::new();
        for task in tasks {
            for asked in self.asked_by_task(*task) {
                let mut walk = Dfs::new(&self.graph, self.node(asked));
                while let Some(node) = walk.next(&self.graph) {
                    closure.insert(self.graph[node]);
                }
            }
        }
        closure
    }

    fn node(&self, leg: LegOf) -> NodeIndex {
        let found = self.nodes.iter().find(|(known, _)| *known == leg);
        found
            .map(|(_, node)| *node)
            .expect("a leg of a part that is there")
    }

    fn asked_by(&self, leg: LegOf) -> Vec<LegOf> {
        let (part, eased_first) = match leg {
            LegOf::Ease(part) => (part, None),
            LegOf::Off(part) => (part, Some(LegOf::Ease(part))),
        };
        let known = self.job.catalog.part(part);
        let walked = match leg {
            LegOf::Ease(_) => known.ease.as_ref(),
            LegOf::Off(_) => known.take_off.as_ref(),
        };
        let walked = walked.expect("only legs that there are become nodes");
        let mut asked: Vec<LegOf> = Vec::new();
        asked.extend(eased_first.filter(|_| known.ease.is_some()));
        self.atoms(&walked.needs, &mut asked);
        self.atoms(&walked.refit_needs, &mut asked);
        asked
    }

    fn asked_by_task(&self, task: Task) -> Vec<LegOf> {
        let mut asked = Vec::new();
        match task {
            Task::Replace(part) | Task::LeaveOut(part) => asked.push(LegOf::Off(part)),
            Task::Reseat(part) => {
                let known = self.job.catalog.part(part);
                let how = known.reseat.as_ref();
                asked.push(match how.expect("only what is offered is asked for").at {
                    ReachedState::Eased => self.eased(part),
                    ReachedState::Off => LegOf::Off(part),
                });
            }
            Task::Inspect(part) => {
                let how = self.job.catalog.part(part).inspect.as_ref();
                self.atoms(
                    &how.expect("only what is offered is asked for").needs,
                    &mut asked,
                );
            }
            Task::Serve(service) => {
                self.atoms(&self.job.catalog.service(service).needs, &mut asked);
            }
        }
        asked
    }

    fn atoms(&self, needs: &ResolvedFormula, asked: &mut Vec<LegOf>) {
        match needs {
            Formula::All(all) => all.iter().for_each(|one| self.atoms(one, asked)),
            Formula::When { condition, then } => {
                if self.job.setup.holds(condition) {
                    self.atoms(then, asked);
                }
            }
            Formula::Eased(part) if self.there(*part) => asked.push(self.eased(*part)),
            Formula::Off(part) | Formula::Clear(part) if self.there(*part) => {
                asked.push(LegOf::Off(*part));
            }
            Formula::Eased(_) | Formula::Off(_) | Formula::Clear(_) => {}
            Formula::Any(_) | Formula::InPlace(_) | Formula::Closed => {
                panic!("units without a choice have none")
            }
        }
    }

    fn eased(&self, part: PartIx) -> LegOf {
        if self.job.catalog.part(part).ease.is_some() {
            LegOf::Ease(part)
        } else {
            LegOf::Off(part)
        }
    }

    fn there(&self, part: PartIx) -> bool {
        self.job.setup.holds(&self.job.catalog.part(part).when)
    }
}
