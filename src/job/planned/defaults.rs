//! Values that a file leaves out because they are the usual case.

pub(super) fn is_none_seen(times: &u32) -> bool {
    *times == 0
}

pub(super) fn is_false(it: &bool) -> bool {
    !it
}

pub(super) const fn one_person() -> u8 {
    1
}

pub(super) fn is_one_person(people: &u8) -> bool {
    *people == 1
}

pub(super) fn is_nothing(seconds: &f64) -> bool {
    *seconds == 0.0
}
