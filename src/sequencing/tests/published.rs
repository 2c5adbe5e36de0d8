//! Published sequential ordering problems with proven optima. Source: TSPLIB95, G. Reinelt,
//! Universität Heidelberg; the matrices are copied from there. In row *i*, column *j*, −1 says
//! that *j* comes before *i*. The first node is the start and the last one is the end.

use lidoff_sequencing::{DEFAULT_MEMORY, Sop, solve};

/// Received by Norbert Ascheuer / Laureano Escudero; optimum 2125.
const ESC07: &str = "
0 0 0 0 0 0 0 0 1000000
-1 0 100 200 75 0 300 100 0
-1 400 0 500 325 400 600 0 0
-1 700 800 0 550 700 900 800 0
-1 -1 250 225 0 275 525 250 0
-1 -1 100 200 -1 0 -1 -1 0
-1 -1 1100 1200 1075 1000 0 1100 0
-1 -1 0 500 325 400 600 0 0
-1 -1 -1 -1 -1 -1 -1 -1 0
";

/// Received by Norbert Ascheuer / Laureano Escudero; optimum 2075.
const ESC11: &str = "
0 0 0 0 0 0 0 0 0 0 0 0 1000000
-1 0 387 440 682 657 584 688 708 362 357 927 0
-1 -1 0 10 935 439 127 769 498 836 341 956 0
-1 -1 -1 0 596 865 70 513 512 373 824 220 0
-1 319 277 439 0 428 212 412 771 620 651 605 0
-1 -1 -1 60 988 0 326 279 687 295 738 270 0
-1 312 158 704 881 696 0 277 413 396 268 156 0
-1 512 939 784 271 432 771 0 279 436 31 444 0
-1 875 927 364 629 419 788 923 0 858 761 139 0
-1 365 43 766 924 845 437 395 991 0 980 359 0
-1 978 839 918 822 885 276 96 537 211 0 608 0
-1 864 168 211 455 543 904 412 535 954 971 0 0
-1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 0
";

/// br17.atsp plus random precedences (Norbert Ascheuer); optimum 55.
const BR17_12: &str = "
0 3 5 48 48 8 8 5 5 3 3 0 3 5 8 8 5 1000000
-1 0 3 48 -1 -1 8 5 -1 0 0 3 0 3 8 -1 5 3
-1 3 0 72 -1 48 48 24 -1 -1 3 5 3 0 48 -1 24 5
-1 48 74 0 0 6 6 12 -1 48 48 48 48 74 6 6 12 48
-1 48 74 0 0 6 6 12 -1 48 48 48 48 74 6 6 12 48
-1 8 50 6 6 0 0 8 8 8 8 8 8 50 0 0 8 8
-1 8 50 6 6 0 0 8 8 8 8 8 8 50 0 0 8 8
-1 5 26 12 12 -1 8 0 0 5 5 5 -1 26 8 8 0 5
-1 5 26 12 12 8 8 0 0 5 5 5 5 26 8 8 0 5
-1 0 3 48 -1 8 8 5 -1 0 0 3 0 3 8 8 5 3
-1 0 3 48 48 8 8 5 5 0 0 3 0 3 8 8 5 3
-1 3 5 48 48 8 8 5 5 3 3 0 3 5 8 8 5 0
-1 0 3 48 48 -1 8 5 5 0 0 3 0 3 8 8 5 3
-1 3 0 72 -1 48 48 24 -1 3 3 5 3 0 48 48 24 5
-1 8 50 6 6 -1 0 -1 8 8 8 8 -1 50 0 0 8 8
-1 8 50 6 -1 0 0 8 -1 8 8 8 8 50 0 0 8 8
-1 5 26 12 12 8 8 0 0 5 5 5 5 26 8 8 0 5
-1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 0
";

/// A matrix in the text of its format.
fn file(name: &str, matrix: &str) -> String {
    let size = matrix.trim().lines().count();
    format!(
        "NAME: {name}\nTYPE: SOP\nCOMMENT: typed in\nDIMENSION: {size}\n\
         EDGE_WEIGHT_TYPE: EXPLICIT\nEDGE_WEIGHT_FORMAT: FULL_MATRIX\n\
         EDGE_WEIGHT_SECTION\n{size}{matrix}EOF\n"
    )
}

/// The numbers of a matrix, read here and not by the parser under test.
fn rows(matrix: &str) -> Vec<Vec<i64>> {
    let number = |word: &str| word.parse().unwrap_or_else(|_| panic!("{word}"));
    let row = |line: &str| line.split_whitespace().map(number).collect();
    matrix.trim().lines().map(row).collect()
}

fn is_solved(name: &str, matrix: &str, optimum: u64) {
    let sop = Sop::parse(&file(name, matrix)).unwrap_or_else(|error| panic!("{name}: {error}"));
    let ordered = solve(&sop, DEFAULT_MEMORY, &mut || true);
    assert_eq!(ordered.cost, optimum, "{name}");
    assert_eq!(ordered.bound, optimum, "{name}");
    assert!(ordered.is_proven(), "{name}");

    let rows = rows(matrix);
    let order = &ordered.order;
    let mut nodes = order.clone();
    nodes.sort_unstable();
    let every: Vec<usize> = (0..rows.len()).collect();
    assert_eq!(nodes, every, "{name}: each node once");
    assert_eq!(order.first(), Some(&0), "{name}");
    assert_eq!(order.last(), Some(&(rows.len() - 1)), "{name}");
    for (at, node) in order.iter().enumerate() {
        for later in &order[at + 1..] {
            assert_ne!(
                rows[*node][*later], -1,
                "{name}: {later} comes before {node}"
            );
        }
    }
    let cost: i64 = order.windows(2).map(|pair| rows[pair[0]][pair[1]]).sum();
    assert_eq!(cost.unsigned_abs(), optimum, "{name}");
}

#[test]
fn esc07_is_solved_to_its_proven_optimum() {
    is_solved("ESC07", ESC07, 2125);
}

#[test]
fn esc11_is_solved_to_its_proven_optimum() {
    is_solved("ESC11", ESC11, 2075);
}

#[test]
fn br17_12_is_solved_to_its_proven_optimum() {
    is_solved("br17.12", BR17_12, 55);
}
