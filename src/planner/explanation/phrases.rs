//! Explanations in words, with the catalog's own names.

use crate::cost::Tenths;
use crate::op::{Op, Way};
use crate::request::Task;
use crate::state::PartState;
use lidoff_catalog::model::{Catalog, PartIx};
use lidoff_i18n::{localize, tr};

use super::alternative::Alternative;
use super::explain::Explanation;
use super::order_slack::OrderSlack;
use super::purpose::{NeededState, Purpose};

fn name(catalog: &Catalog, part: PartIx) -> String {
    tr!("“{}”", localize(&catalog.part(part).name))
}

/// "“heatsink” comes off".
fn op_happens(catalog: &Catalog, op: Op) -> String {
    let part = |part| name(catalog, part);
    match op {
        Op::TakeOff(at, _) if catalog.part(at).is_source() => tr!("{} is isolated", part(at)),
        Op::PutBack(at, _) if catalog.part(at).is_source() => tr!("{} is made live", part(at)),
        Op::Ease(at) => tr!("{} is eased", part(at)),
        Op::TakeOff(at, Way::InPlace | Way::Other(_)) => tr!("{} comes off", part(at)),
        Op::TakeOff(at, Way::Bench) => tr!("{} comes off on the bench", part(at)),
        Op::Swap(at) => tr!("{} is replaced", part(at)),
        Op::Reseat(at) => tr!("{} is reseated", part(at)),
        Op::Inspect(at) => tr!("{} is inspected", part(at)),
        Op::LeaveOut(at) => tr!("{} is left out", part(at)),
        Op::Serve(at) => tr!("“{}” is run", localize(&catalog.service(at).entry.name)),
        Op::PutBack(at, Way::InPlace | Way::Other(_)) => tr!("{} goes back", part(at)),
        Op::PutBack(at, Way::Bench) => tr!("{} goes back on the bench", part(at)),
        Op::Settle(at) => tr!("{} is closed", part(at)),
    }
}

/// "taking off “heatsink”".
fn op_as_gerund(catalog: &Catalog, op: Op) -> String {
    let part = |part| name(catalog, part);
    match op {
        Op::TakeOff(at, _) if catalog.part(at).is_source() => tr!("isolating {}", part(at)),
        Op::PutBack(at, _) if catalog.part(at).is_source() => tr!("making {} live", part(at)),
        Op::Ease(at) => tr!("easing {}", part(at)),
        Op::TakeOff(at, Way::InPlace | Way::Other(_)) => tr!("taking off {}", part(at)),
        Op::TakeOff(at, Way::Bench) => tr!("taking off {} on the bench", part(at)),
        Op::PutBack(at, _) => tr!("putting back {}", part(at)),
        Op::Settle(at) => tr!("closing {}", part(at)),
        Op::Swap(at) => tr!("replacing {}", part(at)),
        Op::Reseat(at) => tr!("reseating {}", part(at)),
        Op::Inspect(at) => tr!("inspecting {}", part(at)),
        Op::LeaveOut(at) => tr!("leaving out {}", part(at)),
        Op::Serve(at) => tr!("“{}”", localize(&catalog.service(at).entry.name)),
    }
}

fn level(catalog: &Catalog, part: PartIx, state: PartState) -> String {
    match state {
        PartState::Off if catalog.part(part).is_source() => tr!("isolated"),
        PartState::Fitted => tr!("fitted"),
        PartState::Eased => tr!("eased"),
        PartState::Off => tr!("off"),
    }
}

/// A length of time: "9 s", "2 min 05 s".
fn duration(time: Tenths) -> String {
    let seconds = time.saturating_add(5) / 10;
    match (seconds / 60, seconds % 60) {
        (0, seconds) => format!("{seconds} s"),
        (minutes, 0) => format!("{minutes} min"),
        (minutes, seconds) => format!("{minutes} min {seconds:02} s"),
    }
}

fn capitalize(words: String) -> String {
    let mut letters = words.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => words,
    }
}

impl Explanation {
    /// The explanation, one or two sentences for each reason.
    pub fn words(&self, catalog: &Catalog) -> Vec<String> {
        let mut lines = vec![self.purpose_words(catalog)];
        if !self.riders.is_empty() {
            let riders: Vec<String> = self.riders.iter().map(|at| name(catalog, *at)).collect();
            lines.push(tr!(
                "{riders} comes away with it." | "{riders} come away with it." % riders.len(),
                riders = riders.join(", ")
            ));
        }
        lines.extend(slack_words(catalog, &self.slack));
        lines
    }

    fn is_of_source(&self, catalog: &Catalog) -> bool {
        let part = self.op.part();
        part.is_some_and(|part| catalog.part(part).is_source())
    }

    fn purpose_words(&self, catalog: &Catalog) -> String {
        match &self.purpose {
            Purpose::Work {
                task,
                brought_by: Some(part),
            } => tr!(
                "Replacing {} also requires this: {}.",
                name(catalog, *part),
                task.words(catalog)
            ),
            Purpose::Work { task, .. } => {
                tr!("This is a task of the job: {}.", task.words(catalog))
            }
            Purpose::Opens { chain, tasks } => opens_words(catalog, chain, tasks),
            Purpose::Closes { .. } if self.is_of_source(catalog) => {
                tr!("Nothing that is left needs it isolated, and the unit is handed over live.")
            }
            Purpose::Closes { opened_for } if opened_for.is_empty() => {
                tr!("Closes what is open.")
            }
            Purpose::Closes { opened_for } => {
                let tasks: Vec<String> = opened_for.iter().map(|it| it.words(catalog)).collect();
                tr!(
                    "It was opened to {} and is now closed again.",
                    tasks.join(", ")
                )
            }
            Purpose::Nothing => tr!("No task needs it, and it takes no extra time."),
        }
    }
}

/// "Replacing “fan” needs “fan” off; that needs “heatsink” off. Also for: …"
fn opens_words(catalog: &Catalog, chain: &[NeededState], tasks: &[Task]) -> String {
    let mut links = chain.iter().rev();
    let mut words = String::new();
    if let Some(NeededState {
        op,
        part,
        level: at,
    }) = links.next()
    {
        words = tr!(
            "{} needs {} {}",
            capitalize(op_as_gerund(catalog, *op)),
            name(catalog, *part),
            level(catalog, *part, *at)
        );
    }
    for NeededState {
        part, level: at, ..
    } in links
    {
        words += &tr!(
            "; that needs {} {}",
            name(catalog, *part),
            level(catalog, *part, *at)
        );
    }
    words.push('.');
    let done = chain.last().map(|asks| asks.op);
    let also: Vec<String> = tasks
        .iter()
        .filter(|task| Some(task.op()) != done)
        .map(|task| task.words(catalog))
        .collect();
    if !also.is_empty() {
        words += &tr!(" Also needed to {}.", also.join(", "));
    }
    words
}

fn slack_words(catalog: &Catalog, slack: &OrderSlack) -> Vec<String> {
    let after = slack
        .after
        .map(|op| tr!("after {}", op_happens(catalog, op)));
    let before = slack
        .before
        .map(|op| tr!("before {}", op_happens(catalog, op)));
    let bounds: Vec<String> = after.into_iter().chain(before).collect();
    let extra_time = |moved: Option<Tenths>| moved.filter(|cost| *cost > 0).map(duration);
    let sooner = extra_time(slack.sooner).map(|cost| tr!("sooner would cost {} more", cost));
    let later = extra_time(slack.later).map(|cost| tr!("later would cost {} more", cost));
    let moved: Vec<String> = sooner.into_iter().chain(later).collect();
    let mut lines = Vec::new();
    if !bounds.is_empty() {
        lines.push(tr!("It must come {}.", bounds.join(&tr!(" and "))));
    }
    if !moved.is_empty() {
        lines.push(tr!(
            "Done here to save a tool change or a turn: {}.",
            moved.join(", ")
        ));
    }
    lines
}

impl Alternative {
    /// The alternative in one sentence.
    pub fn words(&self, catalog: &Catalog) -> String {
        match self {
            Self::NoWay => tr!("There is no other way."),
            Self::NotFound => tr!("It is not known whether there is another way."),
            Self::Longer {
                by,
                proven,
                instead,
            } => {
                let by = match (by, proven) {
                    (0, _) => tr!("just as long"),
                    (by, true) => tr!("{} longer", duration(*by)),
                    (by, false) => tr!("up to {} longer", duration(*by)),
                };
                let ways: Vec<String> = instead
                    .iter()
                    .map(|op| op_as_gerund(catalog, *op))
                    .collect();
                if ways.is_empty() {
                    tr!("Without it the job takes {by}.", by)
                } else {
                    tr!("Without it the job takes {by}: {}.", ways.join(", "), by)
                }
            }
        }
    }
}
