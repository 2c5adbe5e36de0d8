//! Broken rules in words.

use lidoff_catalog::format::Formula;
use lidoff_catalog::model::{
    Catalog, ConnectionIx, FasteningIx, OpIx, PartIx, ResolvedFormula, ServiceIx,
};
use lidoff_planner::{Op, PartState, Task, Way};

use super::violation::Violation;

pub(super) fn describe_op(catalog: &Catalog, op: Op) -> String {
    match op {
        Op::Ease(at) => format!("ease {}", part(catalog, at)),
        Op::Settle(at) => format!("settle {}", part(catalog, at)),
        Op::TakeOff(at, place) => format!("take off {}{}", part(catalog, at), workplace(place)),
        Op::PutBack(at, place) => format!("put back {}{}", part(catalog, at), workplace(place)),
        Op::Swap(at) => task(catalog, Task::Replace(at)),
        Op::Reseat(at) => task(catalog, Task::Reseat(at)),
        Op::Inspect(at) => task(catalog, Task::Inspect(at)),
        Op::LeaveOut(at) => task(catalog, Task::LeaveOut(at)),
        Op::Serve(at) => task(catalog, Task::Serve(at)),
    }
}

pub(super) fn describe_violation(catalog: &Catalog, violation: &Violation) -> String {
    match violation {
        Violation::AnotherUnit => "The state or the prices are of another unit".to_owned(),
        Violation::NotFitted => "this unit is not fitted with it".to_owned(),
        Violation::NotOffered => "the catalog gives no such way".to_owned(),
        Violation::WrongState {
            part: at,
            is,
            must_be,
        } => format!(
            "{} is {}, and must be {}",
            part(catalog, *at),
            state(*is),
            state(*must_be)
        ),
        Violation::Away(at) => format!("{} is away with what it rides on", part(catalog, *at)),
        Violation::CarrierOn(at) => format!("what {} rides on is still on", part(catalog, *at)),
        Violation::OutOfUse(at) => format!(
            "{} would be made live on a unit that goes out of use",
            part(catalog, *at)
        ),
        Violation::Needs(asked) => format!("it needs {}", needs(catalog, asked)),
        Violation::RefitNeeds(asked) => {
            format!("it goes back only with {}", needs(catalog, asked))
        }
        Violation::NotAsked(what) => format!("nobody asked to {} (any more)", task(catalog, *what)),
        Violation::StillOnOldPart(at) => format!(
            "{} moves over and is still on the old part",
            part(catalog, *at)
        ),
        Violation::ComesFirst(at) => format!("{} comes first", service(catalog, *at)),
        Violation::ComesAfter(at) => format!("it comes after: {}", named(catalog, *at)),
        Violation::AlreadyUndone(at) => format!("{} is undone already", fastening(catalog, *at)),
        Violation::NotUndone(at) => format!("{} is not undone", fastening(catalog, *at)),
        Violation::AlreadyUnplugged(at) => format!("{} is unplugged already", cable(catalog, *at)),
        Violation::NotUnplugged(at) => format!("{} is not unplugged", cable(catalog, *at)),
        Violation::TaskLeft(what) => format!("still to do: {}", task(catalog, *what)),
        Violation::StillOpen(at) => format!("{} is not fitted", part(catalog, *at)),
        Violation::TallyOpen(at) => format!(
            "the tally is not zero: {} is still undone",
            fastening(catalog, *at)
        ),
        Violation::CableOpen(at) => format!("{} is still unplugged", cable(catalog, *at)),
        Violation::TooLong => "it takes longer than the clock can count".to_owned(),
    }
}

fn needs(catalog: &Catalog, asked: &ResolvedFormula) -> String {
    match asked {
        Formula::All(all) if all.is_empty() => "nothing".to_owned(),
        Formula::Any(any) if any.is_empty() => "what cannot be".to_owned(),
        Formula::All(all) => list(catalog, all, " and "),
        Formula::Any(any) => list(catalog, any, " or "),
        Formula::Eased(at) => format!("{} at least eased", part(catalog, *at)),
        Formula::Off(at) => format!("{} off", part(catalog, *at)),
        Formula::Clear(at) => format!("{} off by itself", part(catalog, *at)),
        Formula::InPlace(at) => format!("{} in place", part(catalog, *at)),
        Formula::Closed => "every part fitted".to_owned(),
        Formula::When { then, .. } => format!("{} (as this unit is fitted)", needs(catalog, then)),
    }
}

fn list(catalog: &Catalog, all: &[ResolvedFormula], between: &str) -> String {
    let words: Vec<String> = all.iter().map(|one| needs(catalog, one)).collect();
    match words.as_slice() {
        [one] => one.clone(),
        _ => format!("({})", words.join(between)),
    }
}

fn named(catalog: &Catalog, at: OpIx) -> String {
    match at {
        OpIx::TakeOff(at) => format!("take off {}", part(catalog, at)),
        OpIx::PutBack(at) => format!("put back {}", part(catalog, at)),
        OpIx::Swap(at) => task(catalog, Task::Replace(at)),
        OpIx::Service(at) => task(catalog, Task::Serve(at)),
    }
}

fn task(catalog: &Catalog, task: Task) -> String {
    match task {
        Task::Replace(at) => format!("replace {}", part(catalog, at)),
        Task::Reseat(at) => format!("reseat {}", part(catalog, at)),
        Task::Inspect(at) => format!("inspect {}", part(catalog, at)),
        Task::LeaveOut(at) => format!("leave out {}", part(catalog, at)),
        Task::Serve(at) => service(catalog, at),
    }
}

fn part(catalog: &Catalog, at: PartIx) -> String {
    format!("“{}”", catalog.part(at).name)
}

fn service(catalog: &Catalog, at: ServiceIx) -> String {
    format!("“{}”", catalog.service(at).entry.name)
}

fn fastening(catalog: &Catalog, at: FasteningIx) -> String {
    let placed = catalog.fastening(at);
    let kind = &catalog.fastener(placed.fastener).name;
    format!(
        "{} × “{}” of {}",
        placed.entry.count,
        kind,
        part(catalog, placed.part)
    )
}

fn cable(catalog: &Catalog, at: ConnectionIx) -> String {
    let known = catalog.connection(at);
    format!("cable “{}” on port “{}”", known.cable, known.port)
}

fn state(state: PartState) -> &'static str {
    match state {
        PartState::Fitted => "fitted",
        PartState::Eased => "eased",
        PartState::Off => "off",
    }
}

fn workplace(place: Way) -> &'static str {
    match place {
        Way::InPlace => "",
        Way::Other(_) => " another way",
        Way::Bench => " on the bench",
    }
}
