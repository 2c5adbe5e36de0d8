//! The reasons in words, with the catalog's own names.

use crate::{Op, PartState, Task, Tenths, Way};
use lidoff_catalog::model::{Catalog, PartIx};
use lidoff_i18n::{localize, tr};

use super::{Asks, Need, Otherwise, Place, Why};

fn name(catalog: &Catalog, part: PartIx) -> String {
    tr!("“{}”", localize(&catalog.part(part).name))
}

/// "“heatsink” comes off".
fn happens(catalog: &Catalog, op: Op) -> String {
    let part = |part| name(catalog, part);
    match op {
        Op::Ease(at) => tr!("{} is eased", part(at)),
        Op::TakeOff(at, Way::InPlace) => tr!("{} comes off", part(at)),
        Op::TakeOff(at, Way::Bench) => tr!("{} comes off on the bench", part(at)),
        Op::Swap(at) => tr!("{} is replaced", part(at)),
        Op::Reseat(at) => tr!("{} is reseated", part(at)),
        Op::Inspect(at) => tr!("{} is inspected", part(at)),
        Op::Serve(at) => tr!("“{}” is run", localize(&catalog.service(at).entry.name)),
        Op::PutBack(at, Way::InPlace) => tr!("{} goes back", part(at)),
        Op::PutBack(at, Way::Bench) => tr!("{} goes back on the bench", part(at)),
        Op::Settle(at) => tr!("{} is closed", part(at)),
    }
}

/// "take off “heatsink”".
fn to_do(catalog: &Catalog, op: Op) -> String {
    let part = |part| name(catalog, part);
    match op {
        Op::Ease(at) => tr!("easing {}", part(at)),
        Op::TakeOff(at, Way::InPlace) => tr!("taking off {}", part(at)),
        Op::TakeOff(at, Way::Bench) => tr!("taking off {} on the bench", part(at)),
        Op::PutBack(at, _) => tr!("putting back {}", part(at)),
        Op::Settle(at) => tr!("closing {}", part(at)),
        Op::Swap(at) => tr!("replacing {}", part(at)),
        Op::Reseat(at) => tr!("reseating {}", part(at)),
        Op::Inspect(at) => tr!("inspecting {}", part(at)),
        Op::Serve(at) => tr!("“{}”", localize(&catalog.service(at).entry.name)),
    }
}

fn level(state: PartState) -> String {
    match state {
        PartState::Fitted => tr!("fitted"),
        PartState::Eased => tr!("eased"),
        PartState::Off => tr!("off"),
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
            lines.push(tr!(
                "{riders} comes away with it." | "{riders} come away with it." % riders.len(),
                riders = riders.join(", ")
            ));
        }
        lines.extend(place_words(catalog, &self.place));
        lines
    }

    fn need_words(&self, catalog: &Catalog) -> String {
        match &self.need {
            Need::Work {
                task,
                brought_by: Some(part),
            } => tr!(
                "Replacing {} brings it along: {}.",
                name(catalog, *part),
                task.words(catalog)
            ),
            Need::Work { task, .. } => {
                tr!("It is what you came for: {}.", task.words(catalog))
            }
            Need::Opens { chain, tasks } => opens_words(catalog, chain, tasks),
            Need::Closes { opened_for } if opened_for.is_empty() => {
                tr!("What is open is closed again.")
            }
            Need::Closes { opened_for } => {
                let tasks: Vec<String> = opened_for.iter().map(|it| it.words(catalog)).collect();
                tr!(
                    "It was opened to {}, and is closed again.",
                    tasks.join(", ")
                )
            }
            Need::Nothing => tr!("Nothing asks for it, and it costs nothing."),
        }
    }
}

/// "Replacing “fan” needs “fan” off; that needs “heatsink” off. Also for: …"
fn opens_words(catalog: &Catalog, chain: &[Asks], tasks: &[Task]) -> String {
    let mut links = chain.iter().rev();
    let mut words = String::new();
    if let Some(Asks {
        op,
        part,
        level: at,
    }) = links.next()
    {
        words = tr!(
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
        words += &tr!("; that needs {} {}", name(catalog, *part), level(*at));
    }
    words.push('.');
    let done = chain.last().map(|asks| asks.op);
    let also: Vec<String> = tasks
        .iter()
        .filter(|task| Some(task.op()) != done)
        .map(|task| task.words(catalog))
        .collect();
    if !also.is_empty() {
        words += &tr!(" Also to {}.", also.join(", "));
    }
    words
}

fn place_words(catalog: &Catalog, place: &Place) -> Vec<String> {
    let after = place.after.map(|op| tr!("after {}", happens(catalog, op)));
    let before = place
        .before
        .map(|op| tr!("before {}", happens(catalog, op)));
    let bounds: Vec<String> = after.into_iter().chain(before).collect();
    let dearer = |moved: Option<Tenths>| moved.filter(|cost| *cost > 0).map(long);
    let sooner = dearer(place.sooner).map(|cost| tr!("sooner would cost {} more", cost));
    let later = dearer(place.later).map(|cost| tr!("later would cost {} more", cost));
    let moved: Vec<String> = sooner.into_iter().chain(later).collect();
    let mut lines = Vec::new();
    if !bounds.is_empty() {
        lines.push(tr!("It has to come {}.", bounds.join(&tr!(" and "))));
    }
    if !moved.is_empty() {
        lines.push(tr!(
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
            Self::NoWay => tr!("There is no way without it."),
            Self::NotFound => tr!("Whether there is a way without it was not found out."),
            Self::Longer {
                by,
                proven,
                instead,
            } => {
                let by = match (by, proven) {
                    (0, _) => tr!("just as long"),
                    (by, true) => tr!("{} longer", long(*by)),
                    (by, false) => tr!("{} longer or a little less", long(*by)),
                };
                let ways: Vec<String> = instead.iter().map(|op| to_do(catalog, *op)).collect();
                if ways.is_empty() {
                    tr!("Without it the job takes {by}.", by)
                } else {
                    tr!("Without it the job takes {by}, by {}.", ways.join(", "), by)
                }
            }
        }
    }
}
