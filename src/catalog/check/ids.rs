//! What each id of a catalog names. Finds ids that name nothing or two things.

use std::collections::BTreeMap;

use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::path::Path;
use super::spelling::{did_you_mean, nearest};
use crate::format::CatalogFile;
use lidoff_i18n::tr;
use lidoff_limits::CATALOG_ENTRIES;

/// The ids of one kind of entry.
pub(super) struct IdTable<'f> {
    sort: EntryKind,
    by_id: BTreeMap<&'f str, u16>,
    count: usize,
}

impl<'f> IdTable<'f> {
    fn new(sort: EntryKind) -> Self {
        Self {
            sort,
            by_id: BTreeMap::new(),
            count: 0,
        }
    }

    fn collect(
        sort: EntryKind,
        list: &Path,
        ids: impl Iterator<Item = &'f str>,
        report: &mut Report,
    ) -> Self {
        let mut table = Self::new(sort);
        for (nth, id) in ids.enumerate() {
            table.add(id, &list.nth(nth).field("id").about(sort, id), report);
        }
        table
    }

    /// Adds the next id; reports an id that is already used or is not a single word.
    fn add(&mut self, id: &'f str, at: &Path, report: &mut Report) {
        let sort = self.sort;
        let number = self.count;
        self.count += 1;
        plain_word(sort, id, at, report);
        let Some(number) = u16::try_from(number)
            .ok()
            .filter(|_| number < CATALOG_ENTRIES)
        else {
            if number == CATALOG_ENTRIES {
                too_many(sort, at, report);
            }
            return;
        };
        if self.by_id.contains_key(id) {
            duplicate(sort, id, at, report);
        } else {
            self.by_id.insert(id, number);
        }
    }

    /// The number of entries.
    pub(super) const fn len(&self) -> usize {
        self.count
    }

    /// The index of the entry with this id, if there is one.
    pub(super) fn lookup(&self, id: &str) -> Option<u16> {
        self.by_id.get(id).copied()
    }

    /// The index of the entry with this id. If there is none, this reports it and returns a
    /// placeholder, which goes no further: a draft with a fault never becomes a catalog.
    pub(super) fn find(&self, id: &str, at: &Path, report: &mut Report) -> u16 {
        self.lookup(id).unwrap_or_else(|| {
            unknown(self.sort, id, self.by_id.keys().copied(), at, report);
            0
        })
    }
}

/// The ids of one catalog.
pub(super) struct IdTables<'f> {
    pub(super) parts: IdTable<'f>,
    pub(super) services: IdTable<'f>,
    pub(super) tools: IdTable<'f>,
    pub(super) faces: IdTable<'f>,
    pub(super) fasteners: IdTable<'f>,
    pub(super) fastenings: IdTable<'f>,
    pub(super) connections: IdTable<'f>,
    pub(super) consumables: IdTable<'f>,
    pub(super) spares: IdTable<'f>,
    pub(super) options: IdTable<'f>,
    pub(super) questions: IdTable<'f>,
    /// The answers to each question.
    pub(super) answers: Vec<IdTable<'f>>,
    pub(super) hazards: IdTable<'f>,
}

impl<'f> IdTables<'f> {
    /// Collects the ids of a file, whose parts end with its `sources` sources.
    pub(super) fn collect(file: &'f CatalogFile, sources: usize, report: &mut Report) -> Self {
        let root = Path::root();
        macro_rules! table {
            ($sort:expr, $field:ident) => {
                IdTable::collect(
                    $sort,
                    &root.field(stringify!($field)),
                    file.$field.iter().map(|one| one.id.as_str()),
                    report,
                )
            };
        }
        let mut fastenings = IdTable::new(EntryKind::Fastening);
        let mut connections = IdTable::new(EntryKind::Connection);
        let mut parts = IdTable::new(EntryKind::Part);
        for (nth, part) in file.parts.iter().enumerate() {
            let at = part_path(file, sources, nth);
            parts.add(part.id.as_str(), &at.field("id"), report);
            for (nth, fastening) in part.fastenings.iter().enumerate() {
                let id = fastening.id.as_str();
                let at = at.field("fastenings").nth(nth).field("id");
                fastenings.add(id, &at.about(EntryKind::Fastening, id), report);
            }
            for (nth, connection) in part.connections.iter().enumerate() {
                let id = connection.id.as_str();
                let at = at.field("connections").nth(nth).field("id");
                connections.add(id, &at.about(EntryKind::Connection, id), report);
            }
        }
        let questions = table!(EntryKind::Question, questions);
        let answers = file.questions.iter().enumerate().map(|(nth, question)| {
            let at = root.field("questions").nth(nth);
            IdTable::collect(
                EntryKind::Answer,
                &at.about(EntryKind::Question, question.id.as_str())
                    .field("answers"),
                question.answers.iter().map(|answer| answer.id.as_str()),
                report,
            )
        });
        let answers = answers.collect();
        Self {
            parts,
            services: table!(EntryKind::Service, services),
            tools: table!(EntryKind::Tool, tools),
            faces: table!(EntryKind::Face, faces),
            fasteners: table!(EntryKind::Fastener, fasteners),
            fastenings,
            connections,
            consumables: table!(EntryKind::Consumable, consumables),
            spares: table!(EntryKind::Spare, spares),
            options: table!(EntryKind::Option, options),
            questions,
            answers,
            hazards: table!(EntryKind::Hazard, hazards),
        }
    }
}

/// Where the part at this position is written. The last `sources` parts are sources.
pub(super) fn part_path(file: &CatalogFile, sources: usize, nth: usize) -> Path {
    let id = file.parts[nth].id.as_str();
    let root = Path::root();
    match nth.checked_sub(file.parts.len() - sources) {
        Some(nth) => root.field("sources").nth(nth).about(EntryKind::Source, id),
        None => root.field("parts").nth(nth).about(EntryKind::Part, id),
    }
}

/// Reports lists with more entries than a catalog can have. The other checks would take long.
pub(super) fn too_long(file: &CatalogFile, report: &mut Report) -> bool {
    let lists = [
        (EntryKind::Part, "parts", file.parts.len()),
        (EntryKind::Service, "services", file.services.len()),
        (EntryKind::Tool, "tools", file.tools.len()),
        (EntryKind::Face, "faces", file.faces.len()),
        (EntryKind::Fastener, "fasteners", file.fasteners.len()),
        (EntryKind::Option, "options", file.options.len()),
        (EntryKind::Question, "questions", file.questions.len()),
        (EntryKind::Hazard, "hazards", file.hazards.len()),
    ];
    let long = lists
        .iter()
        .filter(|(_, _, count)| *count > CATALOG_ENTRIES);
    let mut is_too_long = false;
    for (sort, list, _) in long {
        let at = Path::root().field(list).nth(CATALOG_ENTRIES).field("id");
        too_many(*sort, &at, report);
        is_too_long = true;
    }
    is_too_long
}

fn too_many(sort: EntryKind, at: &Path, report: &mut Report) {
    let problem = tr!(
        "There are more than {} entries of one kind: {sort}.",
        CATALOG_ENTRIES,
        sort
    );
    report.add(FaultKind::TooMany, at, problem, tr!("Split the catalog."));
}

/// Reports an id that is already used.
pub(super) fn duplicate(sort: EntryKind, id: &str, at: &Path, report: &mut Report) {
    report.add(
        FaultKind::DuplicateId,
        at,
        tr!("The {sort} id “{id}” is used twice.", id, sort),
        tr!("Give each one its own id."),
    );
}

/// Reports an unknown id, with the id that was probably meant.
pub(super) fn unknown<'a>(
    sort: EntryKind,
    id: &str,
    known: impl Iterator<Item = &'a str>,
    at: &Path,
    report: &mut Report,
) {
    // The search takes a while where there are thousands of ids.
    let known = known.take(if report.is_full() { 0 } else { usize::MAX });
    let fix = match nearest(id, known) {
        Some(meant) => did_you_mean(meant),
        None => tr!("Use the id of an existing {sort}, or add this one.", sort),
    };
    let problem = tr!("There is no {sort} “{id}”.", id, sort);
    report.add(FaultKind::UnknownId, at, problem, fix);
}

/// Reports an id that is empty or contains a space.
pub(super) fn plain_word(sort: EntryKind, id: &str, at: &Path, report: &mut Report) {
    if id.is_empty() || id.contains(|c: char| c.is_whitespace() || c.is_control()) {
        report.add(
            FaultKind::BadId,
            at,
            tr!("The {sort} id must be a single word, not “{id}”.", id, sort),
            tr!("Use letters, digits and hyphens: “lid-screws”."),
        );
    }
}
