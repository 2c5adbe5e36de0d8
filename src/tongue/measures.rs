//! Numbers, lengths and torques as they are read.

use super::{language, measures};

/// The units that come first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measures {
    /// Millimetres and newton metres.
    Metric,
    /// Inches and inch pounds-force.
    Inch,
}

/// Millimetres in an inch: exact (NIST SP 811:2008, B.8; from memory).
const MM_PER_INCH: f64 = 25.4;
/// Inch pounds-force in a newton metre, from exact definitions: the pound is
/// 0.453 592 37 kg and the inch 0.0254 m (international yard and pound, 1959),
/// standard gravity 9.806 65 m/s² (3rd CGPM, 1901; all from memory).
const IN_LBF: f64 = 1.0 / (0.453_592_37 * 9.806_65 * 0.025_4);

impl Measures {
    /// As it is kept.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Inch => "inch",
        }
    }

    /// What was kept under this name; metric for what is none.
    pub fn of_name(name: &str) -> Self {
        if name == Self::Inch.name() {
            Self::Inch
        } else {
            Self::Metric
        }
    }
}

/// A number with so many decimals, "1.25" or "1,25".
pub fn number(value: f64, decimals: usize) -> String {
    localized(format!("{value:.decimals$}"))
}

/// A number with the decimals that it has, "1.5" or "1,5".
pub fn plain(value: f64) -> String {
    localized(value.to_string())
}

fn localized(digits: String) -> String {
    match language().decimal() {
        '.' => digits,
        decimal => digits.replacen('.', &decimal.to_string(), 1),
    }
}

/// A length, "8 mm" or "0.31 in".
pub fn length(mm: f64) -> String {
    match measures() {
        Measures::Metric => format!("{} mm", plain(mm)),
        Measures::Inch => format!("{} in", number(mm / MM_PER_INCH, 2)),
    }
}

/// A torque with its tolerance in both units, the chosen one first: "0.60 ± 0.05
/// N·m (5.3 ± 0.4 in·lbf)".
pub fn torque(nm: f64, tolerance_nm: f64) -> String {
    let metric = format!("{} ± {} N·m", number(nm, 2), number(tolerance_nm, 2));
    let inch = format!(
        "{} ± {} in·lbf",
        number(nm * IN_LBF, 1),
        number(tolerance_nm * IN_LBF, 1)
    );
    match measures() {
        Measures::Metric => format!("{metric} ({inch})"),
        Measures::Inch => format!("{inch} ({metric})"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST SP 811:2008, B.8 (from memory): 1 lbf·in = 0.112 984 8 N·m, all digits
    /// given.
    #[test]
    fn an_inch_pound_force_is_as_many_newton_metres_as_the_table_says() {
        assert!((1.0 / IN_LBF - 0.112_984_8).abs() < 0.5e-7);
    }
}
