//! Every step of every demo unit has an estimate that says what it rests on.

use lidoff_catalog::read;
use lidoff_estimate::estimate::describe_basis;
use lidoff_estimate::handbook::{Source, entry};
use lidoff_estimate::{Basis, Estimate};

#[test]
fn every_step_of_every_demo_unit_is_built_from_elements_or_marked_measured() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../catalogs");
    let (mut steps, mut published) = (0, 0);
    for file in std::fs::read_dir(folder).expect("the folder of catalogs") {
        let path = file.expect("an entry").path();
        if path.extension().is_none_or(|ending| ending != "json") {
            continue;
        }
        let name = path.display().to_string();
        let text = std::fs::read_to_string(&path).expect("a catalog");
        let catalog = read(&name, &text).expect("a catalog without faults");
        for (_, step) in catalog.steps() {
            let estimate = Estimate::for_step(step);
            let told = format!("{name}: {}: {}", step.entry.id, describe_basis(&step.entry));
            assert!(estimate.seconds > 0.0 && estimate.cv > 0.0, "{told}");
            match estimate.basis {
                Basis::Elements => {
                    assert!(!step.entry.elements.is_empty(), "{told}");
                    assert!(told.contains('×'), "{told}");
                }
                Basis::Measured => assert!(told.contains("measured by the author"), "{told}"),
                Basis::Learned => panic!("{told}: nothing was laid over it"),
            }
            steps += 1;
            let from_a_table = |one: &lidoff_catalog::format::ElementCount| {
                entry(one.element).source != Source::CommonPractice
            };
            published += usize::from(step.entry.elements.iter().any(from_a_table));
        }
    }
    assert!(steps > 200, "{steps} steps in all the demo units");
    assert!(
        published > 50,
        "{published} steps rest on a published figure"
    );
}
