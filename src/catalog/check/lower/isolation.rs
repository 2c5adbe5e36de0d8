//! Which sources an operation needs isolated, as a formula.

use super::lowering::{Lowering, index};
use crate::check::entry_kind::EntryKind;
use crate::check::ids::unknown;
use crate::check::path::Path;
use crate::format::{Leg, PartId};
use crate::model::{PartIx, ResolvedFormula};

/// A list of sources that need not be isolated, and where it is written.
pub(super) type Exceptions<'e> = (&'e Vec<PartId>, Path);

impl Lowering<'_, '_> {
    /// The formula, and besides that every source that reaches `part` is isolated, but for the
    /// exceptions. `None`: only the sources that reach every part count.
    pub(super) fn with_isolation(
        &mut self,
        needs: ResolvedFormula,
        part: Option<&PartId>,
        exceptions: &[Exceptions],
    ) -> ResolvedFormula {
        for (list, at) in exceptions {
            for (nth, source) in list.iter().enumerate() {
                self.source_ix(source, &at.nth(nth));
            }
        }
        let is_excepted = |id| exceptions.iter().any(|(list, _)| list.contains(id));
        let first = self.first_source();
        let isolated = self.sources.iter().enumerate().filter(|(_, source)| {
            let reaches = match (&source.reach, part) {
                (None, _) => true,
                (Some(reach), Some(part)) => reach.contains(part),
                (Some(_), None) => false,
            };
            reaches && !is_excepted(&source.id)
        });
        let isolated = isolated.map(|(nth, _)| ResolvedFormula::Off(PartIx(index(first + nth))));
        let mut all: Vec<ResolvedFormula> = isolated.collect();
        if all.is_empty() {
            return needs;
        }
        if needs != ResolvedFormula::nothing() {
            all.insert(0, needs);
        }
        ResolvedFormula::All(all)
    }

    /// What isolating this source needs besides, and what making it live needs besides: the
    /// sources that feed it are isolated; those that it feeds are not.
    pub(super) fn with_feeds(
        &mut self,
        source: PartIx,
        at: &Path,
        needs: ResolvedFormula,
        refit_needs: ResolvedFormula,
    ) -> (ResolvedFormula, ResolvedFormula) {
        let first = self.first_source();
        let Some(entry) = source.index().checked_sub(first) else {
            return (needs, refit_needs);
        };
        let entry = &self.sources[entry];
        let (mut out, mut back) = (vec![needs], vec![refit_needs]);
        for (nth, feeding) in entry.fed_by.iter().enumerate() {
            let at = at.field("fed_by").nth(nth);
            out.push(ResolvedFormula::Off(self.source_ix(feeding, &at)));
        }
        for (nth, fed) in self.sources.iter().enumerate() {
            if fed.fed_by.contains(&entry.id) {
                back.push(ResolvedFormula::InPlace(PartIx(index(first + nth))));
            }
        }
        (ResolvedFormula::All(out), ResolvedFormula::All(back))
    }

    /// The source with this id; reports one that is a part or nothing.
    pub(super) fn source_ix(&mut self, id: &PartId, at: &Path) -> PartIx {
        let nth = self.sources.iter().position(|source| source.id == *id);
        if nth.is_none() {
            let known = self.sources.iter().map(|source| source.id.as_str());
            unknown(EntryKind::Source, id.as_str(), known, at, self.report);
        }
        PartIx(index(self.first_source() + nth.unwrap_or(0)))
    }

    /// The position of the first source among the parts.
    pub(super) fn first_source(&self) -> usize {
        self.names.parts.len() - self.sources.len()
    }

    /// Whether this part stands for an energy source.
    pub(super) fn is_source(&self, part: PartIx) -> bool {
        part.index() >= self.first_source()
    }

    /// The exceptions of a leg: those of its part and its own.
    pub(super) fn exceptions_of_leg<'e>(
        of_part: &Exceptions<'e>,
        leg: &'e Leg,
        at: &Path,
    ) -> [Exceptions<'e>; 2] {
        [of_part.clone(), (&leg.may_be_live, at.field("may_be_live"))]
    }
}
