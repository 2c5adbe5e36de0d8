//! Indices into a checked catalog, in the order of the file.

macro_rules! indices {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub(crate) u16);

        impl $name {
            /// Index in catalog order, from 0.
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
