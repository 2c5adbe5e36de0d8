//! What must hold of every plan, tried on random units and jobs against a
//! simulator, a search that tries everything, and petgraph's reachability, none
//! of which shares a line with the planner.

use std::collections::BTreeSet;

use lidoff_catalog::format::{Formula, ReachedState};
use lidoff_catalog::model::{PartIx, ResolvedFormula, StepIx};
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_planner::{Limits, Op, Phase, Plan, Proof, Refusal, Task, Tenths, Way, plan};
use lidoff_testkit::brute::{Found, cheapest, cheapest_way};
use lidoff_testkit::job::{Job, Priced, jobs, jobs_under_way, offered};
use lidoff_testkit::random::Ingredients;
use lidoff_testkit::simulate::Walk;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::Dfs;
use proptest::prelude::*;
use proptest::test_runner::TestCaseResult;

/// Small enough to try everything.
const SMALL: Ingredients = Ingredients::ALL.sized(3, 5);
/// Small enough to be planned in a moment, also with waits.
const MIDDLING: Ingredients = Ingredients::ALL.sized(3, 7);
/// As middling, without waits. With them and priced changes, one task more can
/// save a little: a look at the back, while the glue sets, turns the unit where it
/// is wanted next.
const IDLE_NEVER: Ingredients = Ingredients {
    waits: false,
    ..MIDDLING
};
/// Routes, but nothing that is wanted both open and shut: no rider, no stayer, no
/// service that comes after putting back; and nothing to wait for.
const NO_DETOUR: Ingredients = Ingredients {
    riders: false,
    staying: false,
    services: false,
    ..IDLE_NEVER
};
/// Most states that trying everything may take.
const MOST_TRIED: usize = 6_000;
/// Most states that a plan may take here; more would only take longer.
const MOST_PLANNED: usize = 30_000;

fn request(job: &Job, states: usize) -> Result<Plan, Refusal> {
    let mut request = job.request();
    request.limits = Limits { states };
    plan(&request)
}

/// The plan, where there is one within the limit.
fn planned(job: &Job) -> Result<Option<Plan>, TestCaseError> {
    match request(job, MOST_PLANNED) {
        Ok(plan) => Ok(Some(plan)),
        Err(Refusal::Limit { .. }) => Ok(None),
        Err(refusal) => Err(TestCaseError::fail(format!("refused: {refusal:?}"))),
    }
}

/// The plan, where it is proven to be the cheapest within the limit; else the
/// case is not counted.
fn proven(job: &Job) -> Result<Plan, TestCaseError> {
    match planned(job)? {
        Some(plan) if plan.proof == Proof::Cheapest => Ok(plan),
        _ => Err(TestCaseError::reject("not proven within the limit")),
    }
}

fn ops(plan: &Plan) -> Vec<Op> {
    plan.ops.iter().map(|planned| planned.op).collect()
}

/// Walks the plan; the simulator must count as the planner did.
fn walked(job: &Job, plan: &Plan) -> Result<Walk, TestCaseError> {
    let walk = job
        .simulate(&ops(plan))
        .map_err(|illegal| TestCaseError::fail(format!("{illegal}\n{plan:?}")))?;
    prop_assert_eq!(walk.cost, plan.cost);
    for (moment, planned) in walk.moments.iter().zip(&plan.ops) {
        prop_assert_eq!(&moment.steps, &planned.steps);
    }
    prop_assert!(walk.tally.iter().all(|line| line.is_settled()));
    if let Some(last) = walk.moments.last() {
        prop_assert!(last.state.is_closed() && last.left.is_empty());
    }
    Ok(walk)
}

fn no_worse_than_its_bound(plan: &Plan) -> TestCaseResult {
    if let Proof::AtLeast(bound) = plan.proof {
        prop_assert!(bound <= plan.cost.total);
    }
    Ok(())
}

proptest! {
    #![proptest_config(lidoff_testkit::cases(160))]

    #[test]
    fn a_technician_can_walk_every_plan_and_counts_as_the_planner_does(
        job in jobs(Ingredients::ALL, 3, Priced::Anyhow)
    ) {
        if let Some(plan) = planned(&job)? {
            walked(&job, &plan)?;
            no_worse_than_its_bound(&plan)?;
        }
    }

    #[test]
    fn a_job_under_way_can_be_finished(
        job in jobs_under_way(Ingredients::ALL, 3, Priced::Anyhow)
    ) {
        if let Some(plan) = planned(&job)? {
            walked(&job, &plan)?;
            no_worse_than_its_bound(&plan)?;
        }
    }

    #[test]
    fn from_every_state_that_a_job_can_reach_there_is_a_way_to_close(
        job in jobs_under_way(Ingredients::ALL, 3, Priced::Anyhow)
    ) {
        let closing = job.asking(Vec::new());
        let plan = request(&closing, Limits::default().states);
        let plan = plan.map_err(|refusal| TestCaseError::fail(format!("{refusal:?}")))?;
        walked(&closing, &plan)?;
    }

    #[test]
    fn one_task_more_never_makes_it_cheaper(
        job in jobs(IDLE_NEVER, 2, Priced::Anyhow),
        which in any::<prop::sample::Index>(),
    ) {
        one_task_more(&job, which)?;
    }

    #[test]
    fn one_task_more_never_makes_it_cheaper_with_waits_where_changes_are_free(
        job in jobs(MIDDLING, 2, Priced::FreeChanges),
        which in any::<prop::sample::Index>(),
    ) {
        one_task_more(&job, which)?;
    }

    #[test]
    fn an_option_that_is_not_fitted_never_makes_it_dearer(
        job in jobs(Ingredients { negation: false, ..IDLE_NEVER }, 2, Priced::Anyhow),
        which in 0..2_usize,
    ) {
        one_option_less(&job, which)?;
    }

    #[test]
    fn an_option_that_is_not_fitted_never_makes_it_dearer_with_waits_where_changes_are_free(
        job in jobs(Ingredients { negation: false, ..MIDDLING }, 2, Priced::FreeChanges),
        which in 0..2_usize,
    ) {
        one_option_less(&job, which)?;
    }

    #[test]
    fn a_replan_after_any_part_of_the_plan_costs_exactly_what_was_left(
        job in jobs_under_way(MIDDLING, 3, Priced::Anyhow),
        which in any::<prop::sample::Index>(),
    ) {
        let plan = proven(&job)?;
        let walk = walked(&job, &plan)?;
        prop_assume!(!walk.moments.is_empty());
        let moment = which.get(&walk.moments);
        let later = Job {
            from: moment.state.clone(),
            tasks: moment.left.clone(),
            ..job.clone()
        };
        let again = proven(&later)?;
        prop_assert_eq!(again.cost.total, plan.cost.total - moment.cost.total);
        prop_assert_eq!(
            again.cost.disturbed,
            plan.cost.disturbed - moment.cost.disturbed
        );
    }

    /// Closing first and beginning again is one way to go on, where services allow
    /// it; going on from here is never dearer, nor does it disturb more.
    #[test]
    fn a_replan_never_loses_what_is_done(
        job in jobs_under_way(IDLE_NEVER, 3, Priced::Anyhow)
    ) {
        prop_assume!(!job.from.is_closed());
        let on = proven(&job)?;
        let mut again = ops(&proven(&job.asking(Vec::new()))?);
        let mut closed = job.walker();
        for op in &again {
            let walked = closed.walk(*op);
            prop_assume!(walked.is_ok(), "a service must come before this goes back");
        }
        let anew = Job { from: closed.moment().state, ..job.clone() };
        again.extend(ops(&proven(&anew)?));
        let detour = job.simulate(&again);
        let detour = detour.map_err(|illegal| TestCaseError::fail(format!("{illegal}")))?;
        let cost = |cost: lidoff_planner::Cost| (cost.total, cost.disturbed);
        prop_assert!(cost(on.cost) <= cost(detour.cost), "{:?}\n{:?}", on, again);
    }

    /// Where nothing is wanted both open and shut, what is out stays out until it is
    /// put back for good, and a task that is done is not done again.
    #[test]
    fn what_is_done_stays_done(
        job in jobs_under_way(NO_DETOUR, 3, Priced::Anyhow)
    ) {
        let plan = proven(&job)?;
        let mut back = BTreeSet::new();
        for op in ops(&plan) {
            match op {
                Op::PutBack(part, _) => {
                    back.insert((part, true));
                }
                Op::Settle(part) => {
                    back.insert((part, false));
                }
                Op::TakeOff(part, _) => prop_assert!(!back.contains(&(part, true)), "{:?}", plan),
                Op::Ease(part) => prop_assert!(!back.contains(&(part, false)), "{:?}", plan),
                Op::Swap(_) | Op::Reseat(_) | Op::Inspect(_) | Op::Serve(_) => {}
            }
        }
        let done = ops(&plan).into_iter().filter(|op| op.phase() == Phase::Fit).count();
        prop_assert_eq!(done, job.tasks.len());
    }

    #[test]
    fn the_same_request_has_the_same_plan(
        job in jobs_under_way(MIDDLING, 3, Priced::Anyhow)
    ) {
        prop_assert_eq!(request(&job, MOST_PLANNED), request(&job.clone(), MOST_PLANNED));
    }

    #[test]
    fn a_limit_that_is_met_leaves_an_honest_bound(
        job in jobs_under_way(Ingredients { waits: false, ..SMALL }, 2, Priced::Anyhow),
        states in 1..200_usize,
    ) {
        let Found::Cheapest { total, .. } = cheapest(&job, MOST_TRIED) else {
            return Err(TestCaseError::reject("too big to try everything"));
        };
        // One search for the proof, and a hasty one.
        let most = 2 * states;
        match request(&job, states) {
            Ok(plan) => {
                walked(&job, &plan)?;
                prop_assert!(total <= plan.cost.total);
                prop_assert!(plan.states <= most, "{} states", plan.states);
                match plan.proof {
                    Proof::Cheapest => prop_assert_eq!(plan.cost.total, total),
                    Proof::AtLeast(bound) => prop_assert!(bound <= total),
                }
            }
            Err(Refusal::Limit { states: looked_at }) => {
                prop_assert!((states..=most).contains(&looked_at), "{looked_at} states");
            }
            Err(refusal) => prop_assert!(false, "refused: {:?}", refusal),
        }
    }
}

proptest! {
    #![proptest_config(lidoff_testkit::cases(768))]

    #[test]
    fn no_order_of_operations_is_cheaper(
        job in jobs_under_way(Ingredients { waits: false, ..SMALL }, 2, Priced::Anyhow)
    ) {
        agrees_with_trying_everything(&job)?;
    }

    #[test]
    fn no_order_is_cheaper_where_changes_are_dear(
        job in jobs_under_way(Ingredients { waits: false, ..SMALL }, 2, Priced::DearChanges)
    ) {
        agrees_with_trying_everything(&job)?;
    }

    /// With waits and priced changes, needless work can save a little: a part put
    /// back and taken out again while the glue sets leaves the unit the right way
    /// up. No plan does that, and so changes are free here.
    #[test]
    fn no_order_is_cheaper_where_there_is_something_to_wait_for(
        job in jobs_under_way(SMALL, 2, Priced::FreeChanges)
    ) {
        agrees_with_trying_everything(&job)?;
    }

    /// Where formulas are about any part there may be no way, and the planner
    /// must say so exactly then.
    #[test]
    fn there_is_no_plan_just_where_there_is_no_way(
        job in jobs_under_way(
            Ingredients { tangled: true, waits: false, ..SMALL },
            2,
            Priced::Anyhow,
        )
    ) {
        agrees_with_trying_everything(&job)?;
    }
}

fn one_task_more(job: &Job, which: prop::sample::Index) -> TestCaseResult {
    let offered = offered(&job.catalog, &job.setup);
    prop_assume!(!offered.is_empty());
    let one_more = which.get(&offered);
    prop_assume!(!job.tasks.contains(one_more));
    let mut tasks = job.tasks.clone();
    tasks.push(*one_more);
    let few = proven(job)?;
    let many = proven(&job.asking(tasks))?;
    prop_assert!(few.cost.total <= many.cost.total, "{:?}\n{:?}", few, many);
    Ok(())
}

/// Where nothing hangs on an option's *not* being fitted, and a rider is there
/// only where its carrier is.
fn one_option_less(job: &Job, which: usize) -> TestCaseResult {
    let option = job.catalog.options().nth(which);
    let (at, option) = option.expect("two options");
    prop_assume!(job.setup.is_fitted(at));
    let setup = setup_without(job, option.id.as_str());
    let offered = offered(&job.catalog, &setup);
    let tasks = job.tasks.iter().filter(|task| offered.contains(task));
    let less = Job {
        tasks: tasks.copied().collect(),
        setup,
        ..job.clone()
    };
    let with = proven(job)?;
    let without = proven(&less)?;
    prop_assert!(
        without.cost.total <= with.cost.total,
        "{:?}\n{:?}",
        without,
        with
    );
    Ok(())
}

fn agrees_with_trying_everything(job: &Job) -> TestCaseResult {
    let (found, way) = cheapest_way(job, MOST_TRIED);
    match request(job, Limits::default().states) {
        Ok(plan) => {
            walked(job, &plan)?;
            if found == Found::TooBig {
                return Err(TestCaseError::reject("too big to try everything"));
            }
            prop_assert_eq!(plan.proof, Proof::Cheapest);
            let total = plan.cost.total;
            let disturbed = plan.cost.disturbed;
            let planned = ops(&plan);
            prop_assert_eq!(
                found,
                Found::Cheapest { total, disturbed },
                "planned {:?}\nfound {:?}",
                planned,
                way
            );
        }
        Err(Refusal::Limit { states }) => {
            prop_assert_eq!(found, Found::TooBig, "limit met after {} states", states);
        }
        Err(refusal) => {
            if found == Found::TooBig {
                return Err(TestCaseError::reject("too big to try everything"));
            }
            prop_assert_eq!(found, Found::NoWay, "{:?}\nfound {:?}", refusal, way);
        }
    }
    Ok(())
}

fn setup_without(job: &Job, option: &str) -> Setup {
    let catalog = &job.catalog;
    let mut said = Configuration::default();
    for (at, known) in catalog.options() {
        if job.setup.is_fitted(at) && known.id.as_str() != option {
            said.fitted.push(known.id.clone());
        }
    }
    for (at, question) in catalog.questions() {
        let answer = &question.answers[job.setup.answer(at).index()];
        said.answers.insert(question.id.clone(), answer.id.clone());
    }
    Setup::new(catalog, &said).unwrap_or_else(|error| panic!("{error}"))
}

// With changes free and one way to everything, the strip-down is no choice at
// all: it is the closure of the prerequisites, which petgraph works out.

/// No choice, and nothing that has to be opened twice.
const NO_CHOICE: Ingredients = Ingredients {
    routes: false,
    riders: false,
    staying: false,
    waits: false,
    services: false,
    ..Ingredients::ALL
};

proptest! {
    #![proptest_config(lidoff_testkit::cases(256))]

    #[test]
    fn with_one_way_to_everything_the_strip_down_is_the_closure_of_prerequisites(
        job in jobs(NO_CHOICE, 3, Priced::FreeChanges)
    ) {
        let closure = Prerequisites::of(&job).closure(&job.tasks);
        // A leg without steps on this unit is free, and may be walked for nothing.
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

/// A leg of a part: eased, or taken off.
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
    fn time(self, job: &Job) -> Tenths {
        let leg = match self {
            Self::Ease(part) => job.catalog.part(part).ease.as_ref(),
            Self::Off(part) => job.catalog.part(part).take_off.as_ref(),
        };
        let leg = leg.expect("only legs that there are become nodes");
        time(job, &leg.out) + time(job, &leg.back)
    }
}

fn time(job: &Job, steps: &[StepIx]) -> Tenths {
    let there = steps
        .iter()
        .filter(|step| job.setup.holds(&job.catalog.step(**step).when));
    there.map(|step| job.prices.of(*step)).sum()
}

fn task_time(job: &Job, task: Task) -> Tenths {
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
    }
}

/// Which leg asks for which, as a graph.
struct Prerequisites<'a> {
    job: &'a Job,
    graph: DiGraph<LegOf, ()>,
    nodes: Vec<(LegOf, NodeIndex)>,
}

impl<'a> Prerequisites<'a> {
    fn of(job: &'a Job) -> Self {
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

    /// Every leg that the tasks need, by whatever chain.
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
            Task::Replace(part) => asked.push(LegOf::Off(part)),
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
            Formula::Any(_) | Formula::InPlace(_) => panic!("units without a choice have none"),
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
