//! Builds the precedence graph.

use smallvec::SmallVec;

use crate::bit_set::BitSet;

use super::super::super::leg_profile::{LegProfile, LegVariant, ResourcesUsed, RouteChoice};
use super::super::super::task_profile::TaskProfile;
use super::graph::{
    LegOperations, MAX_OPERATIONS, OperationGraph, RemainCondition, RouteCondition,
};

/// The most conditions: one bit each.
const MAX_CONDITIONS: usize = 64;

impl OperationGraph {
    #[cold]
    pub fn new(legs: &[Option<LegProfile>], tasks: Vec<TaskProfile>, reopening: Vec<u64>) -> Self {
        let graph = Self {
            reopening,
            used: Vec::new(),
            before: Vec::new(),
            before_way: Vec::new(),
            ever_before: Vec::new(),
            conditional_before: Vec::new(),
            remain_conditions: Vec::new(),
            route_conditions: Vec::new(),
            outs: vec![None; legs.len()],
            backs: vec![None; legs.len()],
            tasks: Vec::new(),
        };
        let mut builder = Builder {
            graph,
            conditions: 0,
        };
        builder.number_operations(legs, &tasks);
        for (leg, profile) in legs.iter().enumerate() {
            if let Some(profile) = profile {
                builder.order_leg(leg, profile);
            }
        }
        for (task, profile) in tasks.iter().enumerate() {
            builder.order_task(task, profile, tasks.len());
        }
        builder.order_route_choices(legs, &tasks);
        let mut graph = builder.graph;
        if graph.used.len() <= MAX_OPERATIONS {
            graph.ever_before = ever_before(&graph);
        }
        graph
    }
}

/// The transitive closure: S. Warshall, "A Theorem on Boolean Matrices", *Journal of the
/// ACM* 9 (1962) 11–12 (from memory).
fn ever_before(graph: &OperationGraph) -> Vec<BitSet> {
    let mut ever = graph.before.clone();
    for (operation, conditional) in graph.conditional_before.iter().enumerate() {
        for (_, before) in conditional {
            ever[operation].union_with(before);
        }
    }
    for middle in 0..ever.len() {
        let first = ever[middle].clone();
        for later in ever.iter_mut().filter(|later| later.contains(middle)) {
            later.union_with(&first);
        }
    }
    ever
}

struct Builder {
    graph: OperationGraph,
    /// Conditions so far.
    conditions: usize,
}

impl Builder {
    fn number_operations(&mut self, legs: &[Option<LegProfile>], tasks: &[TaskProfile]) {
        for (leg, profile) in legs.iter().enumerate() {
            if let Some(profile) = profile {
                self.graph.outs[leg] = Some(self.number_leg(profile, |variant| &variant.out));
            }
        }
        for task in tasks {
            self.graph.tasks.push(self.graph.used.len());
            self.graph.used.push(vec![task.used.clone()]);
        }
        for (leg, profile) in legs.iter().enumerate().rev() {
            if let Some(profile) = profile {
                self.graph.backs[leg] = Some(self.number_leg(profile, |variant| &variant.back));
            }
        }
        let operations = self.graph.used.len();
        self.graph.before = vec![BitSet::empty(operations); operations];
        self.graph.before_way = vec![SmallVec::new(); operations];
        self.graph
            .conditional_before
            .resize_with(operations, Vec::new);
    }

    fn number_leg(
        &mut self,
        profile: &LegProfile,
        used: fn(&LegVariant) -> &Vec<ResourcesUsed>,
    ) -> [usize; 2] {
        let first = self.graph.used.len();
        let variants = profile.variants.iter();
        self.graph
            .used
            .extend(variants.map(|variant| used(variant).clone()));
        [first, self.graph.used.len() - 1]
    }

    fn no_operations(&self) -> BitSet {
        BitSet::empty(self.graph.used.len())
    }

    /// The operations of these legs.
    fn operations_of(&self, operations: &[LegOperations], legs: &BitSet) -> BitSet {
        let mut set = self.no_operations();
        for operation in legs
            .iter()
            .flat_map(|leg| operations[leg].into_iter().flatten())
        {
            set.insert(operation);
        }
        set
    }

    fn outs_of(&self, legs: &BitSet) -> BitSet {
        self.operations_of(&self.graph.outs, legs)
    }

    fn backs_of(&self, legs: &BitSet) -> BitSet {
        self.operations_of(&self.graph.backs, legs)
    }

    fn operations_of_tasks(&self, tasks: u64) -> BitSet {
        let mut set = self.no_operations();
        for (task, operation) in self.graph.tasks.iter().enumerate() {
            if tasks >> task & 1 == 1 {
                set.insert(*operation);
            }
        }
        set
    }

    /// Makes this operation come before the way back of these legs.
    fn put_before_backs(&mut self, operation: usize, legs: &BitSet) {
        for leg in legs.iter() {
            for later in self.graph.backs[leg].into_iter().flatten() {
                self.graph.before[later].insert(operation);
            }
        }
    }

    fn order_leg(&mut self, leg: usize, profile: &LegProfile) {
        let (Some(outs), Some(backs)) = (self.graph.outs[leg], self.graph.backs[leg]) else {
            return;
        };
        for (index, variant) in profile.variants.iter().enumerate() {
            let (out, back) = (outs[index], backs[index]);
            let mut before_out = self.outs_of(&variant.named_out);
            before_out.union_with(&self.operations_of_tasks(profile.out_after));
            self.graph.before[out].union_with(&before_out);
            let mut before_back = self.outs_of(&variant.named_back);
            before_back.insert(out);
            before_back.union_with(&self.operations_of_tasks(profile.back_after));
            self.graph.before[back].union_with(&before_back);
            self.put_before_backs(back, &variant.named_back);
            let each = variant.each_named_out.iter().map(|legs| self.outs_of(legs));
            self.graph.before_way[out] = each.collect();
            let each = variant
                .each_named_back
                .iter()
                .map(|legs| self.outs_of(legs));
            self.graph.before_way[back] = each.collect();
            self.add_remain_conditions(out, &variant.closed_out);
            self.add_remain_conditions(back, &variant.closed_back);
        }
    }

    fn order_task(&mut self, task: usize, profile: &TaskProfile, tasks: usize) {
        let operation = self.graph.tasks[task];
        let mut before = self.outs_of(&profile.named);
        before.union_with(&self.operations_of_tasks(profile.after));
        self.graph.before[operation].union_with(&before);
        self.put_before_backs(operation, &profile.named);
        self.add_remain_conditions(operation, &profile.closed);
        for (leg, needing) in &profile.after_closing {
            let mut only = BitSet::empty(self.graph.outs.len());
            only.insert(*leg);
            let mut or_if_left = self.no_operations();
            for task in (0..tasks).filter(|task| needing >> task & 1 == 1) {
                or_if_left.insert(self.graph.tasks[task]);
            }
            self.add_remain_condition(operation, &only, or_if_left);
        }
    }

    /// Where the parts of these sets must remain in place for the operation, they are back
    /// before it if they are open now.
    fn add_remain_conditions(&mut self, operation: usize, closed: &[BitSet]) {
        for legs in closed {
            self.add_remain_condition(operation, legs, self.no_operations());
        }
    }

    /// The ways back of these legs come before the operation where they are open now, or
    /// will be for something that is left.
    fn add_remain_condition(&mut self, operation: usize, legs: &BitSet, or_if_left: BitSet) {
        if self.conditions >= MAX_CONDITIONS {
            return;
        }
        let before = self.backs_of(legs);
        self.graph.conditional_before[operation].push((self.conditions, before));
        let reopening = legs.iter().map(|leg| self.graph.reopening[leg / 2]).min();
        let condition = RemainCondition {
            unless_left: self.outs_of(legs),
            or_if_left,
            reopening: reopening.unwrap_or(0),
            condition: self.conditions,
        };
        self.graph.remain_conditions.push(condition);
        self.conditions += 1;
    }

    /// Orders operations around the only route that there is.
    fn order_route_choices(&mut self, legs: &[Option<LegProfile>], tasks: &[TaskProfile]) {
        let mut choices: Vec<RouteCondition> = Vec::new();
        for (leg, profile) in legs.iter().enumerate() {
            let variants = profile
                .iter()
                .flat_map(|profile| profile.variants.iter().enumerate());
            for (index, variant) in variants {
                let operation = |of: &[LegOperations]| of[leg].map(|operations| operations[index]);
                let out = operation(&self.graph.outs);
                let back = operation(&self.graph.backs);
                self.ask_for(&mut choices, out, &variant.choices_out);
                self.ask_for(&mut choices, back, &variant.choices_back);
            }
        }
        for (task, profile) in tasks.iter().enumerate() {
            let operation = Some(self.graph.tasks[task]);
            self.ask_for(&mut choices, operation, &profile.choices);
        }
        for mut choice in choices {
            if self.conditions + choice.routes.len() <= MAX_CONDITIONS {
                choice.first_condition = self.conditions;
                self.order_route_choice(&choice);
                self.graph.route_conditions.push(choice);
            }
        }
    }

    fn ask_for(
        &self,
        known: &mut Vec<RouteCondition>,
        operation: Option<usize>,
        choices: &[RouteChoice],
    ) {
        for routes in choices {
            let position = known.iter().position(|one| one.routes == *routes);
            let position = position.unwrap_or_else(|| {
                known.push(RouteCondition {
                    routes: routes.clone(),
                    asked_by: self.no_operations(),
                    first_condition: 0,
                });
                known.len() - 1
            });
            if let Some(operation) = operation {
                known[position].asked_by.insert(operation);
            }
        }
    }

    fn order_route_choice(&mut self, choice: &RouteCondition) {
        // A leg that itself asks for the choice on its way back is open just before that.
        let without = |operations: &BitSet, operation: usize| {
            let mut operations = operations.clone();
            operations.remove(operation);
            operations
        };
        for legs in &choice.routes {
            let (outs, backs) = (self.outs_of(legs), self.backs_of(legs));
            let conditional_before = &mut self.graph.conditional_before;
            for operation in choice.asked_by.iter() {
                let before = without(&outs, operation);
                conditional_before[operation].push((self.conditions, before));
            }
            for operation in backs.iter() {
                let before = without(&choice.asked_by, operation);
                conditional_before[operation].push((self.conditions, before));
            }
            self.conditions += 1;
        }
    }
}
