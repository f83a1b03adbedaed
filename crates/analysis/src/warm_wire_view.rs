//! Temperature along the wires that get warmest, with the joints at their ends: for charts.

use model::{JointId, Vehicle, WireEnd, WireId};
use thermal::{JointHeat, Solved, Verdict, WireHeat};
use units::Metre;

use crate::case::{Case, points};
use crate::wire_list::with_origin;

/// A wire in the state that warms it most.
#[derive(Clone, Debug, PartialEq)]
pub struct WarmWireView {
    /// The wire.
    pub wire: String,
    /// The state.
    pub state: String,
    /// Its current, with unit.
    pub current: String,
    /// Its size and length with their origins.
    pub make: String,
    /// What stands at its ends, with the figures of the joints.
    pub ends: [String; 2],
    /// From the first end to the second.
    pub places: Vec<WarmPlaceView>,
    /// Its length is known.
    pub is_whole: bool,
    /// Hotter than the laws are used for.
    pub is_past: bool,
    /// The air around it, °C.
    pub air_c: f64,
    /// The rating of its insulation, °C, and in words with its origin.
    pub rating: Option<(f64, String)>,
    /// How far joints may rise above it, K, and in words.
    pub joint_limit: (f64, String),
    /// The document that limit is from, as it is called, and how well it was seen.
    pub joint_source: Option<(String, String)>,
    /// Which of its joints were measured, or seen bad.
    pub ends_judged: [bool; 2],
    /// Verdicts of wire and joints that fail, in words.
    pub failures: Vec<String>,
}

/// The temperature at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WarmPlaceView {
    /// From the first end, m.
    pub at_m: f64,
    /// The coolest it may be, °C.
    pub coolest_c: f64,
    /// The hottest it may be, °C.
    pub hottest_c: f64,
}

impl Case {
    /// Every wire that fails by its heat or has a joint that does, each in the state in which it
    /// carries most; worst first: what is hottest for certain.
    pub fn warm_wires(&self) -> Vec<WarmWireView> {
        let vehicle = self.vehicle();
        let mut worst: Vec<(WireId, f64, WarmWireView)> = Vec::new();
        for ((_, state, network, outcome), sure) in self.states().zip(&self.sure) {
            let sure = (&sure.network, points(&sure.outcome));
            let solved = Solved { state, network, points: points(outcome), sure };
            let joints = thermal::joints(vehicle, &self.catalog, &solved);
            for wire in thermal::wires(vehicle, &self.catalog, &solved) {
                let ends = ends_of(vehicle, &wire, &joints);
                // Of a joint that only looks bad nobody knows what it adds: there is nothing to draw.
                let is_drawn = |joint: &&JointHeat| {
                    joint.verdict == Verdict::Fails
                        && vehicle.joints[joint.joint].resistance.evidence().is_some()
                };
                let fails = wire.verdict == Verdict::Fails || ends.iter().flatten().any(is_drawn);
                let known = worst.iter().position(|(id, ..)| *id == wire.wire);
                let ampere = wire.current.si();
                if !fails || known.is_some_and(|at| worst[at].1 >= ampere) {
                    continue;
                }
                let view = self.warm_wire(&state.name, &wire, ends, &joints);
                let Some(view) = view else { continue };
                match known {
                    Some(at) => worst[at] = (wire.wire, ampere, view),
                    None => worst.push((wire.wire, ampere, view)),
                }
            }
        }
        let mut views: Vec<WarmWireView> = worst.into_iter().map(|(.., view)| view).collect();
        let hottest = |view: &WarmWireView| {
            view.places.iter().map(|place| place.coolest_c).fold(f64::NEG_INFINITY, f64::max)
        };
        views.sort_by(|a, b| hottest(b).total_cmp(&hottest(a)).then_with(|| a.wire.cmp(&b.wire)));
        views
    }

    fn warm_wire(
        &self,
        state: &str,
        heat: &WireHeat,
        ends: [Option<&JointHeat>; 2],
        joints: &[JointHeat],
    ) -> Option<WarmWireView> {
        let vehicle = self.vehicle();
        let wire = &vehicle.wires[heat.wire];
        let profile = thermal::profile(vehicle, &self.catalog, heat, joints)?;
        let limit = self.catalog.limits.get("joint-rise", vehicle.region);
        let source = self.catalog.sources.get(&limit.source);
        let judged = |joint: &JointHeat| joint.verdict != Verdict::CannotTell;
        let mut failures = Vec::new();
        if heat.verdict == Verdict::Fails {
            failures.push(format!("the wire fails: {}", heat.reason));
        }
        for joint in ends.into_iter().flatten().filter(|joint| joint.verdict == Verdict::Fails) {
            failures.push(format!("{} fails: {}", vehicle.joint_name(joint.joint), joint.reason));
        }
        Some(WarmWireView {
            wire: wire.name.clone(),
            state: state.to_owned(),
            current: heat.current.to_string(),
            make: format!(
                "{}, {}",
                with_origin(&wire.area, &wire.size_words),
                wire.length.value().map_or_else(
                    || "length not known".to_owned(),
                    |length: &Metre| with_origin(&wire.length, &length.to_string())
                )
            ),
            ends: [WireEnd::From, WireEnd::To].map(|end| {
                let id = wire.end(end).joint;
                end_words(vehicle, id, ends[end as usize])
            }),
            places: profile
                .places
                .iter()
                .map(|place| WarmPlaceView {
                    at_m: place.at.si(),
                    coolest_c: place.coolest.degrees(),
                    hottest_c: place.hottest.degrees(),
                })
                .collect(),
            is_whole: profile.is_whole,
            is_past: profile.is_past,
            air_c: heat.air.degrees(),
            rating: wire.insulation.value().map(|rating| {
                let words = with_origin(&wire.insulation, &rating.to_string());
                (rating.degrees(), format!("insulation of the wire: {words}"))
            }),
            joint_limit: (limit.value, format!("joint: {}", limit.words)),
            joint_source: source
                .map(|source| (source.words.clone(), source.standing.words().to_owned())),
            ends_judged: ends.map(|joint| joint.is_some_and(judged)),
            failures,
        })
    }
}

fn ends_of<'j>(
    vehicle: &Vehicle,
    wire: &WireHeat,
    joints: &'j [JointHeat],
) -> [Option<&'j JointHeat>; 2] {
    WireEnd::BOTH.map(|end| {
        let id = vehicle.wires[wire.wire].end(end).joint;
        joints.iter().find(|joint| joint.joint == id)
    })
}

fn end_words(vehicle: &Vehicle, id: JointId, heat: Option<&JointHeat>) -> String {
    let name = vehicle.joint_name(id);
    match heat {
        Some(heat) => format!(
            "{name}: {} ({}), {}",
            heat.resistance,
            heat.origin.unwrap_or("stand-in"),
            heat.power
        ),
        None => format!("{name}: no figure"),
    }
}
