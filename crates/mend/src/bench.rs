//! A proposal while it is put together.

use model::{DeviceId, Signal, WireEnd, WireId};
use units::{Celsius, Metre};

use crate::draft::{Caution, Draft, Figure, Part, Sort, Task, Who};
use crate::patch::Patch;
use crate::pieces::size_of;
use crate::scene::Scene;
use crate::sizes::Size;

/// Source of all minutes of repairs.
const PRACTICE: &str = "practice";

/// Where something goes into a wire: the end, the terminals it comes in and goes out by, and the size of
/// the lead up to it where that is not the wire's own.
pub(crate) struct Spot<'a> {
    pub(crate) wire: WireId,
    pub(crate) end: WireEnd,
    pub(crate) sides: [&'a str; 2],
    pub(crate) lead_size: Option<&'a Size>,
}

pub(crate) struct Bench<'a> {
    pub(crate) scene: &'a Scene<'a>,
    pub(crate) patch: Patch<'a>,
    draft: Draft,
}

impl<'a> Bench<'a> {
    /// `what` and `place` make the name.
    pub(crate) fn new(
        scene: &'a Scene<'a>,
        what: &str,
        place: &str,
        title: impl Into<String>,
    ) -> Bench<'a> {
        let draft = Draft {
            id: format!("{what}-{}", as_name(place)),
            title: title.into(),
            changes: Vec::new(),
            work: Vec::new(),
            reach: Vec::new(),
            parts: Vec::new(),
            figures: Vec::new(),
            cautions: Vec::new(),
            by: Who::Workshop,
            because: Vec::new(),
        };
        Bench { scene, patch: Patch::of(scene.values), draft }
    }

    pub(crate) fn finish(self) -> Result<Draft, String> {
        let changes = self.patch.finish()?;
        if changes.is_empty() {
            return Err("it would change nothing in the record".to_owned());
        }
        Ok(Draft { changes, ..self.draft })
    }

    /// Work of the catalog, so many times.
    pub(crate) fn work(&mut self, key: &str, times: f64) {
        let Some(work) = self.scene.catalog.mending.work(key) else { return };
        let minutes = work.minutes.map(|minute| minute * times);
        let known = self.draft.work.iter_mut().find(|task| task.what == work.words);
        match known {
            Some(task) => {
                task.times += times;
                task.minutes = [0, 1, 2].map(|at| task.minutes[at] + minutes[at]);
            }
            None => {
                let what = work.words.clone();
                self.draft.work.push(Task { what, times, minutes, source: PRACTICE });
            }
        }
    }

    /// Work with minutes from elsewhere.
    pub(crate) fn other_work(&mut self, what: &str, minutes: [f64; 3]) {
        let task = Task { what: what.to_owned(), times: 1.0, minutes, source: PRACTICE };
        self.draft.work.push(task);
    }

    pub(crate) fn part(&mut self, part: Part) {
        self.draft.parts.push(part);
    }

    pub(crate) fn figure(&mut self, what: &str, before: impl ToString, after: impl ToString) {
        let (before, after) = (before.to_string(), after.to_string());
        self.draft.figures.push(Figure { what: what.to_owned(), before, after });
    }

    pub(crate) fn because(&mut self, words: impl Into<String>) {
        self.draft.because.push(words.into());
    }

    pub(crate) fn caution(&mut self, signal: Signal, words: impl Into<String>) {
        self.draft.cautions.push(Caution { signal, words: words.into() });
    }

    /// For somebody licensed; says so.
    pub(crate) fn licensed(&mut self) {
        self.draft.by = Who::Licensed;
        self.caution(
            Signal::Danger,
            "mains voltage kills: for a licensed electrician, by the local rules; lead out, inverter and generator off and locked off, dead proved before anything is opened",
        );
    }

    /// For somebody trained by the maker of the vehicle.
    pub(crate) fn trained(&mut self) {
        self.draft.by = Who::Licensed;
    }

    pub(crate) fn reach(&mut self, name: &str) {
        if !self.draft.reach.iter().any(|known| known == name) {
            self.draft.reach.push(name.to_owned());
        }
    }

    pub(crate) fn reach_device(&mut self, id: DeviceId) {
        let scene = self.scene;
        self.reach(&scene.vehicle.devices[id].name);
    }

    /// Both ends of a wire and what it runs behind.
    pub(crate) fn reach_wire(&mut self, wire: WireId) {
        let scene = self.scene;
        for end in WireEnd::BOTH {
            if let Some(device) = scene.device_at(wire, end) {
                self.reach_device(device);
            }
        }
        if let Some(part) = scene.vehicle.wires[wire].runs_behind {
            self.reach(&scene.vehicle.parts[part].name);
        }
    }

    /// Lays a wire anew, stranded and in a size; as long as it was.
    pub(crate) fn relay(&mut self, wire: WireId, size: Option<&Size>) {
        self.relay_insulated(wire, size, None);
    }

    /// The same with insulation of another rating.
    pub(crate) fn relay_insulated(
        &mut self,
        wire: WireId,
        size: Option<&Size>,
        rated: Option<Celsius>,
    ) {
        let scene = self.scene;
        let facts = &scene.vehicle.wires[wire];
        let name = facts.name.as_str();
        let mut words = facts.size_words.clone();
        if let Some(size) = size {
            self.patch.set_wire_piece(name, "size", &size.words);
            words.clone_from(&size.words);
        }
        self.patch.set_wire_piece(name, "core", "fine");
        let usual = facts.insulation.evidence().is_none().then(|| scene.usual_insulation());
        if let Some(insulation) = rated.or(usual) {
            self.patch.set_wire_piece(name, "insulation", &format!("{} C", insulation.si()));
        }
        let bought = rated.unwrap_or_else(|| scene.usual_insulation());
        let area = size.map(|size| size.area).or(facts.area.value().copied());
        self.end_work(2.0, area.map(|area| area.si()), &words);
        match facts.length.value() {
            Some(length) => {
                let colour = facts.colour.as_deref();
                self.wire_part((colour, &words, bought), *length, area.map(|a| a.si()));
            }
            None => self.caution(
                Signal::Notice,
                format!("the length of wire {name} is not recorded: measure it before buying; laying it is not counted"),
            ),
        }
        self.reach_wire(wire);
    }

    fn wire_part(
        &mut self,
        (colour, size, insulation): (Option<&str>, &str, Celsius),
        length: Metre,
        mm2: Option<f64>,
    ) {
        self.work("lay", length.si());
        let colour = colour.map_or_else(String::new, |colour| format!(", {colour}"));
        self.part(Part {
            sort: Sort::Wire,
            what: format!("{size} fine-stranded copper{colour}, insulation for {insulation}"),
            quantity: length.si(),
            why: "as long as the wire it replaces, without slack".to_owned(),
            size_mm2: mm2,
            rated_a: None,
        });
    }

    /// Ends of wires are made.
    pub(crate) fn end_work(&mut self, count: f64, size_mm2: Option<f64>, size: &str) {
        self.work("end", count);
        self.part(Part {
            sort: Sort::Lug,
            what: format!("crimped end for {}, for the stud or clamp that is there", size_of(size)),
            quantity: count,
            why: "new ends".to_owned(),
            size_mm2,
            rated_a: None,
        });
    }

    /// Puts something with an `in` and an `out` between an end of a wire and where it lands: a short
    /// lead goes there, as thick as the wire or as `lead_size`, and the wire goes on from the new thing.
    /// Its name, for whoever says what it is.
    pub(crate) fn insert(
        &mut self,
        wire: WireId,
        end: WireEnd,
        wanted: &str,
        lead_size: Option<&Size>,
    ) -> Option<String> {
        let device = self.patch.free_name("devices", wanted);
        let spot = Spot { wire, end, sides: ["in", "out"], lead_size };
        self.insert_named(&device, spot).then_some(device)
    }

    /// The same with a thing that has a name already, or other terminals.
    pub(crate) fn insert_named(&mut self, device: &str, spot: Spot<'_>) -> bool {
        let scene = self.scene;
        let Spot { wire, end, sides: [side_in, side_out], lead_size } = spot;
        let facts = &scene.vehicle.wires[wire];
        if facts.name.contains('/') {
            self.patch.refuse(format!("{} is one core of a cable", facts.name));
            return false;
        }
        if facts.terminal(end).is_none() {
            self.patch.refuse(format!("nobody has seen where wire {} ends", facts.name));
            return false;
        }
        let Some(name) = self.own_wire(&facts.name) else { return false };
        // Something may have been put in before: what the text says now counts.
        let Some(ends) = self.patch.cable_ends(&name) else { return false };
        let terminal = ends[end as usize].clone();
        let lead = self.patch.free_name("wires", &format!("{name}-lead"));
        let size = lead_size.map_or(&facts.size_words, |size| &size.words).clone();
        let old = self.patch.joint_key(&name, &terminal);
        if let Some(key) = &old {
            let said = self.patch.value(&["joints", key]).unwrap_or_default();
            self.figure(&format!("joint {key}"), said, "cut off, new ends");
            self.patch.remove(&["joints", key]);
        }
        let landing = [terminal.clone(), format!("{device}.{side_in}")];
        self.short_wire(&lead, landing, &size, facts.colour.as_deref());
        self.patch.set_wire_end(&name, end, &format!("{device}.{side_out}"));
        self.patch.swap_lug(&terminal, &facts.name, Some(&lead));
        self.patch.set(&["joints", &format!("{name} at {device}.{side_out}")], "lug, good");
        self.end_work(3.0, facts.area.value().map(|area| area.si()), &facts.size_words);
        if let Some(id) = scene.device_at(wire, end) {
            self.reach_device(id);
        }
        true
    }

    /// The name under which a wire can be cut: its own; for the plus or minus of a two-core cable the
    /// cable is written as two wires first, with what was said of its joints.
    fn own_wire(&mut self, core: &str) -> Option<String> {
        let scene = self.scene;
        let split = core.replace('+', "-plus");
        let split = split.strip_suffix('-').map_or(split.clone(), |name| format!("{name}-minus"));
        if let Some(name) = [core, &split].into_iter().find(|name| self.patch.has("wires", name)) {
            return Some(name.to_owned());
        }
        let cable = core.strip_suffix(['+', '-']).unwrap_or(core);
        let Some(line) = self.patch.value(&["wires", cable]) else {
            self.patch.refuse(format!("{core} is one core of a cable"));
            return None;
        };
        let rest = line.split_once(',').map_or("", |(_, rest)| rest).replacen("2 x ", "", 1);
        self.patch.remove(&["wires", cable]);
        for (pole, word) in [("+", "plus"), ("-", "minus")] {
            let (old, new) = (format!("{cable}{pole}"), format!("{cable}-{word}"));
            let wire = scene.vehicle.wires.find(|wire| wire.name == old).map(|(_, wire)| wire);
            let [Some(from), Some(to)] = WireEnd::BOTH.map(|end| wire?.terminal(end)) else {
                self.patch.refuse(format!("nobody has seen where {old} ends"));
                return None;
            };
            let [from, to] = [from, to].map(|id| scene.vehicle.terminal_name(id));
            self.patch.set(&["wires", &new], &format!("{from} to {to},{rest}"));
            self.patch.copy_joints(&[cable, &old], &new);
            for terminal in [from, to] {
                self.patch.swap_lug(&terminal, &old, Some(&new));
            }
        }
        self.patch.remove_joints(cable);
        Some(split)
    }

    /// A new short wire with good joints; its ends are counted by who asks for it.
    pub(crate) fn short_wire(
        &mut self,
        name: &str,
        [from, to]: [String; 2],
        size: &str,
        colour: Option<&str>,
    ) {
        let scene = self.scene;
        let mut pieces = vec![format!("{from} to {to}")];
        pieces.extend((!size.is_empty()).then(|| size.to_owned()));
        pieces.push("fine".to_owned());
        pieces.extend(colour.map(str::to_owned));
        pieces.push(format!("{} C", scene.usual_insulation().si()));
        pieces.push(format!("{} m", scene.catalog.mending.lead.si()));
        self.patch.set(&["wires", name], &pieces.join(", "));
        for terminal in [from, to] {
            self.patch.set(&["joints", &format!("{name} at {terminal}")], "lug, good");
        }
    }

    /// Lets an end of a wire land on a terminal, by its name; what was said of the old joint goes.
    pub(crate) fn land(&mut self, wire: WireId, end: WireEnd, to: &str) {
        let scene = self.scene;
        let facts = &scene.vehicle.wires[wire];
        let Some(from) = facts.terminal(end).map(|id| scene.vehicle.terminal_name(id)) else {
            return self.patch.refuse(format!("nobody has seen where wire {} ends", facts.name));
        };
        let joint = self.patch.joint_key(&facts.name, &from);
        if let Some(key) = joint.filter(|key| *key == format!("{} at {from}", facts.name)) {
            self.patch.remove(&["joints", &key]);
        }
        self.patch.set_wire_end(&facts.name, end, to);
        self.patch.swap_lug(&from, &facts.name, None);
        self.patch.add_lug(to, &facts.name);
        self.patch.set(&["joints", &format!("{} at {to}", facts.name)], "lug, good");
        if let Some(device) = scene.device_at(wire, end) {
            self.reach_device(device);
        }
    }

    /// The ends of a wire now lie elsewhere: how long it has to be is not known before it is laid.
    pub(crate) fn length_unknown(&mut self, wire: WireId) {
        let name = self.scene.vehicle.wires[wire].name.as_str();
        self.patch.set_wire_piece(name, "length", "unknown length");
    }

    /// What of a device says where it is, for a new one beside it.
    pub(crate) fn beside(&self, id: DeviceId) -> Vec<String> {
        let device = &self.scene.vehicle.devices[id];
        let field = |key: &str| self.scene.values.get(&["devices", &device.name, key]);
        let behind = field("behind").map(|words| format!("behind = \"{words}\""));
        let at = format!("at = \"beside {}\"", device.label.replace(['"', '\\'], ""));
        std::iter::once(at).chain(behind).collect()
    }
}

/// A place as part of a name: letters, digits, hyphens.
fn as_name(place: &str) -> String {
    let place = place.strip_prefix("wire ").unwrap_or(place);
    let mut name = String::new();
    for c in place.chars() {
        match c {
            '+' => name.push_str("plus"),
            c if c.is_ascii_alphanumeric() => name.push(c.to_ascii_lowercase()),
            _ if name.is_empty() || name.ends_with('-') => {}
            _ => name.push('-'),
        }
    }
    // A minus at the end is a pole, not a gap.
    if place.ends_with(".-") {
        name.push_str("minus");
    }
    name.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::as_name;

    #[test]
    fn places_become_names_that_tell_them_apart() {
        assert_eq!(as_name("wire s1"), "s1");
        assert_eq!(as_name("c3 at bracket"), "c3-at-bracket");
        assert_ne!(as_name("h1 at house.+"), as_name("h1 at house.-"));
    }
}
