//! A long word of a translation says where it may be broken: a browser without the
//! language's own rules breaks it anywhere else.

use lidoff_i18n::SOFT_HYPHEN;

use crate::{catalogs, po};

/// Letters that still fit on a line of a step's heading, on a phone 360 px wide, at
/// the size at which it is read at arm's length.
const FITS: usize = 15;

/// Pieces of words that are longer than that.
fn too_long(text: &str) -> Vec<&str> {
    let pieces = text.split(|letter: char| !letter.is_alphabetic());
    pieces
        .filter(|piece| piece.chars().count() > FITS)
        .collect()
}

#[test]
fn every_long_word_says_where_it_may_be_broken() {
    for language in po::others() {
        for of in catalogs::units()
            .iter()
            .map(String::as_str)
            .chain(["lidoff"])
        {
            let wrong: Vec<String> = po::forms(language, of)
                .into_values()
                .flatten()
                .flat_map(|form| {
                    too_long(&form)
                        .into_iter()
                        .map(str::to_owned)
                        .collect::<Vec<_>>()
                })
                .collect();
            let name = language.name();
            assert!(
                wrong.is_empty(),
                "{of} in {name}: put a U+00AD between the parts of {}",
                wrong.join(", ")
            );
        }
    }
}

#[test]
fn a_word_is_long_between_two_places_to_break() {
    assert_eq!(too_long("Die Scharnierabdeckung."), ["Scharnierabdeckung"]);
    let may = format!("Die Scharnier{SOFT_HYPHEN}abdeckung, kurz");
    assert_eq!(too_long(&may), [""; 0]);
}
