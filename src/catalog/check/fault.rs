//! Faults: what is wrong with a catalog, where, and how to fix it.
//!
//! Every check adds to one [`Report`], so that an author sees all faults at once. A
//! fault is written for the person who edits the file: it names the position as an
//! editor shows it, and ends with what to do. Its text is in the language that was
//! chosen when it was found.

use std::fmt;

use super::path::Path;
use lidoff_i18n::{localize_static, tr, tr_noop};
use lidoff_limits::CATALOG_FAULTS;

/// All faults of one catalog, errors first. Of very many, only the first are listed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Faults {
    listed: Vec<Fault>,
    /// Errors and warnings that are not listed.
    unlisted: [usize; 2],
}

/// One fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The file, by the name it was read with.
    pub file: String,
    /// Line and column in the file, from 1, if the text itself cannot be parsed.
    pub spot: Option<Spot>,
    /// The place, as a JSON path: `parts[3].take_off.needs.all[1].off`. Empty
    /// for the file as a whole.
    pub path: String,
    /// The place in words: `part lid, step lid-screws-out`. Empty near the root.
    pub subject: String,
    /// The kind of fault.
    pub kind: FaultKind,
    /// What is wrong.
    pub problem: String,
    /// How to fix it.
    pub fix: String,
}

/// A place in a text, counted from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spot {
    pub line: usize,
    pub column: usize,
}

/// Whether a catalog with this fault can still be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// It cannot be used.
    Error,
    /// It can be used, but somebody has probably forgotten something.
    Warning,
}

macro_rules! kinds {
    ($($severity:ident { $($(#[$doc:meta])* $name:ident),+ $(,)? })+) => {
        /// The kind of fault.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum FaultKind {
            $($($(#[$doc])* $name,)+)+
        }

        impl FaultKind {
            /// All kinds.
            pub const ALL: &[Self] = &[$($(Self::$name,)+)+];

            /// Whether a catalog with this fault can still be used.
            pub const fn severity(self) -> Severity {
                match self {
                    $($(Self::$name)|+ => Severity::$severity,)+
                }
            }
        }
    };
}

kinds! {
    Error {
        /// The text is not JSON, or not JSON of this format.
        Unreadable,
        /// An id names nothing.
        UnknownId,
        /// Two things of one sort have the same id.
        DuplicateId,
        /// An id is not a plain word, or that of the unit no file name.
        BadId,
        /// The file is larger than a catalog may be.
        TooLarge,
        /// More things of one sort than can be numbered.
        TooMany,
        /// Words that a person should read are empty.
        EmptyText,
        /// The unit is never made safe, or has no face.
        NothingThere,
        /// A number that cannot be: no count, no length, no torque.
        BadNumber,

        /// A step has neither elements nor a measured time.
        NoEstimate,
        /// A step has both elements and a measured time.
        TwoEstimates,
        /// A measured time or its spread is not a number above nothing.
        BadMeasure,
        /// A reading has no limit.
        NoLimit,
        /// A reading's lowest value is above its highest.
        LimitsCrossed,
        /// A pattern that nothing, or only one value, fits, or of a value that has no form.
        BadPattern,
        /// A choice with fewer than two values.
        TooFewChoices,
        /// A step waits for something that no step starts before it.
        WaitNeverStarted,
        /// Two steps begin one wait and say different things of it.
        WaitSaidTwice,
        /// A step begins a wait that nothing waits for.
        WaitForNothing,

        /// A point or shape does not lie on its face.
        OffTheFace,
        /// A face lies on itself, or nowhere.
        BadOpposite,
        /// A fastening has points, but no face that they are on.
        PointsWithoutFace,
        /// As many points as fasteners are asked for, or none.
        PointsMiscounted,
        /// A tightening order that does not name every point once.
        BadTightening,
        /// A captive fastener is given a well.
        CaptiveInWell,
        /// A loose fastener is given no well.
        LooseWithoutWell,
        /// Unlike fasteners lie in one well.
        MixedWell,
        /// No step undoes a fastening.
        NeverUndone,
        /// Undone, or unplugged, and not done up, or plugged, again.
        LeftUndone,
        /// Done up, or plugged, without having been undone, or unplugged.
        DoneUpOnly,
        /// Undone, or unplugged, twice over.
        UndoneTwice,

        /// A condition that never holds.
        NeverHolds,
        /// A list of alternatives with none in it.
        EmptyAny,
        /// A group of options of which not exactly one is usual.
        NotOneUsual,
        /// A question with fewer than two answers.
        TooFewAnswers,
        /// A question that a step should ask, and none does.
        NeverAsked,
        /// A question put before the job that a step asks as well.
        AskedAgain,
        /// An answer is needed before its question is asked.
        AskedTooLate,

        /// Parts ride on each other in a circle.
        RidesInCircle,
        /// A leg on the bench for a part that rides on nothing.
        BenchWithoutCarrier,
        /// A part that can be neither eased nor taken off.
        NeverMoves,
        /// A leg with no step out.
        NoWayOut,
        /// A leg with no step back.
        NoWayBack,
        /// A part is replaced, or reseated, in a state that it never reaches.
        TaskOutOfReach,
        /// What moves over to the new part does not ride on the old one, or does
        /// not come off it.
        CannotMoveOver,
        /// A step says what a failed reading means, and has no reading.
        FailsWithoutReading,
        /// A formula on the part's own state.
        NeedsItself,
        /// A part is to be off that only eases, eased that only comes off, or
        /// off while another in place rides on it.
        AtomNeverTrue,
        /// Parts stand in each other's way, whichever route is taken.
        NeverReached,
        /// Parts come off and then bar each other's way back.
        NeverBack,
        /// A service is ordered against something that is never done.
        NoSuchOperation,
        /// Services come before each other in a circle.
        OrderInCircle,

        /// A property class that no standard has for this kind of fastener.
        BadPropertyClass,
        /// A fastener that cannot be: a nut that forms its thread, a latch with a head.
        ImpossibleFastener,
        /// A tool, or an order number, that stands in for itself.
        StandsInForItself,
        /// Fewer people than a hazard of the step demands.
        TooFewPeople,
        /// A time limit that no later step of its operation ends.
        LimitNeverEnded,
        /// A step ends a time limit that began in another operation, or after it.
        LimitEndedElsewhere,

        /// Someone can be hurt, and the signal word says that nobody can.
        HarmPlayedDown,
        /// Nobody can be hurt, and the signal word says that someone can.
        HarmOverstated,
    }
    Warning {
        /// The file is not named after its unit.
        MisnamedFile,
        /// As `NeverReached`, but only on some units.
        SometimesNotReached,
        /// As `NeverBack`, but only on some units.
        SometimesNotBack,
        /// A part is one of several, and there is no other one.
        AloneOfItsKind,
        /// Fasteners that are seen on a face, and nothing says where.
        NowhereOnFace,
        /// A part is worked on a face whose drawing does not show it.
        NotDrawn,
        /// A torque is stated, and the tool of the step cannot be set to it.
        TorqueWithoutTool,
        /// The short name of a hazard does not fit on a badge.
        LongShortName,
        /// Nothing in the catalog uses it.
        Unused,
    }
}

impl Faults {
    /// The listed faults, errors first.
    pub fn iter(&self) -> std::slice::Iter<'_, Fault> {
        self.listed.iter()
    }

    /// One line for each listed fault, and one for the number of all others.
    pub fn lines(&self) -> Vec<String> {
        let mut lines: Vec<String> = self.iter().map(Fault::to_string).collect();
        lines.extend(self.more());
        lines
    }

    fn more(&self) -> Option<String> {
        let more: usize = self.unlisted.iter().sum();
        (more > 0).then(|| tr!("and at least {} more faults", more))
    }

    /// How many of this severity, with those that are not listed.
    pub fn count(&self, severity: Severity) -> usize {
        let listed = self
            .iter()
            .filter(|fault| fault.kind.severity() == severity);
        listed.count() + self.unlisted[severity as usize]
    }

    /// The listed faults that prevent the use of the catalog.
    pub fn errors(&self) -> impl Iterator<Item = &Fault> {
        self.iter().filter(|fault| fault.is_error())
    }

    /// The listed faults that do not.
    pub fn warnings(&self) -> impl Iterator<Item = &Fault> {
        self.iter().filter(|fault| !fault.is_error())
    }

    /// Whether any fault prevents the use of the catalog.
    pub fn has_errors(&self) -> bool {
        self.errors().next().is_some()
    }

    /// How many, with those that are not listed.
    pub fn len(&self) -> usize {
        self.listed.len() + self.unlisted.iter().sum::<usize>()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

impl<'a> IntoIterator for &'a Faults {
    type Item = &'a Fault;
    type IntoIter = std::slice::Iter<'a, Fault>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl Fault {
    /// Whether it prevents the use of the catalog.
    pub const fn is_error(&self) -> bool {
        matches!(self.kind.severity(), Severity::Error)
    }
}

impl fmt::Display for Fault {
    /// `perch-22.json, parts[3].needs (part lid): what is wrong. How to fix it.`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(Spot { line, column }) = self.spot {
            write!(f, ":{line}:{column}")?;
        }
        if !self.path.is_empty() {
            write!(f, ", {}", self.path)?;
        }
        if !self.subject.is_empty() {
            write!(f, " ({})", self.subject)?;
        }
        write!(f, ": {} {}", self.problem, self.fix)
    }
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(localize_static(match self {
            Self::Error => tr_noop!("error"),
            Self::Warning => tr_noop!("warning"),
        }))
    }
}

impl fmt::Display for Faults {
    /// One line per fault, as in [`Faults::lines`], with its severity.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (nth, fault) in self.iter().enumerate() {
            if nth > 0 {
                writeln!(f)?;
            }
            write!(f, "{}: {fault}", fault.kind.severity())?;
        }
        if let Some(more) = self.more() {
            write!(f, "\n{more}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

/// Collects the faults that the checks find.
pub(super) struct Report {
    file: String,
    faults: Vec<Fault>,
    /// Errors and warnings found so far, and how many of them are not listed.
    found: [usize; 2],
    unlisted: [usize; 2],
    ids_are_sound: bool,
}

impl Report {
    /// An empty report on this file.
    pub(super) fn new(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            faults: Vec::new(),
            found: [0; 2],
            unlisted: [0; 2],
            ids_are_sound: true,
        }
    }

    /// Adds a fault.
    pub(super) fn add(&mut self, kind: FaultKind, at: &Path, problem: String, fix: String) {
        if !self.is_listed(kind) {
            return;
        }
        self.faults.push(Fault {
            file: self.file.clone(),
            spot: None,
            path: at.json().to_owned(),
            subject: at.describe(),
            kind,
            problem,
            fix,
        });
    }

    /// Adds a fault of the text as a whole, or of one place in it.
    pub(super) fn add_unreadable(
        &mut self,
        kind: FaultKind,
        spot: Option<Spot>,
        path: String,
        problem: String,
        fix: String,
    ) {
        if !self.is_listed(kind) {
            return;
        }
        self.faults.push(Fault {
            file: self.file.clone(),
            spot,
            path,
            subject: String::new(),
            kind,
            problem,
            fix,
        });
    }

    /// Counts a fault, and returns whether it goes into the list.
    fn is_listed(&mut self, kind: FaultKind) -> bool {
        use FaultKind::{DuplicateId, TooMany, UnknownId};
        self.ids_are_sound &= !matches!(kind, UnknownId | DuplicateId | TooMany);
        let severity = kind.severity() as usize;
        let is_listed = self.found[severity] < CATALOG_FAULTS;
        self.found[severity] += 1;
        self.unlisted[severity] += usize::from(!is_listed);
        is_listed
    }

    /// Whether no further error is listed, so that its text need not be made.
    pub(super) const fn is_full(&self) -> bool {
        self.found[Severity::Error as usize] >= CATALOG_FAULTS
    }

    /// Whether all ids so far are unambiguous, so that indices can be followed.
    pub(super) const fn ids_are_sound(&self) -> bool {
        self.ids_are_sound
    }

    /// Finishes the report: errors first, otherwise in the order found.
    pub(super) fn into_faults(mut self) -> Faults {
        crate::insertion_sort(&mut self.faults, |one, next| {
            one.kind.severity() > next.kind.severity()
        });
        Faults {
            listed: self.faults,
            unlisted: self.unlisted,
        }
    }
}
