//! The operations that are left in a state, and the conditions that bind there.

use crate::bit_set::BitSet;

use super::super::super::state_facts::StateFacts;
use super::graph::{LegOperations, OperationGraph, RemainCondition, RouteCondition};
use super::operation_set::OperationSet;

impl OperationGraph {
    /// The operations that are left, and the least work that lifts the conditional
    /// precedence: opening once more a part that was back for a while, or opening another
    /// route as well. `None` where that makes no difference.
    pub fn remaining(&self, facts: &StateFacts, in_place: &BitSet) -> (OperationSet, Option<u64>) {
        let mut operations = BitSet::empty(self.used.len());
        let mut add = |of: &[LegOperations], leg: usize| {
            if let Some(variants) = of[leg] {
                operations.insert(variants[usize::from(in_place.contains(leg))]);
            }
        };
        for leg in facts.required.iter() {
            if !facts.open_legs.contains(leg) {
                add(&self.outs, leg);
                add(&self.backs, leg);
            }
        }
        for leg in facts.open_legs.iter() {
            add(&self.backs, leg);
        }
        for (task, operation) in self.tasks.iter().enumerate() {
            if facts.has_task(task) {
                operations.insert(*operation);
            }
        }
        let mut left = OperationSet {
            operations,
            conditions: 0,
        };
        let remain = self.set_remain_conditions(&mut left);
        let mut open_then = facts.required.clone();
        open_then.union_with(facts.open_legs);
        let routes = self.set_route_conditions(&mut left, &open_then);
        (left, remain.into_iter().chain(routes).min())
    }

    /// Sets the conditions under which parts that must remain come back first.
    fn set_remain_conditions(&self, left: &mut OperationSet) -> Option<u64> {
        let holds = |one: &&RemainCondition| {
            !one.unless_left.intersects(&left.operations)
                || one.or_if_left.intersects(&left.operations)
        };
        let holding = self.remain_conditions.iter().filter(holds);
        let conditions = holding.fold(0, |bits, one| bits | 1 << one.condition);
        left.conditions |= conditions;
        let conditional = left
            .operations
            .iter()
            .flat_map(|operation| &self.conditional_before[operation]);
        let binding = conditional.filter(|(condition, before)| {
            conditions >> condition & 1 == 1 && before.intersects(&left.operations)
        });
        let binding = binding.fold(0_u64, |bits, (condition, _)| bits | 1 << condition);
        let reopened = self
            .remain_conditions
            .iter()
            .filter(|one| binding >> one.condition & 1 == 1);
        reopened.map(|one| one.reopening).min()
    }

    /// Sets the conditions where only one route of a choice is among these legs.
    fn set_route_conditions(&self, left: &mut OperationSet, legs: &BitSet) -> Option<u64> {
        let mut least: Option<u64> = None;
        for choice in &self.route_conditions {
            let mut open =
                (0..choice.routes.len()).filter(|route| choice.routes[*route].is_subset(legs));
            if choice.asked_by.intersects(&left.operations)
                && let (Some(only), None) = (open.next(), open.next())
            {
                left.conditions |= 1 << (choice.first_condition + only);
                let other_route = self.work_of_other_route(choice, only, legs);
                least = least.into_iter().chain(other_route).min();
            }
        }
        least
    }

    /// The least work of opening and closing another route, counting only parts that these
    /// legs do not open at all. `None` where there is no other route.
    fn work_of_other_route(
        &self,
        choice: &RouteCondition,
        only: usize,
        legs: &BitSet,
    ) -> Option<u64> {
        let others = choice.routes.iter().enumerate();
        let others = others.filter(|(route, _)| *route != only);
        let work = others.map(|(_, route)| {
            let mut last = None;
            let parts = route.iter().map(|leg| leg / 2);
            let parts = parts.filter(|part| last.replace(*part) != Some(*part));
            let missing =
                parts.filter(|part| !legs.contains(2 * part) && !legs.contains(2 * part + 1));
            missing.map(|part| self.reopening[part]).sum()
        });
        work.min()
    }
}
