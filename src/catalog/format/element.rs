//! Elements: the smallest timed actions. Authors write their names, so the names are
//! defined here. Their times are in the `lidoff-estimate` crate, each with its source.

use serde::{Deserialize, Serialize};

/// The smallest timed action. A step's estimate is the sum of its elements.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Element {
    /// Turn one screw out, easy access.
    ScrewOut,
    /// Turn one screw out, hindered access.
    ScrewOutHindered,
    /// Pick up, place and drive one screw.
    ScrewIn,
    /// Pick up, place and drive one screw, hindered access.
    ScrewInHindered,
    /// Turn one short screw out: at most ten turns (M2 × 4).
    ScrewOutShort,
    /// Turn one long screw out: sixteen turns or more (M2 × 9, M4 × 12).
    ScrewOutLong,
    /// Pick up, place and drive one short screw: at most ten turns (M2 × 4).
    ScrewInShort,
    /// Pick up, place and drive one long screw: sixteen turns or more (M2 × 9, M4 × 12).
    ScrewInLong,
    /// Loosen one set screw.
    SetScrewLoosen,
    /// Tighten one set screw.
    SetScrewTighten,
    /// Loosen one captive screw until it is free.
    CaptiveOut,
    /// Tighten one captive screw.
    CaptiveIn,
    /// Open one quarter-turn fastener.
    QuarterTurnOut,
    /// Close one quarter-turn fastener.
    QuarterTurnIn,
    /// Bring one screw to torque with a torque driver.
    TorqueSet,
    /// Set a torque driver to its value.
    TorqueDial,
    /// Open one latch or slide.
    LatchOpen,
    /// Close one latch or slide.
    LatchClose,
    /// Part one plug held by screws.
    ScrewedPlugOut,
    /// Join one plug held by screws.
    ScrewedPlugIn,
    /// Part one plug.
    PlugOut,
    /// Join one plug.
    PlugIn,
    /// Open the bar of one ribbon connector and draw the ribbon.
    RibbonOut,
    /// Seat one ribbon and close its bar.
    RibbonIn,
    /// Lift one coaxial connector.
    CoaxOut,
    /// Press one coaxial connector home.
    CoaxIn,
    /// Take one cable out of one guide or clip.
    CableUnroute,
    /// Lay one cable into one guide or clip.
    CableRoute,
    /// Cut one cable tie and pull it out.
    CableTieCut,
    /// Thread one cable tie, pull it tight and cut its end off.
    CableTieFit,
    /// Push one E-clip off its groove.
    EClipOut,
    /// Press one E-clip into its groove.
    EClipIn,
    /// Unhook one spring.
    SpringOut,
    /// Hook one spring in.
    SpringIn,
    /// Slip one belt off its pulleys.
    BeltOut,
    /// Lay one belt over its pulleys.
    BeltIn,
    /// Turn an adjuster and check again, once.
    Adjust,
    /// Warm one glued seam until it gives.
    Heat,
    /// Lift one strip of tape.
    TapeLift,
    /// Press one strip of tape on.
    TapePress,
    /// Part one glued seam, a hand's width.
    GluePart,
    /// Lay one glued seam or gasket, a hand's width.
    GlueLay,
    /// Clean a surface of paste, glue or dust.
    Clean,
    /// Spread thermal paste or lay a thermal pad.
    PasteLay,
    /// Take away an item that nothing holds.
    TakeAway,
    /// Take away an item that a snap fit holds.
    TakeAwaySnap,
    /// Swing, slide or ease an item aside.
    EaseAside,
    /// Bring an eased item back.
    EaseBack,
    /// Set an item aside.
    SetAside,
    /// Pick an item up.
    PickUp,
    /// Insert an item that nothing holds.
    Insert,
    /// Insert an item with a snap fit.
    InsertSnap,
    /// Lift, with care, something heavy or fragile.
    LiftHeavy,
    /// Two people lift something together and set it down.
    LiftTwo,
    /// Set a ladder up and climb it, or climb down and put it away.
    Ladder,
    /// Walk to the vehicle or a store room and bring something back.
    WalkFetch,
    /// Look at something and judge it.
    Look,
    /// Measure one value with an instrument.
    Measure,
    /// One of a series of equal tries: a scan, a coin, a cut.
    Try,
    /// Press a switch, pull a mains plug, turn a key.
    Switch,
    /// Put on or take off protective equipment.
    Protect,
    /// Unpack a new part and compare it with the old one.
    Unpack,
    /// One round through a settings page: read, type, save.
    SettingsPage,
    /// Start the unit and wait until it is ready.
    StartUp,
    /// Talk to the customer, or write one note.
    Note,
    /// Take one photo.
    Photo,
    /// Scan or copy one serial or seal number.
    ScanNumber,
    /// Call a service desk, with the time in its queue.
    PhoneCall,
    /// Take one piece of equipment out of its bag and set it up.
    LayOut,
    /// Pack one piece of equipment, or one old part, away.
    PackUp,
}
