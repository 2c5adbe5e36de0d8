//! Which system of units is shown first.

/// The units that come first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measures {
    /// Millimetres and newton metres.
    Metric,
    /// Inches and inch pounds-force.
    Inch,
}

impl Measures {
    /// Its name in the stored preferences.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Inch => "inch",
        }
    }

    /// The units of that name; metric for any other name.
    pub fn from_name(name: &str) -> Self {
        if name == Self::Inch.name() {
            Self::Inch
        } else {
            Self::Metric
        }
    }
}
