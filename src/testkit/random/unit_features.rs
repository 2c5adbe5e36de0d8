//! What a random unit may have.

#[derive(Clone, Copy, Debug)]
pub struct UnitFeatures {
    /// The fewest and the most parts.
    pub parts: (usize, usize),
    /// Parts that come off in two legs, or that only ease.
    pub easing: bool,
    /// Parts that come away with others, which gives a choice of ways.
    pub riders: bool,
    /// *Any* in formulas.
    pub routes: bool,
    /// *In place* in formulas.
    pub staying: bool,
    /// Additional needs for the way back.
    pub refit_needs: bool,
    /// Options and answers, and parts and steps that depend on them.
    pub conditions: bool,
    /// *Not* in conditions, and groups of options.
    pub negation: bool,
    pub waits: bool,
    /// Service operations with an order.
    pub services: bool,
    /// Energy sources, and services that need one live.
    pub sources: bool,
    /// Parts that come off in the unit in two ways.
    pub other_ways: bool,
    /// Parts that the unit can be closed without.
    pub leave_out: bool,
    /// Formulas that name any part, so that there may be no plan.
    pub tangled: bool,
}

impl UnitFeatures {
    /// Everything, with three to ten parts; there is always a plan.
    pub const ALL: Self = Self {
        parts: (3, 10),
        easing: true,
        riders: true,
        routes: true,
        staying: true,
        refit_needs: true,
        conditions: true,
        negation: true,
        waits: true,
        services: true,
        sources: false,
        other_ways: false,
        leave_out: false,
        tangled: false,
    };

    /// Everything but waits, with energy sources and parts with two ways.
    pub const POWER: Self = Self {
        sources: true,
        other_ways: true,
        ..Self::NO_WAITS
    };

    /// The same, with parts that the unit can be closed without.
    pub const OUT_OF_USE: Self = Self {
        leave_out: true,
        ..Self::POWER
    };

    /// Everything but waits.
    pub const NO_WAITS: Self = Self {
        waits: false,
        ..Self::ALL
    };

    /// The same with another number of parts.
    pub const fn sized(self, fewest: usize, most: usize) -> Self {
        Self {
            parts: (fewest, most),
            ..self
        }
    }
}
