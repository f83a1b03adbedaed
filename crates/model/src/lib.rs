//! The vehicle as data: what is wired to what, what hides what, how it can stand, and how each
//! fact came to be known.
//!
//! Knows no text, no file, no circuit and no page. Everything later points back here by typed id.

mod arena;
mod body_metal;
mod breaking;
mod device;
mod fact;
mod finding;
mod fixing;
mod look;
mod mounting;
mod part;
mod photo;
mod possible;
mod space;
mod state;
mod took;
mod vehicle;
mod wire;
mod workshop;

pub use arena::{Arena, Id};
pub use body_metal::{BodyMetal, Metal};
pub use breaking::Breaking;
pub use device::{
    Attribute, Bond, Chemistry, Device, DeviceId, FuseWay, Pole, Role, Service, Terminal,
    TerminalId,
};
pub use fact::{Fact, Origin};
pub use finding::{
    Confidence, Consequence, Evidence, Finding, Likelihood, Limit, Missing, Place, Signal, Verdict,
};
pub use fixing::{Fixing, FixingCondition, HeadAccess};
pub use look::{Look, LookWords, LookedAt, Looks};
pub use mounting::{
    BoardSide, FixingSort, HeldBy, HeldIn, HeldWay, Mounting, Promise, StatedForce,
};
pub use part::{
    Damage, Mess, Minutes, Part, PartId, Reach, Removal, RemovalId, Spot, SpotId, WorkPosition,
};
pub use photo::Photo;
pub use possible::Must;
pub use space::{Cuboid, Direction};
pub use state::{
    Answer, Change, Engine, History, Mend, Reading, ReadingPoints, Region, Repaired, Shore, Shows,
    State, StateId, Supply, Symptom, Was,
};
pub use took::Took;
pub use vehicle::{SeenBy, Vehicle};
pub use wire::{
    Condition, Core, Course, End, Joint, JointId, JointKind, Landing, Layer, Stack, Strands,
    Surface, Wire, WireEnd, WireId,
};
pub use workshop::{Authorisation, Rates};
