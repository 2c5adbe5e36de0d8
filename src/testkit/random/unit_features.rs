//! What a random unit may have.

/// What a random unit may have.
#[derive(Clone, Copy, Debug)]
pub struct UnitFeatures {
    /// Fewest and most parts.
    pub parts: (usize, usize),
    /// Parts that come off in two legs, or are only ever eased.
    pub easing: bool,
    /// Parts that come away with others, which gives a choice of ways.
    pub riders: bool,
    /// *Any* in formulas.
    pub routes: bool,
    /// *In place* in formulas.
    pub staying: bool,
    /// What must hold besides for the way back.
    pub refit_needs: bool,
    /// Options, answers, and what hangs on them.
    pub conditions: bool,
    /// *Not* in conditions, and groups of options.
    pub negation: bool,
    /// Waits.
    pub waits: bool,
    /// Service operations that come before and after other things.
    pub services: bool,
    /// Formulas about any part, so that there may be no way.
    pub tangled: bool,
}

impl UnitFeatures {
    /// Everything, from three to ten parts; always a way.
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
        tangled: false,
    };

    /// Everything but waits.
    pub const NO_WAITS: Self = Self {
        waits: false,
        ..Self::ALL
    };

    /// The same with so many parts.
    pub const fn sized(self, fewest: usize, most: usize) -> Self {
        Self {
            parts: (fewest, most),
            ..self
        }
    }
}
