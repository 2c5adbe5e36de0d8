//! The checked catalog as a whole.

use super::index::{
    AnswerIx, ConnectionIx, ConsumableIx, FaceIx, FastenerIx, FasteningIx, HazardIx, OptionIx,
    PartIx, QuestionIx, ServiceIx, SpareIx, StepIx, ToolIx, WaitIx,
};
use super::part::{OpIx, Part, Service};
use super::step::{LearnedTime, PlacedFastening, PlacedHazard, Step, Wait};
use crate::format::{
    Connection, Consumable, Face, Fastener, KitItem, OrderAnchor, Question, Spare, Tool, UnitHead,
    UnitOption,
};

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
    pub(crate) kit: Vec<KitItem>,
    pub(crate) options: Vec<UnitOption>,
    pub(crate) questions: Vec<Question>,
    pub(crate) hazards: Vec<PlacedHazard>,
    pub(crate) waits: Vec<Wait>,
    pub(crate) steps: Vec<Step>,
    pub(crate) parts: Vec<Part>,
    pub(crate) services: Vec<Service>,
    pub(crate) make_safe: Vec<StepIx>,
    pub(crate) start: Vec<StepIx>,
    pub(crate) prove: Vec<StepIx>,
    pub(crate) hand_over: Vec<StepIx>,
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
        /// The part or energy source at this index. Sources come after all parts.
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

    /// Steps that start the closed unit, before any check that needs it live.
    pub fn start(&self) -> &[StepIx] {
        &self.start
    }

    /// The energy sources, in the form of parts.
    pub fn sources(&self) -> impl Iterator<Item = (PartIx, &Part)> + Clone {
        self.parts().filter(|(_, part)| part.is_source())
    }

    /// What the job needs besides tools, spares and consumables.
    pub fn kit(&self) -> &[KitItem] {
        &self.kit
    }

    /// Checks of the whole unit after refit.
    pub fn prove(&self) -> &[StepIx] {
        &self.prove
    }

    /// Steps done last.
    pub fn hand_over(&self) -> &[StepIx] {
        &self.hand_over
    }

    /// Sets the learned time of a step, or removes it.
    pub fn set_learned_time(&mut self, at: StepIx, learned: Option<LearnedTime>) {
        self.steps[at.index()].learned = learned;
    }

    /// The part with this id.
    pub fn find_part(&self, id: &str) -> Option<PartIx> {
        self.parts()
            .find(|(_, part)| part.id.as_str() == id)
            .map(|(at, _)| at)
    }

    /// The service operation with this id.
    pub fn find_service(&self, id: &str) -> Option<ServiceIx> {
        self.services()
            .find(|(_, service)| service.entry.id.as_str() == id)
            .map(|(at, _)| at)
    }

    /// The step with this id.
    pub fn find_step(&self, id: &str) -> Option<StepIx> {
        self.steps()
            .find(|(_, step)| step.entry.id.as_str() == id)
            .map(|(at, _)| at)
    }

    /// The option with this id.
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

    /// The answer with this id to this question.
    pub fn find_answer(&self, question: QuestionIx, id: &str) -> Option<AnswerIx> {
        let answers = &self.question(question).answers;
        answers
            .iter()
            .position(|answer| answer.id.as_str() == id)
            .map(|at| AnswerIx(at as u16))
    }

    /// The answer that a plan assumes until the question is answered.
    pub fn assumed(&self, question: QuestionIx) -> AnswerIx {
        let id = self.question(question).assumed.clone();
        self.find_answer(question, id.as_str())
            .unwrap_or(AnswerIx(0))
    }
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
