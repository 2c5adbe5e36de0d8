//! Whatever is done to a catalog's text, the checks answer and do not fall over.

use lidoff_catalog::check::{examine_text, read};
use lidoff_catalog::model::Catalog;
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::good::TEXT;

/// Every place in a value, as a JSON pointer.
fn places(value: &Value, at: String, into: &mut Vec<String>) {
    match value {
        Value::Array(list) => {
            for (nth, one) in list.iter().enumerate() {
                places(one, format!("{at}/{nth}"), into);
            }
        }
        Value::Object(fields) => {
            for (key, one) in fields {
                places(one, format!("{at}/{key}"), into);
            }
        }
        _ => {}
    }
    into.push(at);
}

/// One thing done to a catalog.
#[derive(Clone, Debug)]
enum Spoil {
    Remove(prop::sample::Index),
    Put(prop::sample::Index, Value),
    Exchange(prop::sample::Index, prop::sample::Index),
    Copy(prop::sample::Index, prop::sample::Index),
    Words(prop::sample::Index, prop::sample::Index),
}

fn spoil() -> impl Strategy<Value = Spoil> {
    let place = any::<prop::sample::Index>;
    let value = prop::sample::select(vec![
        json!(null),
        json!(0),
        json!(-1),
        json!(65_535),
        json!(1e300),
        json!(""),
        json!("lid"),
        json!([]),
        json!({}),
        json!({"any": []}),
        json!({"not": {"fitted": "wall"}}),
    ]);
    prop_oneof![
        1 => place().prop_map(Spoil::Remove),
        1 => (place(), value).prop_map(|(at, value)| Spoil::Put(at, value)),
        1 => (place(), place()).prop_map(|(one, other)| Spoil::Exchange(one, other)),
        1 => (place(), place()).prop_map(|(from, to)| Spoil::Copy(from, to)),
        4 => (place(), place()).prop_map(|(from, to)| Spoil::Words(from, to)),
    ]
}

fn pick<'a>(at: &prop::sample::Index, places: &'a [String]) -> &'a str {
    &places[at.index(places.len())]
}

fn apply(spoil: &Spoil, value: &mut Value) {
    let mut all = Vec::new();
    places(value, String::new(), &mut all);
    let is_word = |at: &&String| value.pointer(at).is_some_and(Value::is_string);
    let words: Vec<String> = all.iter().filter(is_word).cloned().collect();
    let get = |value: &Value, at: &str| value.pointer(at).cloned().unwrap_or_default();
    let put = |value: &mut Value, at: &str, new: Value| {
        if let Some(old) = value.pointer_mut(at) {
            *old = new;
        }
    };
    match spoil {
        Spoil::Put(at, new) => put(value, pick(at, &all), new.clone()),
        Spoil::Exchange(one, other) => {
            let (one, other) = (pick(one, &all), pick(other, &all));
            let (first, second) = (get(value, one), get(value, other));
            put(value, one, second);
            put(value, other, first);
        }
        Spoil::Copy(from, to) => {
            let new = get(value, pick(from, &all));
            put(value, pick(to, &all), new);
        }
        Spoil::Words(from, to) if !words.is_empty() => {
            let new = get(value, pick(from, &words));
            put(value, pick(to, &words), new);
        }
        Spoil::Words(..) => {}
        Spoil::Remove(at) => {
            let Some((parent, key)) = pick(at, &all).rsplit_once('/') else {
                return;
            };
            match value.pointer_mut(parent) {
                Some(Value::Object(fields)) => {
                    fields.remove(key);
                }
                Some(Value::Array(list)) => {
                    if let Ok(nth) = key.parse() {
                        let _: Value = Vec::remove(list, nth);
                    }
                }
                _ => {}
            }
        }
    }
}

/// Follows every index of a catalog that was let out.
fn follow(catalog: &Catalog) {
    for (_, step) in catalog.steps() {
        step.tool.map(|ix| catalog.tool(ix));
        step.face.map(|ix| catalog.face(ix));
        step.asks.map(|ix| catalog.assumed(ix));
        step.starts_wait.map(|ix| catalog.wait(ix));
        step.after_wait.map(|ix| catalog.wait(ix));
        for ix in step.undo.iter().chain(&step.redo) {
            let fastening = catalog.fastening(*ix);
            catalog.fastener(fastening.fastener);
            catalog.part(fastening.part);
        }
        for ix in step.unplug.iter().chain(&step.plug) {
            catalog.connection(*ix);
        }
        for ix in &step.hazards {
            catalog.hazard(*ix);
        }
        for (ix, _) in &step.uses {
            catalog.consumable(*ix);
        }
    }
    for (ix, part) in catalog.parts() {
        for rider in &part.riders {
            assert_eq!(catalog.part(*rider).rides_on, Some(ix));
        }
    }
}

#[test]
fn a_catalog_with_any_list_emptied_is_let_out_or_refused() {
    let value: Value = serde_json::from_str(TEXT).expect("JSON");
    let mut all = Vec::new();
    places(&value, String::new(), &mut all);
    all.retain(|at| value.pointer(at).is_some_and(Value::is_array));
    assert!(all.len() > 50, "{} lists", all.len());
    for at in all {
        let mut value = value.clone();
        if let Some(list) = value.pointer_mut(&at) {
            *list = json!([]);
        }
        match examine_text("tern-5.json", &value.to_string()) {
            Ok(checked) => follow(&checked.catalog),
            Err(faults) => assert!(faults.has_errors(), "{at}"),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn a_catalog_with_things_changed_is_let_out_or_refused_with_a_reason(
        spoils in prop::collection::vec(spoil(), 1..4),
    ) {
        let mut value: Value = serde_json::from_str(TEXT).expect("JSON");
        for spoil in &spoils {
            apply(spoil, &mut value);
        }
        match examine_text("tern-5.json", &value.to_string()) {
            Ok(checked) => {
                prop_assert!(!checked.warnings.has_errors());
                follow(&checked.catalog);
            }
            Err(faults) => {
                prop_assert!(faults.has_errors());
                for fault in &faults {
                    prop_assert!(!fault.problem.is_empty() && !fault.fix.is_empty());
                }
            }
        }
    }

    #[test]
    fn a_text_with_letters_changed_is_let_out_or_refused_with_a_reason(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<char>()), 1..4),
        end in any::<prop::sample::Index>(),
        cut in any::<bool>(),
    ) {
        let mut letters: Vec<char> = TEXT.chars().collect();
        for (at, letter) in changes {
            let at = at.index(letters.len());
            letters[at] = letter;
        }
        if cut {
            letters.truncate(end.index(letters.len()));
        }
        let text: String = letters.into_iter().collect();
        if let Err(faults) = read("tern-5.json", &text) {
            prop_assert!(faults.has_errors());
        }
    }
}
