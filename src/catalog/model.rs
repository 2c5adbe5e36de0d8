//! The checked catalog: what the rest of the house works with.
//!
//! A [`Catalog`] is made only by [`check`](super::check()), so every index in it
//! points somewhere, every step has an estimate, and every formula is about
//! parts that exist. Indices follow the order of the file: "catalog order".

use super::format::{Condition, Formula};
use super::format::{
    Connection, Consumable, Face, Fastener, Fastening, HandBackId, Hazard, OrderAnchor, PartId,
    Question, ReachedState, Service as NamedService, Spare, Step as SaidStep, Text, Tool, UnitHead,
    UnitOption,
};

macro_rules! indices {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub(crate) u16);

        impl $name {
            /// Place in catalog order, from 0.
            pub const fn index(self) -> usize {
                self.0 as usize
            }
        }
    )+};
}

indices! {
    /// A part of a checked catalog.
    PartIx,
    /// A service operation.
    ServiceIx,
    /// A step.
    StepIx,
    /// A tool.
    ToolIx,
    /// A face.
    FaceIx,
    /// A kind of fastener.
    FastenerIx,
    /// A fastening.
    FasteningIx,
    /// A connection.
    ConnectionIx,
    /// A consumable.
    ConsumableIx,
    /// A spare.
    SpareIx,
    /// An option.
    OptionIx,
    /// A question.
    QuestionIx,
    /// An answer, counted within its question.
    AnswerIx,
    /// A hazard.
    HazardIx,
    /// A wait.
    WaitIx,
}

/// A checked condition.
pub type ResolvedCondition = Condition<OptionIx, QuestionIx, AnswerIx>;
/// A checked formula.
pub type ResolvedFormula = Formula<PartIx, ResolvedCondition>;

/// A checked catalog.
#[derive(Clone, Debug, PartialEq)]
pub struct Catalog {
    pub(crate) unit: UnitHead,
    pub(crate) tool_change_s: Option<f64>,
    pub(crate) turn_s: Option<f64>,
    pub(crate) faces: Vec<Face>,
    pub(crate) tools: Vec<Tool>,
    pub(crate) fasteners: Vec<Fastener>,
    pub(crate) fastenings: Vec<PlacedFastening>,
    pub(crate) connections: Vec<Connection>,
    pub(crate) consumables: Vec<Consumable>,
    pub(crate) spares: Vec<Spare>,
    pub(crate) options: Vec<UnitOption>,
    pub(crate) questions: Vec<Question>,
    pub(crate) hazards: Vec<PlacedHazard>,
    pub(crate) waits: Vec<Wait>,
    pub(crate) steps: Vec<Step>,
    pub(crate) parts: Vec<Part>,
    pub(crate) services: Vec<Service>,
    pub(crate) make_safe: Vec<StepIx>,
    pub(crate) prove: Vec<StepIx>,
    pub(crate) hand_over: Vec<StepIx>,
}

/// A part.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its id in the file.
    pub id: PartId,
    /// What the technician calls it.
    pub name: Text,
    /// What it does, where it sits, how to know it.
    pub about: Option<Text>,
    /// Mass, kg, where lifting it matters.
    pub mass_kg: Option<f64>,
    /// The units that have it; absent where all have it.
    pub when: ResolvedCondition,
    /// The part that it comes away with.
    pub rides_on: Option<PartIx>,
    /// The parts that come away with it.
    pub riders: Vec<PartIx>,
    /// Its fasteners.
    pub fastenings: Vec<FasteningIx>,
    /// Its cables.
    pub connections: Vec<ConnectionIx>,
    /// Fitted → eased.
    pub ease: Option<Leg>,
    /// Eased (or, without an easing leg, fitted) → off, in the unit.
    pub take_off: Option<Leg>,
    /// Fitted → off, on the bench, while its carrier is off.
    pub bench_off: Option<Leg>,
    /// How it is replaced.
    pub swap: Option<Swap>,
    /// How it is reseated.
    pub reseat: Option<Reseat>,
    /// How it is inspected.
    pub inspect: Option<Inspect>,
}

/// One leg out, and the same leg back.
#[derive(Clone, Debug, PartialEq)]
pub struct Leg {
    /// What must be open, out and back.
    pub needs: ResolvedFormula,
    /// What must hold besides for the way back.
    pub refit_needs: ResolvedFormula,
    /// The way out.
    pub out: Vec<StepIx>,
    /// The way back.
    pub back: Vec<StepIx>,
}

/// How a part is replaced.
#[derive(Clone, Debug, PartialEq)]
pub struct Swap {
    /// The spare to bring.
    pub spare: Option<SpareIx>,
    /// Riders that move to the new part.
    pub moves_over: Vec<PartIx>,
    /// Unpack and compare, make ready.
    pub steps: Vec<StepIx>,
    /// Reused pieces that move.
    pub hand_backs: Vec<HandBack>,
    /// Service operations that it brings with it.
    pub services: Vec<ServiceIx>,
    /// Checks after.
    pub prove: Vec<StepIx>,
}

/// A reused piece that moves to the new part.
#[derive(Clone, Debug, PartialEq)]
pub struct HandBack {
    /// Its id in the file.
    pub id: HandBackId,
    /// What the technician calls it.
    pub name: Text,
    /// Where it must be moved at all.
    pub when: ResolvedCondition,
    /// Off the old part, onto the new.
    pub steps: Vec<StepIx>,
}

/// How a part is reseated.
#[derive(Clone, Debug, PartialEq)]
pub struct Reseat {
    /// How far the part must come.
    pub at: ReachedState,
    /// What is done then.
    pub steps: Vec<StepIx>,
    /// Checks after.
    pub prove: Vec<StepIx>,
}

/// How a part is inspected.
#[derive(Clone, Debug, PartialEq)]
pub struct Inspect {
    /// When the part can be seen.
    pub needs: ResolvedFormula,
    /// What is looked at.
    pub steps: Vec<StepIx>,
}

/// A service operation.
#[derive(Clone, Debug, PartialEq)]
pub struct Service {
    /// As in the file.
    pub entry: NamedService,
    /// The units that have it; absent where all have it.
    pub when: ResolvedCondition,
    /// What must be open (or in place) while it runs.
    pub needs: ResolvedFormula,
    /// What it must come before.
    pub before: Vec<OpIx>,
    /// What it must come after.
    pub after: Vec<OpIx>,
    /// What is done.
    pub steps: Vec<StepIx>,
}

/// An operation that a service is ordered against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OpIx {
    /// Taking this part off.
    TakeOff(PartIx),
    /// Putting this part back.
    PutBack(PartIx),
    /// Swapping this part.
    Swap(PartIx),
    /// This service operation.
    Service(ServiceIx),
}

impl OpIx {
    /// How the file names it.
    pub fn anchor(self, catalog: &Catalog) -> OrderAnchor {
        match self {
            Self::TakeOff(part) => OrderAnchor::TakeOff(catalog.part(part).id.clone()),
            Self::PutBack(part) => OrderAnchor::PutBack(catalog.part(part).id.clone()),
            Self::Swap(part) => OrderAnchor::Swap(catalog.part(part).id.clone()),
            Self::Service(service) => {
                OrderAnchor::Service(catalog.service(service).entry.id.clone())
            }
        }
    }
}

/// A step, with what it refers to found.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// As in the file.
    pub entry: SaidStep,
    /// The units that it is done on; absent for all units.
    pub when: ResolvedCondition,
    /// The tool; `None` for bare hands.
    pub tool: Option<ToolIx>,
    /// The face that must be up; `None` where any will do.
    pub face: Option<FaceIx>,
    /// Fasteners that come undone.
    pub undo: Vec<FasteningIx>,
    /// Fasteners that are done up.
    pub redo: Vec<FasteningIx>,
    /// Cables that are unplugged.
    pub unplug: Vec<ConnectionIx>,
    /// Cables that are plugged in.
    pub plug: Vec<ConnectionIx>,
    /// Hazards of this step.
    pub hazards: Vec<HazardIx>,
    /// What is used up, and how much.
    pub uses: Vec<(ConsumableIx, f64)>,
    /// The question that is answered here.
    pub asks: Option<QuestionIx>,
    /// The wait that begins at its end.
    pub starts_wait: Option<WaitIx>,
    /// The wait that must be over before it begins.
    pub after_wait: Option<WaitIx>,
    /// What it took in finished jobs, where learned times are applied; no catalog file
    /// says it.
    pub learned: Option<LearnedTime>,
}

/// What a step took in finished jobs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LearnedTime {
    /// Mean, s.
    pub seconds: f64,
    /// From how many times.
    pub n: u32,
}

/// A fastening with its kind found.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedFastening {
    /// As in the file.
    pub entry: Fastening,
    /// Its kind.
    pub fastener: FastenerIx,
    /// The part that it holds.
    pub part: PartIx,
    /// The face that it is seen on.
    pub face: Option<FaceIx>,
    /// The units that have it; absent where all have it.
    pub when: ResolvedCondition,
}

/// A hazard with its condition found.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedHazard {
    /// As in the file.
    pub entry: Hazard,
    /// The units that have it; absent where all have it.
    pub when: ResolvedCondition,
}

/// A wait.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wait {
    /// What is waited for.
    pub text: Text,
    /// How long, s.
    pub seconds: u32,
}

macro_rules! accessors {
    ($($(#[$doc:meta])* $one:ident, $many:ident: $ix:ident => $what:ty);+ $(;)?) => {$(
        $(#[$doc])*
        pub fn $one(&self, at: $ix) -> &$what {
            &self.$many[at.index()]
        }

        /// All of them, in catalog order.
        pub fn $many(&self) -> impl ExactSizeIterator<Item = ($ix, &$what)> + Clone {
            self.$many.iter().enumerate().map(|(at, what)| ($ix(at as u16), what))
        }
    )+};
}

impl Catalog {
    accessors! {
        /// The part at this index.
        part, parts: PartIx => Part;
        /// The service operation at this index.
        service, services: ServiceIx => Service;
        /// The step at this index.
        step, steps: StepIx => Step;
        /// The tool at this index.
        tool, tools: ToolIx => Tool;
        /// The face at this index.
        face, faces: FaceIx => Face;
        /// The kind of fastener at this index.
        fastener, fasteners: FastenerIx => Fastener;
        /// The fastening at this index.
        fastening, fastenings: FasteningIx => PlacedFastening;
        /// The connection at this index.
        connection, connections: ConnectionIx => Connection;
        /// The consumable at this index.
        consumable, consumables: ConsumableIx => Consumable;
        /// The spare at this index.
        spare, spares: SpareIx => Spare;
        /// The option at this index.
        option, options: OptionIx => UnitOption;
        /// The question at this index.
        question, questions: QuestionIx => Question;
        /// The hazard at this index.
        hazard, hazards: HazardIx => PlacedHazard;
        /// The wait at this index.
        wait, waits: WaitIx => Wait;
    }

    /// What the unit is.
    pub fn unit(&self) -> &UnitHead {
        &self.unit
    }

    /// The author's own time for a tool change, s.
    pub fn tool_change_s(&self) -> Option<f64> {
        self.tool_change_s
    }

    /// The author's own time for turning the unit, s.
    pub fn turn_s(&self) -> Option<f64> {
        self.turn_s
    }

    /// Steps done first, whatever the tasks.
    pub fn make_safe(&self) -> &[StepIx] {
        &self.make_safe
    }

    /// Checks of the whole unit after refit.
    pub fn prove(&self) -> &[StepIx] {
        &self.prove
    }

    /// Steps done last.
    pub fn hand_over(&self) -> &[StepIx] {
        &self.hand_over
    }

    /// Sets what a step took in finished jobs, or takes that off again.
    pub fn set_learned_time(&mut self, at: StepIx, learned: Option<LearnedTime>) {
        self.steps[at.index()].learned = learned;
    }

    /// The part of that name.
    pub fn find_part(&self, id: &str) -> Option<PartIx> {
        self.parts()
            .find(|(_, part)| part.id.as_str() == id)
            .map(|(at, _)| at)
    }

    /// The service operation of that name.
    pub fn find_service(&self, id: &str) -> Option<ServiceIx> {
        self.services()
            .find(|(_, service)| service.entry.id.as_str() == id)
            .map(|(at, _)| at)
    }

    /// The step of that name.
    pub fn find_step(&self, id: &str) -> Option<StepIx> {
        self.steps()
            .find(|(_, step)| step.entry.id.as_str() == id)
            .map(|(at, _)| at)
    }

    /// The option of that name.
    pub fn find_option(&self, id: &str) -> Option<OptionIx> {
        self.options()
            .find(|(_, option)| option.id.as_str() == id)
            .map(|(at, _)| at)
    }

    /// The question of that name, and its answer of that name.
    pub fn find_question(&self, id: &str) -> Option<QuestionIx> {
        self.questions()
            .find(|(_, question)| question.id.as_str() == id)
            .map(|(at, _)| at)
    }

    /// The answer of that name to this question.
    pub fn find_answer(&self, question: QuestionIx, id: &str) -> Option<AnswerIx> {
        let answers = &self.question(question).answers;
        answers
            .iter()
            .position(|answer| answer.id.as_str() == id)
            .map(|at| AnswerIx(at as u16))
    }

    /// The answer that a plan assumes until there is one.
    pub fn assumed(&self, question: QuestionIx) -> AnswerIx {
        let id = self.question(question).assumed.clone();
        self.find_answer(question, id.as_str())
            .unwrap_or(AnswerIx(0))
    }
}
