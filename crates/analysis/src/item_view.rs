//! One thing of the record with everything known of it: every fact with its origin and how it can be
//! changed in the text, and what it is joined to.

use model::{
    Attribute, Device, DeviceId, Fact, FuseWay, Origin, PartId, Place, TerminalId, WireEnd, WireId,
};
use record::{Written, wire_pieces};
use schemars::JsonSchema;
use serde::Serialize;
use units::System;

use crate::case::Case;
use crate::looks_view::{body_metal, course_facts, device_looks, joint_looks};

/// A device, wire, part or spot with what is known of it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ItemView {
    /// Its name in the record.
    pub name: String,
    /// `device`, `wire`, `part` or `spot`.
    pub sort: String,
    /// What people call it.
    pub label: String,
    /// Its kind in the catalog; empty for what has none.
    pub kind: String,
    /// Where it is, in words; may be empty.
    pub at: String,
    /// Its line in the record.
    pub line: usize,
    /// Its place in the record: `wires.h1`.
    pub path: String,
    /// Its shorthand line as it stands; empty where it is written in fields.
    pub written: String,
    /// What is known and what is not.
    pub facts: Vec<FactView>,
    /// What it is joined to, what lies on it, what it asks for.
    pub near: Vec<NearView>,
}

/// A fact, or that it is not known.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FactView {
    /// The field of the record: `rated`, `length`.
    pub key: String,
    /// The value with its unit; `unknown` when nobody knows.
    pub value: String,
    /// `seen`, `told`, `measured`, `assumed`; empty when unknown.
    pub origin: String,
    /// By whom, when, how exactly, or why it is assumed; may be empty.
    pub from: String,
    /// How it is changed; absent where only the whole line can be.
    pub change: Option<ChangeView>,
}

/// Where in the record a fact is written. The new value of the path is `before`, the fact, `after`.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ChangeView {
    /// The value that changes: `devices.charger.limit`, `wires.h1`.
    pub path: String,
    /// What stands there now; absent when nothing does.
    pub was: Option<String>,
    /// What is written of the fact itself; empty when nothing is.
    pub is: String,
    /// What goes before it.
    pub before: String,
    /// What comes after it.
    pub after: String,
    /// What is written when nobody knows.
    pub unknown: String,
}

/// Something near: joined to it, on it, or in the way.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct NearView {
    /// In what way it is near: `on in+`, `from`, `must be out first`.
    pub how: String,
    /// Its name in the record; empty where nobody knows.
    pub name: String,
    /// More words: a terminal, how a joint looks.
    pub words: String,
}

impl Case {
    /// A device, wire, part or spot by its name, in this order; `None` when there is none.
    pub fn item(&self, name: &str) -> Option<ItemView> {
        let vehicle = self.vehicle();
        if let Some((id, _)) = vehicle.devices.find(|device| device.name == name) {
            return Some(self.device_item(id));
        }
        let wire = name.strip_prefix("wire ").unwrap_or(name);
        if let Some((id, _)) = vehicle.wires.find(|other| other.name == wire) {
            return Some(self.wire_item(id));
        }
        if let Some((id, _)) = vehicle.parts.find(|part| part.name == name) {
            return Some(self.part_item(id));
        }
        let (id, spot) = vehicle.spots.find(|spot| spot.name == name)?;
        let mut view = self.blank(Place::Spot(id), "spot", "spots", &spot.name, &spot.label);
        let behind = spot.reach.map(|reach| self.reach_words(reach));
        view.facts.push(self.field("behind", &behind, &view));
        Some(view)
    }

    /// The names of all devices, wires, parts and spots, each with what people call it.
    pub fn item_names(&self) -> Vec<(&'static str, String, String)> {
        let vehicle = self.vehicle();
        let devices = vehicle.devices.iter().map(|(_, d)| ("device", &d.name, d.label.clone()));
        let wires = vehicle.wires.iter().map(|(id, wire)| {
            let ends = WireEnd::BOTH.map(|end| self.landing(id, end));
            ("wire", &wire.name, ends.join(" to "))
        });
        let parts = vehicle.parts.iter().map(|(_, part)| ("part", &part.name, part.label.clone()));
        let spots = vehicle.spots.iter().map(|(_, spot)| ("spot", &spot.name, spot.label.clone()));
        let all = devices.chain(wires).chain(parts).chain(spots);
        all.map(|(sort, name, label)| (sort, name.clone(), label)).collect()
    }

    fn blank(&self, place: Place, sort: &str, section: &str, name: &str, label: &str) -> ItemView {
        ItemView {
            name: name.to_owned(),
            sort: sort.to_owned(),
            label: label.to_owned(),
            kind: String::new(),
            at: String::new(),
            line: self.place_view(place).line,
            path: record::join_path(&[section, name]),
            written: String::new(),
            facts: Vec::new(),
            near: Vec::new(),
        }
    }

    fn device_item(&self, id: DeviceId) -> ItemView {
        let device = &self.vehicle().devices[id];
        let place = Place::Device(id);
        let mut view = self.blank(place, "device", "devices", &device.name, &device.label);
        view.kind = device.kind.clone();
        view.at = device.place_words.clone();
        let mut keys: Vec<Attribute> = device.role.numbers().to_vec();
        keys.extend(device.attributes.keys().filter(|key| !device.role.numbers().contains(key)));
        for attribute in keys {
            let say = |si: &f64| units::format(*si, attribute.dimension(), System::Metric);
            let fact = self.field(attribute.key(), &device.fact(attribute).map(say), &view);
            view.facts.push(fact);
        }
        view.facts.extend(self.ways_of(device, &view));
        let behind = device.reach.map(|reach| self.reach_words(reach));
        view.facts.push(self.field("behind", &behind, &view));
        view.facts.push(self.field("looks", &device_looks(&device.looks), &view));
        if device.is_chassis {
            view.facts.push(self.field("on", &body_metal(&device.on), &view));
        }
        view.near = device.terminals.iter().flat_map(|t| self.on_terminal(*t)).collect();
        view
    }

    fn on_terminal(&self, terminal: TerminalId) -> Vec<NearView> {
        let vehicle = self.vehicle();
        let name = vehicle.terminal_name(terminal);
        let near = |wire: &str, words: String| NearView {
            how: format!("on {name}"),
            name: wire.to_owned(),
            words,
        };
        let landed: Vec<NearView> = vehicle
            .wires_at(terminal)
            .map(|(id, end)| {
                let there = self.landing(id, end.other());
                near(&vehicle.wires[id].name, format!("to {there}; {}", self.joint_words(id, end)))
            })
            .collect();
        if landed.is_empty() {
            return vec![near("", "no wire is recorded here".to_owned())];
        }
        landed
    }

    fn joint_words(&self, wire: WireId, end: WireEnd) -> String {
        let vehicle = self.vehicle();
        let joint = &vehicle.joints[vehicle.wires[wire].end(end).joint];
        let name = |fact: &Fact<String>| match (fact.value(), fact.origin()) {
            (Some(value), Some(origin)) => format!("{value} ({})", origin.word()),
            _ => "unknown".to_owned(),
        };
        let looks = joint.condition.map(|condition| format!("{condition:?}").to_lowercase());
        let kind = joint.kind.map(|kind| kind.word().to_owned());
        let ohm = joint.resistance.map(ToString::to_string);
        let seen = joint_looks(joint);
        match ohm.is_unknown() {
            true => format!("joint {}, condition {}{seen}", name(&kind), name(&looks)),
            false => {
                format!("joint {}, condition {}, {}{seen}", name(&kind), name(&looks), name(&ohm))
            }
        }
    }

    fn wire_item(&self, id: WireId) -> ItemView {
        let vehicle = self.vehicle();
        let wire = &vehicle.wires[id];
        let ends = WireEnd::BOTH.map(|end| self.landing(id, end));
        let label = ends.join(" to ");
        let mut view = self.blank(Place::Wire(id), "wire", "wires", &wire.name, &label);
        let (key, written) = self.written_wire(&wire.name);
        view.path = record::join_path(&["wires", key]);
        if let Some(Written::Line(line)) = written {
            view.written = line;
        }
        let word = |word: String| word.to_lowercase();
        let colour = wire.colour.clone().map_or(Fact::Unknown, |c| Fact::known(c, Origin::seen()));
        let facts: [(&str, Fact<String>); 8] = [
            ("size", wire.area.map(|_| wire.size_words.clone())),
            ("length", wire.length.map(ToString::to_string)),
            ("core", wire.core.map(|core| word(format!("{core:?}")))),
            ("insulation", wire.insulation.map(ToString::to_string)),
            ("colour", colour),
            ("sheathed", wire.sheathed.map(|yes| yes_no(*yes))),
            ("bundle", wire.bundle.map(ToString::to_string)),
            ("engine_space", wire.engine_space.map(|yes| yes_no(*yes))),
        ];
        view.facts = facts.iter().map(|(key, fact)| self.piece(key, fact, &view)).collect();
        let course = course_facts(&wire.course);
        view.facts.extend(course.iter().map(|(key, fact)| fact_view(key, fact, None)));
        let behind = wire.runs_behind.map(|part| vehicle.parts[part].name.clone());
        view.near = WireEnd::BOTH
            .into_iter()
            .zip(["from", "to"])
            .map(|(end, how)| NearView {
                how: how.to_owned(),
                name: self.device_at(id, end),
                words: format!("{}: {}", ends[end as usize], self.joint_words(id, end)),
            })
            .collect();
        view.near.extend(behind.map(|part| NearView {
            how: "runs behind".to_owned(),
            name: part,
            words: String::new(),
        }));
        view
    }

    /// What is written of a wire, and under which name: a core stands in the line of its cable.
    fn written_wire<'n>(&self, name: &'n str) -> (&'n str, Option<Written>) {
        let cable = name.rsplit_once('/').map_or(name, |(cable, _)| cable);
        let cable = if cable == name { name.trim_end_matches(['+', '-']) } else { cable };
        match record::written(&self.text, "wires", name) {
            None => (cable, record::written(&self.text, "wires", cable)),
            found => (name, found),
        }
    }

    fn device_at(&self, wire: WireId, end: WireEnd) -> String {
        let vehicle = self.vehicle();
        let terminal = vehicle.wires[wire].terminal(end);
        terminal.map_or_else(String::new, |terminal| {
            vehicle.devices[vehicle.terminals[terminal].device].name.clone()
        })
    }

    fn part_item(&self, id: PartId) -> ItemView {
        let vehicle = self.vehicle();
        let part = &vehicle.parts[id];
        let mut view = self.blank(Place::Part(id), "part", "parts", &part.name, &part.label);
        let fixings: Vec<String> = part.fixings.iter().map(model::Fixing::words).collect();
        let fixings = match fixings.is_empty() {
            true => Fact::Unknown,
            false => Fact::known(fixings.join(", "), Origin::seen()),
        };
        view.facts.push(self.field("fixings", &fixings, &view));
        view.facts.push(self.field("mass", &part.mass.map(ToString::to_string), &view));
        if let Some(first) = part.removals.first().map(|id| &vehicle.removals[*id]) {
            let minutes = |of: &model::Minutes, origin: &Origin| {
                let words = format!("{:.0} / {:.0} / {:.0} min", of.low, of.likely, of.high);
                Fact::known(words, origin.clone())
            };
            view.facts.push(self.field("out", &minutes(&first.out, &first.origin), &view));
            view.facts.push(self.field("back", &minutes(&first.back, &first.back_origin), &view));
            let needs = first.needs.iter().map(|needed| NearView {
                how: "must be out first".to_owned(),
                name: vehicle.parts[*needed].name.clone(),
                words: vehicle.parts[*needed].label.clone(),
            });
            view.near.extend(needs);
        }
        view.near.extend(self.hidden_by(id));
        view
    }

    fn hidden_by(&self, part: PartId) -> impl Iterator<Item = NearView> + '_ {
        let behind = move |reach: &Fact<model::Reach>| {
            reach.value().is_some_and(|reach| reach.iter().any(|set| set.contains(&part)))
        };
        let devices = self.vehicle().devices.iter().filter(move |(_, d)| behind(&d.reach));
        devices.map(|(_, device)| NearView {
            how: "behind it".to_owned(),
            name: device.name.clone(),
            words: device.label.clone(),
        })
    }

    /// The parts in the way: `splash or cupboard-back`.
    fn reach_words(&self, reach: &model::Reach) -> String {
        let part = |id: &PartId| self.vehicle().parts[*id].name.clone();
        let sets = reach.iter().map(|set| match set.is_empty() {
            true => "nothing".to_owned(),
            false => set.iter().map(part).collect::<Vec<_>>().join(" and "),
        });
        sets.collect::<Vec<_>>().join(" or ")
    }

    /// The ways of a box of fuses, which are written in one list: what the fuse in each is rated for, and
    /// what its label says it feeds.
    fn ways_of(&self, device: &Device, of: &ItemView) -> Vec<FactView> {
        let fields = self.written_fields(of).unwrap_or_default();
        let list = fields.into_iter().find(|(field, _)| field == "ways").map(|(_, list)| list);
        let list = list.unwrap_or_default();
        // A list of plain texts is written alike in JSON.
        let written: Vec<String> = serde_json::from_str(&list).unwrap_or_default();
        let quoted = |of: &[String]| {
            of.iter()
                .map(|way| serde_json::Value::from(way.as_str()).to_string())
                .collect::<Vec<_>>()
        };
        let one = |(at, way): (usize, &FuseWay)| {
            let stands = written.get(at).filter(|_| written.len() == device.ways.len());
            let fact = match stands.map(String::as_str) {
                Some("empty") => Fact::known("empty".to_owned(), Origin::seen()),
                _ => way.rated.map(|rated| format!("{rated} {}", way.label).trim_end().to_owned()),
            };
            let change = stands.map(|is| ChangeView {
                path: format!("{}.ways", of.path),
                was: Some(list.clone()),
                is: is.clone(),
                before: format!(
                    "[{}\"",
                    quoted(&written[..at]).into_iter().map(|way| way + ", ").collect::<String>()
                ),
                after: format!(
                    "\"{}]",
                    quoted(&written[at + 1..])
                        .into_iter()
                        .map(|way| format!(", {way}"))
                        .collect::<String>()
                ),
                unknown: format!("unknown {}", way.label).trim_end().to_owned(),
            });
            fact_view(&format!("way {}", at + 1), &fact, change)
        };
        match device.ways.len() {
            0 | 1 => Vec::new(),
            _ => device.ways.iter().enumerate().map(one).collect(),
        }
    }

    /// The fields in which a thing is written; `None` where it is a line.
    fn written_fields(&self, of: &ItemView) -> Option<Vec<(String, String)>> {
        let keys = record::split_path(&of.path).unwrap_or_default();
        let [section, name] = keys.as_slice() else { return None };
        match record::written(&self.text, section, name)? {
            Written::Fields(fields) => Some(fields),
            Written::Line(_) => None,
        }
    }

    /// A fact that has a field of its own.
    fn field(&self, key: &str, fact: &Fact<String>, of: &ItemView) -> FactView {
        let change = self.written_fields(of).map(|fields| {
            let was = fields.into_iter().find(|(field, _)| field == key).map(|(_, words)| words);
            ChangeView {
                path: format!("{}.{key}", of.path),
                is: was.clone().unwrap_or_default(),
                was,
                before: String::new(),
                after: String::new(),
                unknown: "unknown".to_owned(),
            }
        });
        fact_view(key, fact, change)
    }

    /// A fact that is a piece of a wire line, or a field where a wire is written in fields.
    fn piece(&self, key: &str, fact: &Fact<String>, of: &ItemView) -> FactView {
        if of.written.is_empty() {
            return self.field(key, fact, of);
        }
        if !["size", "length", "core", "insulation", "colour"].contains(&key) {
            return fact_view(key, fact, None);
        }
        // The last piece of a sort counts.
        let piece = wire_pieces(&of.written).into_iter().rfind(|piece| piece.key == key);
        // The size of a cable says how many cores it has: only the whole line can change it.
        if piece.as_ref().is_some_and(|piece| piece.is.contains(" x ")) {
            return fact_view(key, fact, None);
        }
        let (is, before, after) = match piece {
            Some(piece) => (piece.is, piece.before, piece.after),
            None => (String::new(), format!("{}, ", of.written), String::new()),
        };
        let change = ChangeView {
            path: of.path.clone(),
            was: Some(of.written.clone()),
            is,
            before,
            after,
            unknown: format!("unknown {key}"),
        };
        fact_view(key, fact, Some(change))
    }
}

fn fact_view(key: &str, fact: &Fact<String>, change: Option<ChangeView>) -> FactView {
    let (origin, from) = fact.origin().map_or_else(Default::default, |origin| {
        let by_on = |by: &Option<String>, on: &Option<String>| {
            let by = by.as_ref().map(|by| format!("by {by}"));
            let on = on.as_ref().map(|on| format!("on {on}"));
            by.into_iter().chain(on).collect::<Vec<_>>().join(" ")
        };
        let from = match origin {
            Origin::Assumed { why } => why.clone(),
            Origin::Told { by, on } | Origin::Seen { by, on } | Origin::Measured { by, on, .. } => {
                by_on(by, on)
            }
        };
        (origin.word().to_owned(), from)
    });
    FactView {
        key: key.to_owned(),
        value: fact.value().cloned().unwrap_or_else(|| "unknown".to_owned()),
        origin,
        from,
        change,
    }
}

fn yes_no(yes: bool) -> String {
    if yes { "yes" } else { "no" }.to_owned()
}
