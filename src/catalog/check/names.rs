//! What each id of a catalog names, and which ids name nothing or two things.

use std::collections::BTreeMap;

use super::fault::{FaultKind, Report};
use super::path::Path;
use super::spelling::nearest;
use crate::catalog::format::CatalogFile;

/// The ids of one sort of thing.
pub(super) struct Table<'f> {
    what: &'static str,
    by_id: BTreeMap<&'f str, u16>,
    count: usize,
}

impl<'f> Table<'f> {
    fn new(what: &'static str) -> Self {
        Self {
            what,
            by_id: BTreeMap::new(),
            count: 0,
        }
    }

    fn of(
        what: &'static str,
        list: &Path,
        ids: impl Iterator<Item = &'f str>,
        report: &mut Report,
    ) -> Self {
        let mut table = Self::new(what);
        for (nth, id) in ids.enumerate() {
            table.add(id, &list.nth(nth).field("id").of(what, id), report);
        }
        table
    }

    /// Takes the next id in; says so when it is taken already or no plain word.
    fn add(&mut self, id: &'f str, at: &Path, report: &mut Report) {
        let what = self.what;
        let number = self.count;
        self.count += 1;
        plain_word(what, id, at, report);
        let Ok(number) = u16::try_from(number) else {
            if number == usize::from(u16::MAX) + 1 {
                let said = format!("More than {} of one sort: {what}.", u16::MAX);
                report.say(FaultKind::TooMany, at, said, "Split the catalog.");
            }
            return;
        };
        if self.by_id.contains_key(id) {
            duplicate(what, id, at, report);
        } else {
            self.by_id.insert(id, number);
        }
    }

    /// The number of the thing of that id, if there is one.
    pub(super) fn lookup(&self, id: &str) -> Option<u16> {
        self.by_id.get(id).copied()
    }

    /// The number of the thing of that id. When there is none it says so and
    /// gives a stand-in, which goes no further: a draft with a fault in it never
    /// becomes a catalog.
    pub(super) fn find(&self, id: &str, at: &Path, report: &mut Report) -> u16 {
        self.lookup(id).unwrap_or_else(|| {
            unknown(self.what, id, self.by_id.keys().copied(), at, report);
            0
        })
    }
}

/// The ids of one catalog.
pub(super) struct Names<'f> {
    pub(super) parts: Table<'f>,
    pub(super) services: Table<'f>,
    pub(super) tools: Table<'f>,
    pub(super) faces: Table<'f>,
    pub(super) fasteners: Table<'f>,
    pub(super) fastenings: Table<'f>,
    pub(super) connections: Table<'f>,
    pub(super) consumables: Table<'f>,
    pub(super) spares: Table<'f>,
    pub(super) options: Table<'f>,
    pub(super) questions: Table<'f>,
    /// The answers to each question.
    pub(super) answers: Vec<Table<'f>>,
    pub(super) hazards: Table<'f>,
}

impl<'f> Names<'f> {
    /// Gathers the ids of a file.
    pub(super) fn of(file: &'f CatalogFile, report: &mut Report) -> Self {
        let root = Path::root();
        macro_rules! table {
            ($what:literal, $field:ident) => {
                Table::of(
                    $what,
                    &root.field(stringify!($field)),
                    file.$field.iter().map(|one| one.id.as_str()),
                    report,
                )
            };
        }
        let mut fastenings = Table::new("fastening");
        let mut connections = Table::new("connection");
        for (nth, part) in file.parts.iter().enumerate() {
            let at = root.field("parts").nth(nth).of("part", part.id.as_str());
            for (nth, fastening) in part.fastenings.iter().enumerate() {
                let id = fastening.id.as_str();
                let at = at.field("fastenings").nth(nth).field("id");
                fastenings.add(id, &at.of("fastening", id), report);
            }
            for (nth, connection) in part.connections.iter().enumerate() {
                let id = connection.id.as_str();
                let at = at.field("connections").nth(nth).field("id");
                connections.add(id, &at.of("connection", id), report);
            }
        }
        let questions = table!("question", questions);
        let answers = file.questions.iter().enumerate().map(|(nth, question)| {
            let at = root.field("questions").nth(nth);
            Table::of(
                "answer",
                &at.of("question", question.id.as_str()).field("answers"),
                question.answers.iter().map(|answer| answer.id.as_str()),
                report,
            )
        });
        let answers = answers.collect();
        Self {
            parts: table!("part", parts),
            services: table!("service", services),
            tools: table!("tool", tools),
            faces: table!("face", faces),
            fasteners: table!("fastener", fasteners),
            fastenings,
            connections,
            consumables: table!("consumable", consumables),
            spares: table!("spare", spares),
            options: table!("option", options),
            questions,
            answers,
            hazards: table!("hazard", hazards),
        }
    }
}

/// Says that an id is taken already.
pub(super) fn duplicate(what: &str, id: &str, at: &Path, report: &mut Report) {
    report.say(
        FaultKind::DuplicateId,
        at,
        format!("There is already a {what} “{id}”."),
        "Give each its own id.",
    );
}

/// Says that an id names nothing, and what may have been meant.
pub(super) fn unknown<'a>(
    what: &str,
    id: &str,
    known: impl Iterator<Item = &'a str>,
    at: &Path,
    report: &mut Report,
) {
    let mend = match nearest(id, known) {
        Some(meant) => format!("Did you mean “{meant}”?"),
        None => format!("Name a {what} of this catalog, or add this one."),
    };
    let said = format!("There is no {what} “{id}”.");
    report.say(FaultKind::UnknownId, at, said, mend);
}

/// Says so when an id is empty or has a space in it.
pub(super) fn plain_word(what: &str, id: &str, at: &Path, report: &mut Report) {
    if id.is_empty() || id.contains(|c: char| c.is_whitespace() || c.is_control()) {
        report.say(
            FaultKind::BadId,
            at,
            format!("The id of a {what} must be a plain word, not “{id}”."),
            "Use letters, digits and hyphens: “lid-screws”.",
        );
    }
}
