//! Random steps, fastenings and cables.

use lidoff_catalog::format::{Connection, Fastening, Step};

use super::unit_builder::{UnitBuilder, WAITS};
use crate::builder;
use crate::byte_draw::ByteDraw;

/// What a leg undoes on the way out and redoes on the way back.
#[derive(Clone, Default)]
pub(super) struct LegFasteners {
    pub fastenings: Vec<Fastening>,
    pub cables: Vec<Connection>,
}

impl LegFasteners {
    /// The fasteners of both.
    pub(super) fn and(&self, other: &Self) -> Self {
        let both = [self, other];
        Self {
            fastenings: both.iter().flat_map(|one| one.fastenings.clone()).collect(),
            cables: both.iter().flat_map(|one| one.cables.clone()).collect(),
        }
    }
}

impl UnitBuilder {
    pub(super) fn holds(&self, leg: &str, draw: &mut ByteDraw<'_>) -> LegFasteners {
        // One well for each leg, so that different fasteners never share a well.
        let nth = ["-ease", "-off", "-bench"];
        let nth = nth.iter().position(|end| leg.ends_with(end)).unwrap_or(0);
        let own_well = (1 + 3 * self.parts.len() + nth) as u16;
        let mut holds = LegFasteners::default();
        if draw.chance(60) {
            let kind = ["screw", "captive", "seal"][draw.below(3)];
            let well = (kind != "captive").then_some(own_well);
            let count = 1 + draw.below(4) as u16;
            let mut fastening = builder::fastening(&format!("{leg}-held"), kind, count, well);
            fastening.when = self.perhaps(15, draw);
            holds.fastenings.push(fastening);
        }
        if draw.chance(25) {
            holds.cables.push(Connection {
                id: format!("{leg}-cable").as_str().into(),
                cable: leg.to_owned(),
                port: leg.to_owned(),
                unseen_swap: None,
            });
        }
        holds
    }

    /// One to three steps out, one to three back.
    pub(super) fn there_and_back(
        &self,
        leg: &str,
        holds: &LegFasteners,
        draw: &mut ByteDraw<'_>,
    ) -> (Vec<Step>, Vec<Step>) {
        let mut out = self.some_steps(&format!("{leg}-out"), 1, draw);
        let mut back = self.some_steps(&format!("{leg}-back"), 1, draw);
        let fastenings = holds.fastenings.iter().map(|held| held.id.clone());
        let cables = holds.cables.iter().map(|held| held.id.clone());
        // What a step undoes depends on no condition but that of the fastening. Otherwise one
        // direction could undo what the other does not redo.
        let ends = [(&mut out, 0), (&mut back, 1)];
        for (steps, way) in ends {
            if let Some(first) = steps.first_mut()
                && !(holds.fastenings.is_empty() && holds.cables.is_empty())
            {
                first.when = None;
                match way {
                    0 => {
                        first.undo = fastenings.clone().collect();
                        first.unplug = cables.clone().collect();
                    }
                    _ => {
                        first.redo = fastenings.clone().collect();
                        first.plug = cables.clone().collect();
                    }
                }
            }
        }
        (out, back)
    }

    /// From `fewest` to three steps.
    pub(super) fn some_steps(
        &self,
        name: &str,
        fewest: usize,
        draw: &mut ByteDraw<'_>,
    ) -> Vec<Step> {
        let many = [fewest, 1, 1, 2, 3][draw.below(5)].max(fewest);
        (0..many)
            .map(|nth| self.step(&format!("{name}-{nth}"), draw))
            .collect()
    }

    fn step(&self, name: &str, draw: &mut ByteDraw<'_>) -> Step {
        let mut step = builder::step(name, 1.0);
        let tools = [
            None,
            Some("driver"),
            Some("driver"),
            Some("lever"),
            Some("pliers"),
        ];
        let faces = [None, None, Some("front"), Some("back"), Some("side")];
        step.tool = tools[draw.below(5)].map(Into::into);
        step.face = faces[draw.below(5)].map(Into::into);
        step.when = self.perhaps(10, draw);
        if self.with.waits {
            if draw.chance(20) {
                let which = draw.below(2);
                step.starts_wait = Some(builder::wait(WAITS[which], self.waits[which]));
            }
            if draw.chance(20) {
                step.after_wait = Some(WAITS[draw.below(2)].into());
            }
        }
        step
    }
}
