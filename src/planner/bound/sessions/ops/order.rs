//! Which operations come before which.

use crate::bits::Bits;

use super::super::super::legs::{Choice, Leg};
use super::{Asked, MOST_STATES, Numbers, Ops, Stays, Work};

impl Ops {
    pub fn order_leg(&mut self, at: usize, leg: &Leg) {
        let (Some(outs), Some(backs)) = (self.outs[at], self.backs[at]) else {
            return;
        };
        for (way, walk) in leg.ways.iter().enumerate() {
            let (out, back) = (outs[way], backs[way]);
            let mut before_out = self.all(&self.outs, &walk.direct);
            before_out.unite(&self.tasks_of(leg.out_after));
            self.before[out].unite(&before_out);
            let mut before_back = self.all(&self.outs, &walk.direct_back);
            before_back.insert(out);
            before_back.unite(&self.tasks_of(leg.back_after));
            self.before[back].unite(&before_back);
            for need in walk.direct_back.iter() {
                for later in self.backs[need].into_iter().flatten() {
                    self.before[later].insert(back);
                }
            }
            let each = walk.each.iter().map(|legs| self.all(&self.outs, legs));
            self.before_way[out] = each.collect();
            let each = walk.each_back.iter().map(|legs| self.all(&self.outs, legs));
            self.before_way[back] = each.collect();
            self.stay(out, &walk.stays_out);
            self.stay(back, &walk.stays_back);
        }
    }

    pub fn order_task(&mut self, at: usize, work: &Work, works: &[Work]) {
        let op = self.tasks[at];
        let mut before = self.all(&self.outs, &work.direct);
        before.unite(&self.tasks_of(work.after));
        self.before[op].unite(&before);
        for need in work.direct.iter() {
            for later in self.backs[need].into_iter().flatten() {
                self.before[later].insert(op);
            }
        }
        self.stay(op, &work.stays);
        for (leg, sake) in &work.after_back {
            let mut only = Bits::none(self.legs());
            only.insert(*leg);
            let sake = (0..works.len()).filter(|task| sake >> task & 1 == 1);
            let mut or_if = Bits::none(self.used.len());
            sake.for_each(|task| or_if.insert(self.tasks[task]));
            self.only_sometimes(op, &only, or_if);
        }
    }

    /// Around the only route that there is.
    pub fn order_choices(&mut self, legs: &[Option<Leg>], works: &[Work]) {
        for (at, leg) in legs.iter().enumerate() {
            let ways = leg.iter().flat_map(|leg| leg.ways.iter().enumerate());
            for (way, walk) in ways {
                let number = |of: &[Numbers]| of[at].map(|numbers| numbers[way]);
                let (out, back) = (number(&self.outs), number(&self.backs));
                self.ask(out, &walk.choices_out);
                self.ask(back, &walk.choices_back);
            }
        }
        for (at, work) in works.iter().enumerate() {
            self.ask(Some(self.tasks[at]), &work.choices);
        }
        for mut choice in std::mem::take(&mut self.choices) {
            if self.states + choice.routes.len() <= MOST_STATES {
                choice.state = self.states;
                self.order_choice(&choice);
                self.choices.push(choice);
            }
        }
    }

    fn ask(&mut self, op: Option<usize>, choices: &[Choice]) {
        for routes in choices {
            let known = self.choices.iter().position(|one| one.routes == *routes);
            let at = known.unwrap_or_else(|| {
                self.choices.push(Asked {
                    routes: routes.clone(),
                    by: Bits::none(self.used.len()),
                    state: 0,
                });
                self.choices.len() - 1
            });
            op.into_iter().for_each(|op| self.choices[at].by.insert(op));
        }
    }

    fn order_choice(&mut self, choice: &Asked) {
        // What asks to be open itself, to go back, is so just before.
        let others = |ops: &Bits, op: usize| {
            let mut ops = ops.clone();
            ops.remove(op);
            ops
        };
        for legs in &choice.routes {
            let (outs, backs) = (self.all(&self.outs, legs), self.all(&self.backs, legs));
            for op in choice.by.iter() {
                self.sometimes[op].push((self.states, others(&outs, op)));
            }
            for op in backs.iter() {
                self.sometimes[op].push((self.states, others(&choice.by, op)));
            }
            self.states += 1;
        }
    }

    /// What must stay is back before, where it is open now.
    fn stay(&mut self, op: usize, stays: &[Bits]) {
        for stay in stays {
            self.only_sometimes(op, stay, Bits::none(self.used.len()));
        }
    }

    /// The ways back of these legs come before, where they are walked now, or
    /// will be for the sake of something that is left.
    fn only_sometimes(&mut self, op: usize, legs: &Bits, or_if: Bits) {
        if self.states < MOST_STATES {
            let before = self.all(&self.backs, legs);
            self.sometimes[op].push((self.states, before));
            let again = legs.iter().map(|leg| self.again[leg / 2]).min();
            self.stays.push(Stays {
                unless: self.all(&self.outs, legs),
                or_if,
                again: again.unwrap_or(0),
                state: self.states,
            });
            self.states += 1;
        }
    }
}
