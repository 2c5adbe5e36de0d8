//! The reasons in words, with the catalog's own names.

use crate::catalog::model::{Catalog, PartIx};
use crate::plan::{Op, PartState, Task, Tenths, Way};

use super::{Asks, Need, Otherwise, Place, Why};

fn name(catalog: &Catalog, part: PartIx) -> String {
    format!("“{}”", catalog.part(part).name)
}

/// "“fan duct” comes off".
fn happens(catalog: &Catalog, op: Op) -> String {
    let part = |part| name(catalog, part);
    match op {
        Op::Ease(at) => format!("{} is eased", part(at)),
        Op::TakeOff(at, Way::InPlace) => format!("{} comes off", part(at)),
        Op::TakeOff(at, Way::Bench) => format!("{} comes off on the bench", part(at)),
        Op::Swap(at) => format!("{} is replaced", part(at)),
        Op::Reseat(at) => format!("{} is reseated", part(at)),
        Op::Inspect(at) => format!("{} is inspected", part(at)),
        Op::Serve(at) => format!("“{}” is run", catalog.service(at).said.name),
        Op::PutBack(at, Way::InPlace) => format!("{} goes back", part(at)),
        Op::PutBack(at, Way::Bench) => format!("{} goes back on the bench", part(at)),
        Op::Settle(at) => format!("{} is closed", part(at)),
    }
}

/// "take off “fan duct”".
fn to_do(catalog: &Catalog, op: Op) -> String {
    let part = |part| name(catalog, part);
    match op {
        Op::Ease(at) => format!("easing {}", part(at)),
        Op::TakeOff(at, Way::InPlace) => format!("taking off {}", part(at)),
        Op::TakeOff(at, Way::Bench) => format!("taking off {} on the bench", part(at)),
        Op::PutBack(at, _) => format!("putting back {}", part(at)),
        Op::Settle(at) => format!("closing {}", part(at)),
        Op::Swap(at) => format!("replacing {}", part(at)),
        Op::Reseat(at) => format!("reseating {}", part(at)),
        Op::Inspect(at) => format!("inspecting {}", part(at)),
        Op::Serve(at) => format!("“{}”", catalog.service(at).said.name),
    }
}

const fn level(state: PartState) -> &'static str {
    match state {
        PartState::Fitted => "fitted",
        PartState::Eased => "eased",
        PartState::Off => "off",
    }
}

/// A length of time: "9 s", "2 min 05 s".
fn long(time: Tenths) -> String {
    let seconds = time.saturating_add(5) / 10;
    match (seconds / 60, seconds % 60) {
        (0, seconds) => format!("{seconds} s"),
        (minutes, 0) => format!("{minutes} min"),
        (minutes, seconds) => format!("{minutes} min {seconds:02} s"),
    }
}

fn first_upper(words: String) -> String {
    let mut letters = words.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => words,
    }
}

impl Why {
    /// The reasons, a sentence or two each.
    pub fn words(&self, catalog: &Catalog) -> Vec<String> {
        let mut lines = vec![self.need_words(catalog)];
        if !self.riders.is_empty() {
            let riders: Vec<String> = self.riders.iter().map(|at| name(catalog, *at)).collect();
            let verb = if riders.len() == 1 { "comes" } else { "come" };
            lines.push(format!("{} {verb} away with it.", riders.join(", ")));
        }
        lines.extend(place_words(catalog, &self.place));
        lines
    }

    fn need_words(&self, catalog: &Catalog) -> String {
        match &self.need {
            Need::Work {
                task,
                brought_by: Some(part),
            } => format!(
                "Replacing {} brings it along: {}.",
                name(catalog, *part),
                task.words(catalog)
            ),
            Need::Work { task, .. } => {
                format!("It is what you came for: {}.", task.words(catalog))
            }
            Need::Opens { chain, tasks } => opens_words(catalog, chain, tasks),
            Need::Closes => "What is open is closed again.".to_owned(),
            Need::Nothing => "Nothing asks for it, and it costs nothing.".to_owned(),
        }
    }
}

/// "Replacing “fan” needs “fan” off; that needs “fan duct” off. Also for: …"
fn opens_words(catalog: &Catalog, chain: &[Asks], tasks: &[Task]) -> String {
    let mut links = chain.iter().rev();
    let mut words = String::new();
    if let Some(Asks {
        op,
        part,
        level: at,
    }) = links.next()
    {
        words = format!(
            "{} needs {} {}",
            first_upper(to_do(catalog, *op)),
            name(catalog, *part),
            level(*at)
        );
    }
    for Asks {
        part, level: at, ..
    } in links
    {
        words += &format!("; that needs {} {}", name(catalog, *part), level(*at));
    }
    words.push('.');
    let done = chain.last().map(|asks| asks.op);
    let also: Vec<String> = tasks
        .iter()
        .filter(|task| Some(task.op()) != done)
        .map(|task| task.words(catalog))
        .collect();
    if !also.is_empty() {
        words += &format!(" Also to {}.", also.join(", "));
    }
    words
}

fn place_words(catalog: &Catalog, place: &Place) -> Vec<String> {
    let after = place
        .after
        .map(|op| format!("after {}", happens(catalog, op)));
    let before = place
        .before
        .map(|op| format!("before {}", happens(catalog, op)));
    let bounds: Vec<String> = after.into_iter().chain(before).collect();
    let costs = |moved: Option<Tenths>, when: &str| {
        moved
            .filter(|cost| *cost > 0)
            .map(|cost| format!("{when} would cost {} more", long(cost)))
    };
    let moved: Vec<String> = costs(place.sooner, "sooner")
        .into_iter()
        .chain(costs(place.later, "later"))
        .collect();
    let mut lines = Vec::new();
    if !bounds.is_empty() {
        lines.push(format!("It has to come {}.", bounds.join(" and ")));
    }
    if !moved.is_empty() {
        lines.push(format!(
            "It stands here for the sake of the tool in hand and the face that is up: {}.",
            moved.join(", ")
        ));
    }
    lines
}

impl Otherwise {
    /// What it would be, in a sentence.
    pub fn words(&self, catalog: &Catalog) -> String {
        match self {
            Self::NoWay => "There is no way without it.".to_owned(),
            Self::NotFound => "Whether there is a way without it was not found out.".to_owned(),
            Self::Longer {
                by,
                proven,
                instead,
            } => {
                let by = match (by, proven) {
                    (0, _) => "just as long".to_owned(),
                    (by, true) => format!("{} longer", long(*by)),
                    (by, false) => format!("{} longer or a little less", long(*by)),
                };
                let ways: Vec<String> = instead.iter().map(|op| to_do(catalog, *op)).collect();
                if ways.is_empty() {
                    format!("Without it the job takes {by}.")
                } else {
                    format!("Without it the job takes {by}, by {}.", ways.join(", "))
                }
            }
        }
    }
}
