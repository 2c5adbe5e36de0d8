//! Sorting of short lists.
//!
//! The sorts of the standard library are made for long lists and are compiled again for
//! every list type: thirteen copies added 12 kB to the download. These lists have tens
//! of entries or are nearly sorted, so insertion sort is as fast. Code with long lists
//! (the planner's search, the records of a store) uses the standard library.

/// Puts a list in order, by moving each entry forward past those that belong after
/// it. Entries of which neither belongs after the other stay as they are.
pub fn insertion_sort<T>(list: &mut [T], belongs_after: impl Fn(&T, &T) -> bool) {
    for end in 1..list.len() {
        let mut at = end;
        while at > 0 && belongs_after(&list[at - 1], &list[at]) {
            list.swap(at - 1, at);
            at -= 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::insertion_sort;

    #[test]
    fn a_list_is_sorted_and_equal_entries_keep_their_order() {
        let mut list = [(3, 'a'), (1, 'b'), (3, 'c'), (2, 'd'), (1, 'e')];
        insertion_sort(&mut list, |one, next| one.0 > next.0);
        assert_eq!(list, [(1, 'b'), (1, 'e'), (2, 'd'), (3, 'a'), (3, 'c')]);
        insertion_sort(&mut [0; 0], |_, _| true);
    }
}
