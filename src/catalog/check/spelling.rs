//! Which known word was probably meant.

use lidoff_i18n::tr;

/// Longest word that is compared; a longer one is not a typing error.
const LONGEST: usize = 64;

/// The known word nearest to `written`, if it is near enough to be a typing error: at most
/// a third of the letters wrong. If several are equally near, the first.
pub(super) fn nearest<'a>(
    written: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let written: Vec<char> = written.chars().flat_map(char::to_lowercase).collect();
    if written.len() > LONGEST {
        return None;
    }
    let most = (written.len() / 3).max(1);
    let mut best: Option<(usize, &str)> = None;
    for word in known {
        let letters: Vec<char> = word.chars().flat_map(char::to_lowercase).collect();
        if letters.len() > LONGEST {
            continue;
        }
        let far = distance(&written, &letters);
        if far <= most && best.is_none_or(|(least, _)| far < least) {
            best = Some((far, word));
        }
    }
    best.map(|(_, word)| word)
}

/// Asks whether that word was meant.
pub(super) fn did_you_mean(word: &str) -> String {
    tr!("Did you mean “{}”?", word)
}

/// Letters left out, added, changed or swapped with their neighbour: the
/// optimal string alignment distance.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let changed = above[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut least = changed.min(above[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(before[j - 2] + 1);
            }
            row.push(least);
        }
        before = std::mem::replace(&mut above, row);
    }
    above[b.len()]
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn a_typing_error_is_recognised() {
        let known = ["lid", "hinge-cover", "hinge"];
        assert_eq!(nearest("hinge-cvoer", known), Some("hinge-cover"));
        assert_eq!(nearest("Hnge", known), Some("hinge"));
        assert_eq!(nearest("lidd", known), Some("lid"));
    }

    #[test]
    fn an_entirely_different_word_gets_no_suggestion() {
        assert_eq!(nearest("printer", ["lid", "hinge"]), None);
        assert_eq!(nearest("", ["lid"]), None);
    }
}
