//! Gathers what a hand-over says beyond a review. Computes no voltage: the isolation card is the live
//! map of the vehicle with everything switched off that a hand can switch off.
//!
//! **Hazard.** What the card calls not reached is not dead; it is to be proved by measurement at the
//! point of work, before and after on a known source.

use std::collections::{BTreeMap, BTreeSet};

use live::{LiveMap, Status};
use model::{DeviceId, Landing, Origin, Place, Role, State, WireEnd, WireId};
use units::Irradiance;

use crate::case::Case;
use crate::handover_view::{
    HANDOVER_SCHEMA, HandoverView, IsolationStep, IsolationView, MendView, OpeningMade, PhotoView,
    StaysLive, UnseenRow,
};

/// Full daylight, as modules are rated in (IEC 60904-3, from memory): a card drawn by night would
/// call the wires of a module dead.
const DAYLIGHT_W_PER_M2: f64 = 1000.0;

/// Name of the state the card is drawn in.
const SWITCHED_OFF: &str = "switched off";

/// What is switched off, in the order in which it is done.
const ORDER: [(Role, &str); 5] = [
    (Role::Alternator, "engine"),
    (Role::ShoreInlet, "shore"),
    (Role::Generator, "generator"),
    (Role::Inverter, "inverter"),
    (Role::SolarModule, "cover"),
];

impl Case {
    /// What a hand-over says beyond the review.
    pub fn handover(&self) -> HandoverView {
        HandoverView {
            schema: HANDOVER_SCHEMA.to_owned(),
            isolation: self.isolation(),
            unseen: self.unseen(),
            openings: self.openings_made(),
            photos: self.photos(),
            mends: self
                .vehicle()
                .mends
                .iter()
                .zip(self.chosen_mends())
                .map(|(mend, chosen)| MendView {
                    name: mend.name.clone(),
                    words: mend.words.clone(),
                    stands: chosen.stands,
                    why: chosen.why,
                })
                .collect(),
            proofs: match self.vehicle().mends.is_empty() {
                true => Vec::new(),
                false => self.proof(&BTreeMap::new()).rows,
            },
        }
    }

    /// How to switch the vehicle off, and what stays live then.
    pub fn isolation(&self) -> IsolationView {
        let cuts = self.cuts();
        let map = self.map_with_open(&cuts);
        let mut steps: Vec<IsolationStep> = Vec::new();
        for (role, kind) in ORDER {
            // Modules are covered last: everything else first takes a hand's turn.
            if kind == "cover" {
                steps.extend(cuts.iter().map(|id| self.isolation_step(*id, "switch", &map)));
            }
            let devices = self.vehicle().devices.iter().filter(|(_, device)| device.role == role);
            steps.extend(devices.map(|(id, _)| self.isolation_step(id, kind, &map)));
        }
        IsolationView {
            steps,
            stays: self.stays(&map),
            not_reached: self.names_of(|id| map.wire(id).status == Status::NotReached),
        }
    }

    /// The isolators, and the fewest other switches and breakers with which as little is live for
    /// certain as with all of them open; isolators first. What may be live does not count here: a
    /// converter that nothing rules out would make every switch useless.
    fn cuts(&self) -> Vec<DeviceId> {
        let vehicle = self.vehicle();
        let by_hand = |role| matches!(role, Role::Switch | Role::Breaker);
        let mut open: Vec<DeviceId> = vehicle
            .devices
            .iter()
            .filter(|(_, device)| by_hand(device.role))
            .map(|(id, _)| id)
            .collect();
        let least = energised(&self.map_with_open(&open));
        let mut tried = open.clone();
        tried.retain(|id| !self.is_isolator(*id));
        for id in tried {
            let fewer: Vec<DeviceId> = open.iter().copied().filter(|other| *other != id).collect();
            if energised(&self.map_with_open(&fewer)) == least {
                open = fewer;
            }
        }
        open.sort_by_key(|id| !self.is_isolator(*id));
        open
    }

    fn is_isolator(&self, id: DeviceId) -> bool {
        self.vehicle().devices[id].kind == "isolator"
    }

    fn map_with_open(&self, open: &[DeviceId]) -> LiveMap {
        let mut state = State::at_rest(SWITCHED_OFF);
        state.sun = Irradiance::from_si(DAYLIGHT_W_PER_M2);
        state.open = open.to_vec();
        let network = network::build(self.vehicle(), &state, &self.catalog);
        live::map(self.vehicle(), &state, &network)
    }

    fn isolation_step(&self, id: DeviceId, kind: &str, map: &LiveMap) -> IsolationStep {
        let vehicle = self.vehicle();
        let device = &vehicle.devices[id];
        let prove = match device.role {
            Role::Switch | Role::Breaker => device
                .terminals
                .iter()
                .filter(|terminal| !is_energised(map.terminal(**terminal).status))
                .map(|terminal| vehicle.terminal_name(*terminal))
                .collect(),
            _ => Vec::new(),
        };
        IsolationStep {
            kind: kind.to_owned(),
            device: device.name.clone(),
            label: device.label.clone(),
            at: device.place_words.clone(),
            prove,
            access: self.access_to(Place::Device(id)),
        }
    }

    fn stays(&self, map: &LiveMap) -> Vec<StaysLive> {
        let vehicle = self.vehicle();
        let sources: BTreeSet<DeviceId> = map
            .wires
            .iter()
            .flat_map(|one| one.from.iter().map(|reached| reached.source))
            .collect();
        let from = |id: WireId, source: DeviceId, certain: bool| {
            map.wire(id).from.iter().any(|r| r.source == source && r.doubt.is_none() == certain)
        };
        sources
            .into_iter()
            .map(|source| StaysLive {
                source: vehicle.devices[source].name.clone(),
                label: vehicle.devices[source].label.clone(),
                at: vehicle.devices[source].place_words.clone(),
                wires: self.names_of(|id| from(id, source, true)),
                may_be: self.names_of(|id| from(id, source, false) && !from(id, source, true)),
            })
            .collect()
    }

    fn names_of(&self, wanted: impl Fn(WireId) -> bool) -> Vec<String> {
        let wires = self.vehicle().wires.iter();
        wires.filter(|(id, _)| wanted(*id)).map(|(_, wire)| wire.name.clone()).collect()
    }

    /// Ends, terminals and ways that nobody has seen.
    fn unseen(&self) -> Vec<UnseenRow> {
        let vehicle = self.vehicle();
        let mut rows = Vec::new();
        for (id, wire) in vehicle.wires.iter() {
            for end in WireEnd::BOTH {
                let (why, part, access) = match wire.end(end).landing {
                    Landing::At(_) => continue,
                    Landing::Behind(part) => (
                        "end behind a part",
                        vehicle.parts[part].label.clone(),
                        self.way_in(&vehicle.parts[part].name).and_then(|way| way.cost),
                    ),
                    Landing::Unknown => ("end unknown", String::new(), None),
                };
                let place = self.place_view(Place::Wire(id));
                rows.push(UnseenRow { why: why.to_owned(), place, part, access });
            }
        }
        let row = |why: &str, place: Place| UnseenRow {
            why: why.to_owned(),
            place: self.place_view(place),
            part: String::new(),
            access: self.access_to(place),
        };
        let probes = vehicle.history.not_reached.iter();
        rows.extend(probes.map(|id| row("probe not reached", Place::Terminal(*id))));
        let hidden = vehicle.devices.iter().filter(|(_, device)| device.reach.is_unknown());
        rows.extend(hidden.map(|(id, _)| row("way not recorded", Place::Device(id))));
        rows
    }

    /// Jobs that were done, and parts that are out without one.
    fn openings_made(&self) -> Vec<OpeningMade> {
        let vehicle = self.vehicle();
        let mut made: Vec<OpeningMade> = vehicle
            .took
            .iter()
            .map(|took| {
                let part = &vehicle.parts[took.part];
                let (by, on) = by_and_on(&took.origin);
                OpeningMade {
                    part: part.name.clone(),
                    label: part.label.clone(),
                    minutes_out: took.out_min,
                    minutes_back: took.back_min,
                    is_out: part.is_out,
                    by,
                    on,
                }
            })
            .collect();
        let told = |name: &str| vehicle.took.iter().any(|t| vehicle.parts[t.part].name == name);
        let out = vehicle.parts.iter().filter(|(_, part)| part.is_out && !told(&part.name));
        made.extend(out.map(|(_, part)| OpeningMade {
            part: part.name.clone(),
            label: part.label.clone(),
            minutes_out: None,
            minutes_back: None,
            is_out: true,
            by: String::new(),
            on: String::new(),
        }));
        made
    }

    fn photos(&self) -> Vec<PhotoView> {
        let photos = self.vehicle().photos.iter();
        photos
            .map(|photo| {
                let (by, on) = by_and_on(&photo.origin);
                PhotoView {
                    name: photo.name.clone(),
                    file: photo.file.clone(),
                    of: photo.of.map(|place| self.place_view(place)),
                    arrow: photo.arrow,
                    words: photo.words.clone(),
                    by,
                    on,
                }
            })
            .collect()
    }
}

fn is_energised(status: Status) -> bool {
    matches!(status, Status::Live | Status::MayBeLive)
}

/// Which wires and terminals are live for certain.
fn energised(map: &LiveMap) -> Vec<bool> {
    map.wires.iter().chain(&map.terminals).map(|one| one.status == Status::Live).collect()
}

fn by_and_on(origin: &Origin) -> (String, String) {
    match origin {
        Origin::Assumed { .. } => (String::new(), String::new()),
        Origin::Told { by, on } | Origin::Seen { by, on } | Origin::Measured { by, on, .. } => {
            (by.clone().unwrap_or_default(), on.clone().unwrap_or_default())
        }
    }
}
