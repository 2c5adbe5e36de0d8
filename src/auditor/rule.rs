//! The rules.
//!
//! Sources. The texts of the standards were not at hand: each rule says what the standard is
//! known to ask for, *not checked against the text*. What has no published source is marked
//! *common practice, no source*.

macro_rules! rules {
    ($($(#[$doc:meta])* $name:ident = $id:literal $(, $catalog:ident)?;)+) => {
        /// A rule of safe and sensible work.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Rule { $($(#[$doc])* $name,)+ }

        impl Rule {
            /// All rules.
            pub const ALL: &[Self] = &[$(Self::$name,)+];

            /// Its name in reports.
            pub const fn id(self) -> &'static str {
                match self { $(Self::$name => $id,)+ }
            }

            /// Whether it judges what the author wrote, whatever the order of the plan.
            pub const fn is_about_the_catalog(self) -> bool {
                match self { $(Self::$name => rules!(@ $($catalog)?),)+ }
            }
        }
    };
    (@) => { false };
    (@ catalog) => { true };
}

rules! {
    /// Every step of a plan is a step of this catalog that applies on this unit.
    /// Source: the catalog format.
    UnknownStep = "unknown-step";
    /// The steps of an operation are done together, all of them, in the author's order.
    /// Source: 29 CFR 1910.147(c)(4)(i) and (d): procedures are followed as documented (not
    /// checked against the text).
    SplitOperation = "split-operation";
    /// A part comes off only while it is on, and goes back only while it is off; on the bench
    /// only while its carrier is off. Source: the catalog format.
    WrongState = "wrong-state";
    /// What an operation needs open or in place is so. Source: the catalog format.
    NeedsUnmet = "needs-unmet";
    /// Services keep their order with other operations. Source: the catalog format.
    ServiceOrder = "service-order";
    /// Each task is done once, and nothing that was not asked for. Common practice, no source.
    TaskUndone = "task-undone";
    /// No make-safe step, check or hand-over step is left out. Source: 29 CFR 1910.147(d): the
    /// procedure covers all its elements in order (not checked against the text).
    StepLeftOut = "step-left-out";
    /// Preparation and shutdown come before isolation and before any work. Source: 29 CFR
    /// 1910.147(d)(1) and (d)(2) (not checked against the text).
    PreparationFirst = "preparation-first";
    /// Checks of the unit that is still dead come before it is made live. Source: 29 CFR
    /// 1910.147(e)(1) (not checked against the text).
    CheckBeforePower = "check-before-power";
    /// The unit is started, then its parts are checked, then the unit, then it is handed over;
    /// no work comes after that. Common practice, no source.
    OrderOfChecks = "order-of-checks";
    /// No work within reach of a live source, unless the author excepts it. Source: 29 CFR
    /// 1910.147(d)(3); EN 50110-1, 6.2: disconnect (not checked against the text).
    WorkWhileLive = "work-while-live";
    /// After a test under power in mid-job, the source is isolated again before the work goes
    /// on. Source: 29 CFR 1910.147(f)(1) (not checked against the text).
    IsolateAgain = "isolate-again";
    /// What is charged by a source is isolated after that source, and live before it. Source:
    /// 29 CFR 1910.147(d)(5): stored energy is relieved, and its return is prevented (not
    /// checked against the text).
    StoredEnergy = "stored-energy";
    /// Before a source is made live, the parts that it reaches are back, unless a declared test
    /// under power follows. Source: 29 CFR 1910.147(e)(1) (not checked against the text).
    UnitIntact = "unit-intact";
    /// No live check on an open unit or an isolated source. Common practice, no source.
    DeadCheck = "dead-check";
    /// Nothing is opened and closed again, or closed and opened again, for nothing. Common
    /// practice, no source.
    OpenedForNothing = "opened-for-nothing";
    /// No source is isolated or made live for nothing. Common practice, no source.
    IsolatedForNothing = "isolated-for-nothing";
    /// What is undone or unplugged is done up or plugged in by the end. Common practice, no
    /// source.
    NotPutBack = "not-put-back";
    /// The unit ends with every part fitted that was not left out. Common practice, no source.
    LeftOpen = "left-open";
    /// The unit ends with every source live, unless it goes out of use. Common practice, no
    /// source.
    LeftIsolated = "left-isolated";
    /// On a unit that is closed without a part, and so goes out of use, no source is made live.
    /// Common practice, no source.
    LiveOutOfUse = "live-out-of-use";
    /// A new part is unpacked only once the old one is off. Common practice, no source.
    UnpackedEarly = "unpacked-early";
    /// Nothing is cleaned that is about to be discarded. Common practice, no source.
    CleanedForTheBin = "cleaned-for-the-bin";
    /// No consumable is used on a part that is still to be replaced. Common practice, no
    /// source.
    ConsumableWasted = "consumable-wasted";
    /// The unit is not laid on a side where a cover is open, unless the words say what to do
    /// about it. Common practice, no source.
    TurnedOpen = "turned-open", catalog;
    /// A single-use fastener that comes undone is renewed, and the step that fits it uses the
    /// new one. Common practice, no source.
    SingleUse = "single-use", catalog;
    /// Every isolation is verified by a reading before work. Source: 29 CFR 1910.147(d)(6);
    /// EN 50110-1, 6.2: verify dead (not checked against the text).
    IsolationUnproven = "isolation-unproven", catalog;
    /// The last reading of an isolation comes after its last action. Source: as above.
    ProofTooEarly = "proof-too-early", catalog;
    /// Mains are secured against being switched on again: a lock, a plug that is pulled, or
    /// words that say how. Source: 29 CFR 1910.147(d)(4); EN 50110-1, 6.2: secure against
    /// reconnection (not checked against the text).
    NotSecured = "not-secured", catalog;
    /// The lock that was put on is taken off on the way back. Source: 29 CFR 1910.147(e)(3)
    /// (not checked against the text).
    LockLeftOn = "lock-left-on", catalog;
    /// Where a lock held the supply off, making it live warns of a hazard or has it confirmed
    /// that people are clear. Source: 29 CFR 1910.147(e)(2) (not checked against the text).
    PeopleClear = "people-clear", catalog;
    /// No isolation and no waiting is demanded in order to make a source live, to start the
    /// unit or to check it live. Common practice, no source.
    IsolationToEnergise = "isolation-to-energise", catalog;
    /// A reading that throws doubt on an isolation is taken while that source is isolated.
    /// Source: 29 CFR 1910.147(d)(6) (not checked against the text).
    StopTooLate = "stop-too-late";
    /// A hazard whose control holds until a step: that step is still to come. Common practice,
    /// no source.
    ControlNeverEnds = "control-never-ends";
    /// DANGER only where the words name death or a serious injury. Source: ANSI Z535.6,
    /// ISO 3864-2 (not checked against the text).
    DangerUndeserved = "danger-undeserved", catalog;
    /// CAUTION never where the words name death. Source: as above.
    CautionPlaysDown = "caution-plays-down", catalog;
    /// Damage to things, and only that, is a NOTICE. Source: as above.
    NoticeForThings = "notice-for-things", catalog;
    /// A hazard says what happens if it is ignored. Source: as above.
    NoConsequence = "no-consequence", catalog;
    /// A hazard says how to avoid it, or is controlled by isolating a source. Source: as above.
    NoAvoidance = "no-avoidance", catalog;
}

impl Rule {
    /// Whether people can come to harm where it is broken.
    pub const fn protects_people(self) -> bool {
        matches!(
            self,
            Self::PreparationFirst
                | Self::WorkWhileLive
                | Self::IsolateAgain
                | Self::StoredEnergy
                | Self::UnitIntact
                | Self::LiveOutOfUse
                | Self::IsolationUnproven
                | Self::ProofTooEarly
                | Self::NotSecured
                | Self::PeopleClear
                | Self::StopTooLate
        )
    }
}

/// A rule that a plan breaks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BrokenRule {
    /// The rule.
    pub rule: Rule,
    /// The step, counted from 0. What is missing at the end is missing after the last step.
    pub step: usize,
    /// What is wrong, where, and why.
    pub sentence: String,
}
