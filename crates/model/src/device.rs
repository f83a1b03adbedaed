//! Devices and their terminals.

use std::collections::BTreeMap;

use units::{Ampere, Dimension};

use crate::arena::id;
use crate::{BodyMetal, Cuboid, Fact, Looks, Mounting, Reach, WireEnd, WireId};

id! {
    /// A device of the vehicle.
    DeviceId
}
id! {
    /// A terminal of a device: a place where a wire lands.
    TerminalId
}

/// What a device does in the circuit. Closed: the network builder has one rule for each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// Stores energy.
    Battery,
    /// Engine-driven generator with its regulator.
    Alternator,
    /// DC-DC charger.
    DcDcCharger,
    /// Relay that joins two batteries while the engine charges.
    CombinerRelay,
    /// Solar module.
    SolarModule,
    /// Solar charge controller that seeks the modules' best voltage.
    SolarController,
    /// Solar charge controller that joins the modules straight to the battery.
    DirectController,
    /// Charger fed by shore or generator power.
    MainsCharger,
    /// Makes alternating current from the battery.
    Inverter,
    /// Conducts one way.
    Diode,
    /// One fuse in its holder.
    Fuse,
    /// Several fuses on one feed.
    FuseBox,
    /// Circuit breaker that can be switched by hand.
    Breaker,
    /// Switch or isolator.
    Switch,
    /// Relay with a coil of its own; its contact follows the coil's voltage.
    Relay,
    /// Busbar, stud, splice, chassis point: everything on it is joined.
    Junction,
    /// Measuring shunt.
    Shunt,
    /// Display of a shunt.
    Monitor,
    /// Load that draws the same power at any voltage.
    PowerLoad,
    /// Load that is a plain resistance.
    HeatingLoad,
    /// Motor.
    MotorLoad,
    /// Filament lamp.
    LampLoad,
    /// Inlet for shore power.
    ShoreInlet,
    /// Generator with an engine of its own, wired into the vehicle.
    Generator,
    /// Residual-current device or breaker on the mains side; passes all poles.
    AcBreaker,
    /// Mains socket or appliance.
    AcLoad,
    /// Something that may feed and that no switch of the vehicle reaches: a power station, what a
    /// trailer socket is plugged to, a high-voltage battery.
    OutsideSource,
    /// Nothing the circuit needs to know more of.
    Other,
}

impl Role {
    /// True for what feeds energy into the direct-current side by itself.
    pub fn is_dc_source(self) -> bool {
        matches!(
            self,
            Role::Battery
                | Role::Alternator
                | Role::SolarModule
                | Role::SolarController
                | Role::DirectController
                | Role::MainsCharger
                | Role::DcDcCharger
        )
    }

    /// True for what consumes on the direct-current side.
    pub fn is_dc_load(self) -> bool {
        matches!(
            self,
            Role::PowerLoad | Role::HeatingLoad | Role::MotorLoad | Role::LampLoad | Role::Inverter
        )
    }

    /// The numbers that matter for a device of this role, most wanted first. A record may give any
    /// attribute to any device; these are the ones that change an answer.
    pub fn numbers(self) -> &'static [Attribute] {
        use Attribute as A;
        match self {
            Role::Battery => &[
                A::Holds,
                A::Nominal,
                A::Rest,
                A::Resistance,
                A::ChargeLimit,
                A::DischargeLimit,
                A::ChargeStop,
                A::ChargeResume,
                A::CutOut,
                A::Restart,
                A::ColdLimit,
                A::Mass,
            ],
            Role::Alternator => {
                &[A::Regulates, A::Limit, A::Droop, A::Rated, A::LowOutput, A::Pulley, A::HotShare]
            }
            Role::MainsCharger => &[A::Regulates, A::Limit, A::Droop, A::Efficiency, A::Idle],
            Role::DcDcCharger => &[
                A::Limit,
                A::Power,
                A::Regulates,
                A::CutOut,
                A::Restart,
                A::Efficiency,
                A::Idle,
                A::Droop,
                A::Capacitance,
            ],
            Role::CombinerRelay => &[A::CutOut, A::Restart, A::Resistance, A::Delay],
            Role::Relay => &[A::Coil, A::CutOut, A::Restart, A::Resistance, A::Rated],
            Role::SolarModule => &[A::ShortCurrent, A::OpenVoltage, A::Power, A::BypassGroups],
            Role::SolarController | Role::DirectController => {
                &[A::Limit, A::Regulates, A::Efficiency, A::Droop]
            }
            Role::Inverter => &[
                A::Power,
                A::CutOut,
                A::Restart,
                A::Idle,
                A::Efficiency,
                A::Continuous,
                A::QuarterEfficiency,
                A::FullEfficiency,
                A::Regulates,
                A::Limit,
                A::Capacitance,
                A::Bleeder,
                A::Precharge,
                A::Mass,
            ],
            Role::Fuse | Role::Breaker => &[A::Rated, A::Resistance, A::Interrupts],
            Role::Switch | Role::Shunt => &[A::Rated, A::Resistance],
            Role::Monitor => &[A::Resistance, A::Holds, A::Offset],
            Role::PowerLoad => &[A::Power, A::CutOut, A::Restart, A::Capacitance, A::Mass],
            Role::HeatingLoad | Role::LampLoad => &[A::Power],
            Role::MotorLoad => &[A::Armature, A::BackEmf],
            Role::Diode | Role::FuseBox | Role::Junction => &[],
            Role::ShoreInlet | Role::OutsideSource => &[],
            Role::Other => &[A::Wait],
            Role::Generator => &[A::Power],
            Role::AcBreaker => &[A::Rated, A::Residual],
            Role::AcLoad => &[A::Power, A::PowerFactor, A::Leakage],
        }
    }

    /// True for a relay: whether its contact joins depends on voltages.
    pub fn is_relay(self) -> bool {
        matches!(self, Role::CombinerRelay | Role::Relay)
    }

    /// True for what opens by itself when too much current flows.
    pub fn protects(self) -> bool {
        matches!(self, Role::Fuse | Role::FuseBox | Role::Breaker)
    }

    /// True for what a hand can open.
    pub fn isolates(self) -> bool {
        matches!(self, Role::Switch | Role::Breaker)
    }
}

/// A number a device may have. Each has one dimension.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Attribute {
    /// Rated current of a fuse, breaker, switch, lamp, alternator.
    Rated,
    /// Most current it delivers.
    Limit,
    /// Voltage it regulates to.
    Regulates,
    /// Fall of the regulated voltage per ampere.
    Droop,
    /// Resistance inside it, or of its contacts.
    Resistance,
    /// Charge a battery holds.
    Holds,
    /// Voltage at rest.
    Rest,
    /// Power drawn or delivered.
    Power,
    /// Power drawn when idle.
    Idle,
    /// Output power over input power.
    Efficiency,
    /// Voltage below which it switches off.
    CutOut,
    /// Voltage from which it switches on again.
    Restart,
    /// Short-circuit current of a solar module in full sun.
    ShortCurrent,
    /// Open-circuit voltage of a solar module in full sun.
    OpenVoltage,
    /// Armature resistance of a motor.
    Armature,
    /// Back-EMF of a motor at its running speed.
    BackEmf,
    /// Most current a protective device can interrupt.
    Interrupts,
    /// Mass.
    Mass,
    /// Nominal voltage of a battery block.
    Nominal,
    /// Rated residual current of a residual-current device; zero: it has none.
    Residual,
    /// Current that leaks from line to earth at the rated voltage.
    Leakage,
    /// Power over the product of voltage and current.
    PowerFactor,
    /// Most charging current a battery's board lets in before it opens.
    ChargeLimit,
    /// Most current a battery's board lets out before it opens.
    DischargeLimit,
    /// Voltage above which a battery's board stops charging.
    ChargeStop,
    /// Voltage down to which it must fall before the board lets charge in again.
    ChargeResume,
    /// Temperature below which a battery's board lets no charge in.
    ColdLimit,
    /// Alternator output at the low speed of its marking (1500 turns per minute).
    LowOutput,
    /// Turns of the alternator for each turn of the engine.
    Pulley,
    /// Output of a hot alternator over that of a cold one.
    HotShare,
    /// Efficiency at a quarter of the continuous power.
    QuarterEfficiency,
    /// Efficiency at the continuous power.
    FullEfficiency,
    /// Power an inverter can deliver for good.
    Continuous,
    /// Resistance of a relay's coil.
    Coil,
    /// Time a relay waits before it moves.
    Delay,
    /// Capacitance across the input.
    Capacitance,
    /// Resistance that empties the input capacitors.
    Bleeder,
    /// Resistance through which the input capacitors are filled before they are joined.
    Precharge,
    /// Groups of cells of a module that have a bypass diode each.
    BypassGroups,
    /// Current a monitor shows when none flows.
    Offset,
    /// Time to wait after its supply is off before it may be worked on.
    Wait,
    /// Most direct voltage it is made for, as printed on it.
    MadeFor,
}

impl Attribute {
    /// Every attribute with the key a record uses and its dimension.
    pub const ALL: [(Attribute, &'static str, Dimension); 42] = [
        (Attribute::Rated, "rated", Dimension::Current),
        (Attribute::Limit, "limit", Dimension::Current),
        (Attribute::Regulates, "regulates", Dimension::Voltage),
        (Attribute::Droop, "droop", Dimension::Resistance),
        (Attribute::Resistance, "resistance", Dimension::Resistance),
        (Attribute::Holds, "holds", Dimension::Charge),
        (Attribute::Rest, "rest", Dimension::Voltage),
        (Attribute::Power, "power", Dimension::Power),
        (Attribute::Idle, "idle", Dimension::Power),
        (Attribute::Efficiency, "efficiency", Dimension::Fraction),
        (Attribute::CutOut, "cut_out", Dimension::Voltage),
        (Attribute::Restart, "restart", Dimension::Voltage),
        (Attribute::ShortCurrent, "isc", Dimension::Current),
        (Attribute::OpenVoltage, "voc", Dimension::Voltage),
        (Attribute::Armature, "armature", Dimension::Resistance),
        (Attribute::BackEmf, "back_emf", Dimension::Voltage),
        (Attribute::Interrupts, "interrupts", Dimension::Current),
        (Attribute::Mass, "mass", Dimension::Mass),
        (Attribute::Nominal, "nominal", Dimension::Voltage),
        (Attribute::Residual, "residual", Dimension::Current),
        (Attribute::Leakage, "leakage", Dimension::Current),
        (Attribute::PowerFactor, "power_factor", Dimension::Fraction),
        (Attribute::ChargeLimit, "charge_limit", Dimension::Current),
        (Attribute::DischargeLimit, "discharge_limit", Dimension::Current),
        (Attribute::ChargeStop, "charge_stop", Dimension::Voltage),
        (Attribute::ChargeResume, "charge_resume", Dimension::Voltage),
        (Attribute::ColdLimit, "cold_limit", Dimension::Temperature),
        (Attribute::LowOutput, "low_output", Dimension::Current),
        (Attribute::Pulley, "pulley", Dimension::Number),
        (Attribute::HotShare, "hot_share", Dimension::Fraction),
        (Attribute::QuarterEfficiency, "efficiency_quarter", Dimension::Fraction),
        (Attribute::FullEfficiency, "efficiency_full", Dimension::Fraction),
        (Attribute::Continuous, "continuous", Dimension::Power),
        (Attribute::Coil, "coil", Dimension::Resistance),
        (Attribute::Delay, "delay", Dimension::Seconds),
        (Attribute::Capacitance, "capacitance", Dimension::Capacitance),
        (Attribute::Bleeder, "bleeder", Dimension::Resistance),
        (Attribute::Precharge, "precharge", Dimension::Resistance),
        (Attribute::BypassGroups, "bypass_groups", Dimension::Number),
        (Attribute::Offset, "offset", Dimension::Current),
        (Attribute::Wait, "wait", Dimension::Seconds),
        (Attribute::MadeFor, "made_for", Dimension::Voltage),
    ];

    /// The key a record uses.
    pub fn key(self) -> &'static str {
        Attribute::row(self).1
    }

    /// What the number measures.
    pub fn dimension(self) -> Dimension {
        Attribute::row(self).2
    }

    /// The attribute of a key.
    pub fn of_key(key: &str) -> Option<Attribute> {
        Attribute::ALL.iter().find(|row| row.1 == key).map(|row| row.0)
    }

    /// A usual value is meant for the usual nominal voltage, and goes with it.
    pub fn follows_nominal(self) -> bool {
        matches!(
            self,
            Attribute::Regulates
                | Attribute::CutOut
                | Attribute::Restart
                | Attribute::ChargeStop
                | Attribute::ChargeResume
                | Attribute::BackEmf
        )
    }

    fn row(self) -> (Attribute, &'static str, Dimension) {
        Attribute::ALL[self as usize]
    }
}

/// The chemistry of a battery.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Chemistry {
    /// Lithium iron phosphate.
    Lfp,
    /// Absorbed glass mat lead-acid.
    Agm,
    /// Gelled lead-acid.
    Gel,
    /// Flooded lead-acid.
    Flooded,
}

/// Where a device joins neutral to protective earth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bond {
    /// Never.
    Never,
    /// Only while it is itself the source.
    WhileInverting,
    /// Always.
    Always,
    /// The middle of its winding is on earth, so each pole stands at half the voltage.
    CentreTap,
}

/// The electric side a terminal belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Pole {
    /// Positive, or the feed side of something in the feed.
    Plus,
    /// Negative, or the return side.
    Minus,
    /// Line of the mains side.
    Line,
    /// Neutral of the mains side.
    Neutral,
    /// Protective earth.
    Earth,
    /// Switching signal, next to no current.
    Signal,
    /// Whatever it is connected to.
    Any,
}

impl Pole {
    /// True on the mains side.
    pub fn is_ac(self) -> bool {
        matches!(self, Pole::Line | Pole::Neutral | Pole::Earth)
    }
}

/// A place where a wire lands.
#[derive(Clone, Debug, PartialEq)]
pub struct Terminal {
    /// The device it is on.
    pub device: DeviceId,
    /// Its name on the device: `+`, `-`, `in`, `3`; empty for a device with a single terminal.
    pub name: String,
    /// Which side it belongs to.
    pub pole: Pole,
    /// The wires that land on it, with the end that does, in the order of the record.
    pub wires: Vec<(WireId, WireEnd)>,
}

/// One way of a fuse box.
#[derive(Clone, Debug, PartialEq)]
pub struct FuseWay {
    /// Its outgoing terminal.
    pub terminal: TerminalId,
    /// What the fuse in it is rated for.
    pub rated: Fact<Ampere>,
    /// What the label says it feeds.
    pub label: String,
    /// Contact and element resistance.
    pub ohm: Fact<units::Ohm>,
}

/// That a device wants service, and how often.
#[derive(Clone, Debug, PartialEq)]
pub struct Service {
    /// What is done.
    pub what: String,
    /// How often in a year.
    pub per_year: Fact<f64>,
}

/// Anything with studs or pins.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// Its id in the record.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// The catalog's kind.
    pub kind: String,
    /// What it does in the circuit.
    pub role: Role,
    /// Its terminals in the catalog's order.
    pub terminals: Vec<TerminalId>,
    /// Its numbers.
    pub attributes: BTreeMap<Attribute, Fact<f64>>,
    /// Battery chemistry.
    pub chemistry: Fact<Chemistry>,
    /// Neutral-to-earth bond.
    pub bond: Fact<Bond>,
    /// Ways of a fuse box, else empty.
    pub ways: Vec<FuseWay>,
    /// Where it is and what must be out to touch it.
    pub reach: Fact<Reach>,
    /// What holds it.
    pub mounting: Option<Mounting>,
    /// The service it wants.
    pub service: Option<Service>,
    /// Cables enter it through openings of its case, so each needs its own strain relief.
    pub has_cable_entries: bool,
    /// A circuit that must keep working: the stricter drop limit applies.
    pub critical: bool,
    /// Stands on the vehicle's body: joined to the chassis.
    pub is_chassis: bool,
    /// Its cable needs no protection (cranking motor).
    pub exempt_cable: bool,
    /// Belongs to the base vehicle as its maker built it; only what was added to it is judged.
    pub base_vehicle: bool,
    /// It holds energy of its own that keeps it, or what is joined to it, live: a cell, a battery
    /// inside.
    pub own_cell: Fact<bool>,
    /// High voltage of a hybrid or electric drive, orange cables: no work for this workshop.
    pub high_voltage: bool,
    /// Part of the restraint system: airbag or belt tensioner, with charges that may fire.
    pub restraint_system: bool,
    /// Where it was put: the spot's name, free words.
    pub place_words: String,
    /// The space it takes up.
    pub space: Fact<Cuboid>,
    /// Burns or stores gas: never judged here.
    pub gas: bool,
    /// What the eye sees.
    pub looks: Looks,
    /// Of a chassis point: the metal it is on.
    pub on: BodyMetal,
}

impl Device {
    /// The fact about a number; unknown when nothing was written and the catalog has no usual value.
    pub fn fact(&self, attribute: Attribute) -> Fact<f64> {
        self.attributes.get(&attribute).cloned().unwrap_or_default()
    }

    /// The number, however it came to be known.
    pub fn number(&self, attribute: Attribute) -> Option<f64> {
        self.attributes.get(&attribute).and_then(|fact| fact.value().copied())
    }
}
