//! What each id of a catalog names, and which ids name nothing or two things.

use std::collections::BTreeMap;

use super::fault::{FaultKind, Report};
use super::path::Path;
use super::sort::Sort;
use super::spelling::{did_you_mean, nearest};
use crate::format::CatalogFile;
use lidoff_i18n::tr;

/// The ids of one sort of thing.
pub(super) struct Table<'f> {
    sort: Sort,
    by_id: BTreeMap<&'f str, u16>,
    count: usize,
}

impl<'f> Table<'f> {
    fn new(sort: Sort) -> Self {
        Self {
            sort,
            by_id: BTreeMap::new(),
            count: 0,
        }
    }

    fn of(
        sort: Sort,
        list: &Path,
        ids: impl Iterator<Item = &'f str>,
        report: &mut Report,
    ) -> Self {
        let mut table = Self::new(sort);
        for (nth, id) in ids.enumerate() {
            table.add(id, &list.nth(nth).field("id").of(sort, id), report);
        }
        table
    }

    /// Takes the next id in; says so when it is taken already or no plain word.
    fn add(&mut self, id: &'f str, at: &Path, report: &mut Report) {
        let sort = self.sort;
        let number = self.count;
        self.count += 1;
        plain_word(sort, id, at, report);
        let Ok(number) = u16::try_from(number) else {
            if number == usize::from(u16::MAX) + 1 {
                let said = tr!(
                    "There are more than {} entries of one kind: {sort}.",
                    u16::MAX,
                    sort
                );
                report.say(FaultKind::TooMany, at, said, tr!("Split the catalog."));
            }
            return;
        };
        if self.by_id.contains_key(id) {
            duplicate(sort, id, at, report);
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
            unknown(self.sort, id, self.by_id.keys().copied(), at, report);
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
            ($sort:expr, $field:ident) => {
                Table::of(
                    $sort,
                    &root.field(stringify!($field)),
                    file.$field.iter().map(|one| one.id.as_str()),
                    report,
                )
            };
        }
        let mut fastenings = Table::new(Sort::Fastening);
        let mut connections = Table::new(Sort::Connection);
        for (nth, part) in file.parts.iter().enumerate() {
            let at = root
                .field("parts")
                .nth(nth)
                .of(Sort::Part, part.id.as_str());
            for (nth, fastening) in part.fastenings.iter().enumerate() {
                let id = fastening.id.as_str();
                let at = at.field("fastenings").nth(nth).field("id");
                fastenings.add(id, &at.of(Sort::Fastening, id), report);
            }
            for (nth, connection) in part.connections.iter().enumerate() {
                let id = connection.id.as_str();
                let at = at.field("connections").nth(nth).field("id");
                connections.add(id, &at.of(Sort::Connection, id), report);
            }
        }
        let questions = table!(Sort::Question, questions);
        let answers = file.questions.iter().enumerate().map(|(nth, question)| {
            let at = root.field("questions").nth(nth);
            Table::of(
                Sort::Answer,
                &at.of(Sort::Question, question.id.as_str()).field("answers"),
                question.answers.iter().map(|answer| answer.id.as_str()),
                report,
            )
        });
        let answers = answers.collect();
        Self {
            parts: table!(Sort::Part, parts),
            services: table!(Sort::Service, services),
            tools: table!(Sort::Tool, tools),
            faces: table!(Sort::Face, faces),
            fasteners: table!(Sort::Fastener, fasteners),
            fastenings,
            connections,
            consumables: table!(Sort::Consumable, consumables),
            spares: table!(Sort::Spare, spares),
            options: table!(Sort::Option, options),
            questions,
            answers,
            hazards: table!(Sort::Hazard, hazards),
        }
    }
}

/// Says that an id is taken already.
pub(super) fn duplicate(sort: Sort, id: &str, at: &Path, report: &mut Report) {
    report.say(
        FaultKind::DuplicateId,
        at,
        tr!("The {sort} id “{id}” is used twice.", id, sort),
        tr!("Give each one its own id."),
    );
}

/// Says that an id names nothing, and what may have been meant.
pub(super) fn unknown<'a>(
    sort: Sort,
    id: &str,
    known: impl Iterator<Item = &'a str>,
    at: &Path,
    report: &mut Report,
) {
    let mend = match nearest(id, known) {
        Some(meant) => did_you_mean(meant),
        None => tr!("Use the id of an existing {sort}, or add this one.", sort),
    };
    let said = tr!("There is no {sort} “{id}”.", id, sort);
    report.say(FaultKind::UnknownId, at, said, mend);
}

/// Says so when an id is empty or has a space in it.
pub(super) fn plain_word(sort: Sort, id: &str, at: &Path, report: &mut Report) {
    if id.is_empty() || id.contains(|c: char| c.is_whitespace() || c.is_control()) {
        report.say(
            FaultKind::BadId,
            at,
            tr!("The {sort} id must be a single word, not “{id}”.", id, sort),
            tr!("Use letters, digits and hyphens: “lid-screws”."),
        );
    }
}
