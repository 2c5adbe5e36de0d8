//! Measured figures that may improve but must not get worse.

/// Fails where the value is above its baseline, and asks for a new baseline where it is
/// below.
///
/// # Panics
/// Where the value is worse.
pub fn at_most(what: &str, value: u64, baseline: u64) {
    assert!(
        value <= baseline,
        "{what}: {value} is worse than the baseline of at most {baseline}"
    );
    ask_for_new_baseline(what, value, baseline);
}

/// Fails where the value is below its baseline, and asks for a new baseline where it is
/// above.
///
/// # Panics
/// Where the value is worse.
pub fn at_least(what: &str, value: u64, baseline: u64) {
    assert!(
        value >= baseline,
        "{what}: {value} is worse than the baseline of at least {baseline}"
    );
    ask_for_new_baseline(what, value, baseline);
}

fn ask_for_new_baseline(what: &str, value: u64, baseline: u64) {
    if value != baseline {
        println!("{what}: {value} is better than the baseline {baseline}. Write {value} down.");
    }
}

#[cfg(test)]
mod tests {
    use super::{at_least, at_most};

    #[test]
    fn an_equal_or_better_value_passes() {
        at_most("states", 7, 7);
        at_most("states", 6, 7);
        at_least("bound", 7, 7);
        at_least("bound", 8, 7);
    }

    #[test]
    #[should_panic(expected = "states: 8 is worse than the baseline of at most 7")]
    fn a_higher_value_than_at_most_fails() {
        at_most("states", 8, 7);
    }

    #[test]
    #[should_panic(expected = "bound: 6 is worse than the baseline of at least 7")]
    fn a_lower_value_than_at_least_fails() {
        at_least("bound", 6, 7);
    }
}
