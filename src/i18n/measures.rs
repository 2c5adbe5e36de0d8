//! Numbers, lengths and torques as they are read.

use std::borrow::Cow;

use super::{language, measures};

/// The units that come first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measures {
    /// Millimetres and newton metres.
    Metric,
    /// Inches and inch pounds-force.
    Inch,
}

/// Millimetres in an inch: exact (international yard and pound agreement, 1959; also
/// ISO 80000-3 and NIST SP 811:2008, B.8; all from memory).
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

/// A length, "8 mm"; where inches come first, "0.31 in (8 mm)".
pub fn length(mm: f64) -> String {
    length_in(measures(), mm)
}

fn length_in(measures: Measures, mm: f64) -> String {
    match measures {
        Measures::Metric => format!("{} mm", plain(mm)),
        Measures::Inch => format!("{} ({} mm)", inches(mm), plain(mm)),
    }
}

/// A metric thread with its length, "M3 × 8"; where inches come first, "M3 × 8
/// (0.31 in)". The designation is a name, printed on bags and in lists of spares: it
/// stays as it is.
pub fn threaded(thread: &str, mm: f64) -> String {
    threaded_in(measures(), thread, mm)
}

fn threaded_in(measures: Measures, thread: &str, mm: f64) -> String {
    let name = format!("{thread} × {}", plain(mm));
    match measures {
        Measures::Metric => name,
        Measures::Inch => format!("{name} ({})", inches(mm)),
    }
}

/// Two decimals of an inch are a quarter of a millimetre: lengths of screws differ by
/// more.
fn inches(mm: f64) -> String {
    format!("{} in", number(mm / MM_PER_INCH, 2))
}

/// A name that ends in its size, as logs keep it ("pan head screw, M3 × 8"; "rivet,
/// 6 mm"): the size in the units that come first. Any other name stays as it is.
pub fn sized(name: Cow<'_, str>) -> Cow<'_, str> {
    sized_in(measures(), name)
}

fn sized_in(measures: Measures, name: Cow<'_, str>) -> Cow<'_, str> {
    let mm = |figure: &str| figure.parse().ok().filter(|mm: &f64| mm.is_normal());
    let said = name.rsplit_once(", ").and_then(|(kind, size)| {
        let size = match (size.rsplit_once(" × "), size.strip_suffix(" mm")) {
            (Some((thread, length)), _) => threaded_in(measures, thread, mm(length)?),
            (None, Some(length)) => length_in(measures, mm(length)?),
            (None, None) => return None,
        };
        Some(format!("{kind}, {size}"))
    });
    said.map_or(name, Cow::Owned)
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

    /// From 25.4 mm to the inch, worked out by hand: 6 / 25.4 = 0.2362, 8 / 25.4 =
    /// 0.3150, 12.7 / 25.4 = 0.5.
    #[test]
    fn a_length_is_told_in_millimetres_and_with_inches_first_in_both() {
        assert_eq!(length_in(Measures::Metric, 6.0), "6 mm");
        assert_eq!(length_in(Measures::Inch, 6.0), "0.24 in (6 mm)");
        assert_eq!(length_in(Measures::Inch, 12.7), "0.50 in (12.7 mm)");
        assert_eq!(length_in(Measures::Inch, 25.4), "1.00 in (25.4 mm)");
    }

    #[test]
    fn a_thread_keeps_its_name_in_any_units() {
        assert_eq!(threaded_in(Measures::Metric, "M2.5", 8.0), "M2.5 × 8");
        assert_eq!(
            threaded_in(Measures::Inch, "M2.5", 8.0),
            "M2.5 × 8 (0.31 in)"
        );
    }

    #[test]
    fn a_kept_name_is_told_with_its_size_in_the_chosen_units() {
        let inch = |name| sized_in(Measures::Inch, Cow::Borrowed(name)).into_owned();
        let screw = "black screw, long, M3 × 8";
        assert_eq!(inch(screw), "black screw, long, M3 × 8 (0.31 in)");
        assert_eq!(inch("rivet, 6 mm"), "rivet, 0.24 in (6 mm)");
        assert_eq!(sized_in(Measures::Metric, screw.into()), screw);
        for same in [
            "cam lock",
            "screw, M3",
            "screw, M3 × NaN",
            "clip, 0 mm",
            "plate, 2 × 3 holes",
        ] {
            assert_eq!(inch(same), same);
        }
    }
}
