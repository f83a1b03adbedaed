//! Changes collected on the text of a record: every step sees what the steps before it wrote.
//!
//! Knows how wires, joints and stacks are written, not what is right for them.

use std::collections::BTreeMap;

use model::{Change, Look, Was, WireEnd};
use record::wire_pieces;

use crate::pieces::with_pieces;

/// The values of a record by their paths, read once for all that is proposed.
#[derive(Clone, Debug)]
pub struct Values<'t> {
    text: &'t str,
    of: BTreeMap<Vec<String>, String>,
}

impl<'t> Values<'t> {
    /// Those of a record's text.
    pub fn of(text: &'t str) -> Values<'t> {
        let values = record::values(text).into_iter();
        let keys = |path: String| record::split_path(&path).unwrap_or_default();
        Values { text, of: values.map(|(path, value)| (keys(path), value)).collect() }
    }

    /// What stands at a path; nothing for a table.
    pub(crate) fn get(&self, path: &[&str]) -> Option<&String> {
        self.of.get(&owned(path))
    }

    /// What stands below a path.
    fn below<'v>(
        &'v self,
        path: &[&str],
    ) -> impl Iterator<Item = (&'v Vec<String>, &'v String)> + use<'v, 't> {
        let from = owned(path);
        let depth = from.len();
        let of = self.of.range(from.clone()..);
        of.take_while(move |(keys, _)| keys.len() >= depth && keys[..depth] == from[..])
    }
}

fn owned(path: &[&str]) -> Vec<String> {
    path.iter().map(|key| (*key).to_owned()).collect()
}

/// How a thing of a section is written.
enum Form {
    Line(String),
    Fields,
}

/// Changes in the making. The first step that has no place ends it; the others then do nothing.
#[derive(Clone, Debug)]
pub(crate) struct Patch<'t> {
    values: &'t Values<'t>,
    /// What is otherwise by now; nothing: taken out.
    now: BTreeMap<Vec<String>, Option<String>>,
    touched: Vec<Vec<String>>,
    fault: Option<String>,
}

impl<'t> Patch<'t> {
    pub(crate) fn of(values: &'t Values<'t>) -> Patch<'t> {
        Patch { values, now: BTreeMap::new(), touched: Vec::new(), fault: None }
    }

    /// What stands at a path now.
    pub(crate) fn value(&self, path: &[&str]) -> Option<String> {
        match self.now.get(&owned(path)) {
            Some(now) => now.clone(),
            None => self.values.get(path).cloned(),
        }
    }

    /// Whether a section has a thing of a name.
    pub(crate) fn has(&self, section: &str, name: &str) -> bool {
        match self.now.get(&owned(&[section, name])) {
            Some(now) => now.is_some(),
            None => self.values.below(&[section, name]).next().is_some(),
        }
    }

    fn form(&self, section: &str, name: &str) -> Option<Form> {
        match self.value(&[section, name]) {
            Some(line) => Some(Form::Line(line)),
            None => self.has(section, name).then_some(Form::Fields),
        }
    }

    pub(crate) fn set(&mut self, path: &[&str], is: &str) {
        self.step(path, Some(is.to_owned()));
    }

    pub(crate) fn remove(&mut self, path: &[&str]) {
        let is_there = match self.now.get(&owned(path)) {
            Some(now) => now.is_some(),
            None => self.values.below(path).next().is_some(),
        };
        if is_there {
            self.step(path, None);
        }
    }

    /// It cannot be written, for a reason.
    pub(crate) fn refuse(&mut self, why: impl Into<String>) {
        self.fault.get_or_insert(why.into());
    }

    fn step(&mut self, path: &[&str], is: Option<String>) {
        if self.fault.is_some() {
            return;
        }
        let path = owned(path);
        if !self.touched.contains(&path) {
            self.touched.push(path.clone());
        }
        self.now.insert(path, is);
    }

    /// What has changed since the beginning.
    pub(crate) fn finish(self) -> Result<Vec<Change>, String> {
        if let Some(why) = self.fault {
            return Err(why);
        }
        let Patch { values, mut now, touched, .. } = self;
        let changes = touched.into_iter().filter_map(|path| {
            let keys: Vec<&str> = path.iter().map(String::as_str).collect();
            let is = now.remove(&path).flatten();
            // A whole table has no value of its own here: its text does.
            let was = values.get(&keys).cloned().or_else(|| {
                values.below(&keys).next().and_then(|_| record::value(values.text, &keys))
            });
            let was_there = was.clone().map_or(Was::Nothing, Was::Value);
            (was != is).then_some(Change { path, was: was_there, is })
        });
        Ok(changes.collect())
    }

    /// Names in a section with what is written of each in one line.
    fn lines(&self, section: &str) -> Vec<(String, String)> {
        let path = [section];
        let written = self.values.below(&path).filter(|(keys, _)| keys.len() == 2);
        let written = written.map(|(keys, line)| (keys[1].clone(), line.clone()));
        let mut lines: BTreeMap<String, String> = written.collect();
        for (keys, now) in self.now.iter().filter(|(keys, _)| keys.len() == 2) {
            if keys[0] != section {
                continue;
            }
            match now {
                Some(line) => lines.insert(keys[1].clone(), line.clone()),
                None => lines.remove(&keys[1]),
            };
        }
        lines.into_iter().collect()
    }

    /// The name under which a wire stands: its own, or that of the cable it is a core of.
    pub(crate) fn wire_key(&self, wire: &str) -> Option<String> {
        let cable = wire.split('/').next().unwrap_or(wire);
        [wire, cable].into_iter().find(|name| self.has("wires", name)).map(str::to_owned)
    }

    /// Puts a piece (`size`, `core`, `insulation`, `length`) into a wire, in the place of what it said.
    pub(crate) fn set_wire_piece(&mut self, wire: &str, key: &str, is: &str) {
        let Some(name) = self.wire_key(wire) else {
            return self.refuse(format!("wire {wire} stands nowhere in the record"));
        };
        match self.form("wires", &name) {
            Some(Form::Line(line)) => {
                let line = with_piece(&line, key, is);
                self.set(&["wires", &name], &line);
            }
            Some(Form::Fields) => self.set(&["wires", &name, key], is),
            None => {}
        }
    }

    /// Lets an end of a wire land elsewhere.
    pub(crate) fn set_wire_end(&mut self, wire: &str, end: WireEnd, terminal: &str) {
        let Some(name) = self.wire_key(wire).filter(|name| name == wire) else {
            return self
                .refuse(format!("{wire} is one core of a cable: its end cannot be moved alone"));
        };
        match self.form("wires", &name) {
            Some(Form::Line(line)) => {
                let (way, rest) = line.split_at(line.find(',').unwrap_or(line.len()));
                let Some((from, to)) = way.split_once(" to ") else { return };
                let (from, to) = match end {
                    WireEnd::From => (terminal, to.trim()),
                    WireEnd::To => (from.trim(), terminal),
                };
                let line = format!("{from} to {to}{rest}");
                self.set(&["wires", &name], &line);
            }
            Some(Form::Fields) => {
                let key = if end == WireEnd::From { "from" } else { "to" };
                self.set(&["wires", &name, key], terminal);
            }
            None => {}
        }
    }

    /// The line that says something of a joint itself, not of all at a device.
    pub(crate) fn joint_key(&self, wire: &str, terminal: &str) -> Option<String> {
        let device = terminal.split('.').next().unwrap_or(terminal);
        let cable = wire.split('/').next().unwrap_or(wire);
        let names = [(wire, terminal), (cable, terminal), (wire, device), (cable, device)];
        let keys = names.map(|(wire, at)| format!("{wire} at {at}"));
        keys.into_iter().find(|key| self.has("joints", key))
    }

    /// The lugs and washers on a terminal, if they are written.
    pub(crate) fn stack(&self, terminal: &str) -> Option<Vec<String>> {
        let words = self.value(&["stacks", terminal])?;
        Some(words.split(',').map(|layer| layer.trim().to_owned()).collect())
    }

    /// Puts one lug in the place of another in the stack on a terminal; without another it goes.
    pub(crate) fn swap_lug(&mut self, terminal: &str, wire: &str, other: Option<&str>) {
        let Some(layers) = self.stack(terminal) else { return };
        let swapped = layers.iter().filter_map(|layer| match (layer == wire, other) {
            (true, other) => other,
            (false, _) => Some(layer.as_str()),
        });
        let words = swapped.collect::<Vec<_>>().join(", ");
        self.set(&["stacks", terminal], &words);
    }

    /// Puts a lug onto the metal of a terminal whose stack is written, under everything else.
    pub(crate) fn add_lug(&mut self, terminal: &str, wire: &str) {
        let Some(mut layers) = self.stack(terminal) else { return };
        layers.insert(1.min(layers.len()), wire.to_owned());
        self.set(&["stacks", terminal], &layers.join(", "));
    }

    /// Lets a wire say of its way what it should, in the place of what it said and of these figures.
    pub(crate) fn see_wire(&mut self, wire: &str, look: Look, figures: &[&str]) {
        let Some(name) = self.wire_key(wire) else {
            return self.refuse(format!("wire {wire} stands nowhere in the record"));
        };
        let (good, bad) = (look.words().good, look.words().bad);
        let new = [good.to_owned()];
        match self.form("wires", &name) {
            Some(Form::Line(line)) => {
                let gone = |said: &str| {
                    said == good || said == bad || figures.iter().any(|key| is_figure(said, key))
                };
                let line = with_pieces(&line, 1, gone, &new);
                self.set(&["wires", &name], &line);
            }
            Some(Form::Fields) => {
                let looks = self.value(&["wires", &name, "looks"]).unwrap_or_default();
                let looks = with_pieces(&looks, 0, |said| said == good || said == bad, &new);
                self.set(&["wires", &name, "looks"], &looks);
                for key in figures {
                    self.remove(&["wires", &name, key]);
                }
            }
            None => {}
        }
    }

    /// Puts a figure of a wire's way (`bend 50 mm`) in the place of what it said.
    pub(crate) fn set_wire_figure(&mut self, wire: &str, key: &str, words: &str, is: &str) {
        let Some(name) = self.wire_key(wire) else {
            return self.refuse(format!("wire {wire} stands nowhere in the record"));
        };
        match self.form("wires", &name) {
            Some(Form::Line(line)) => {
                let new = [format!("{words} {is}")];
                let line = with_pieces(&line, 1, |said| is_figure(said, key), &new);
                self.set(&["wires", &name], &line);
            }
            Some(Form::Fields) => self.set(&["wires", &name, key], is),
            None => {}
        }
    }

    /// Lets a wire or cable be sheathed all the way.
    pub(crate) fn set_sheathed(&mut self, wire: &str) {
        const WORDS: [&str; 5] = ["sheathed", "in conduit", "enclosed", "loose", "unsheathed"];
        let Some(name) = self.wire_key(wire) else {
            return self.refuse(format!("wire {wire} stands nowhere in the record"));
        };
        match self.form("wires", &name) {
            Some(Form::Line(line)) => {
                let new = ["sheathed".to_owned()];
                let line = with_pieces(&line, 1, |said| WORDS.contains(&said), &new);
                self.set(&["wires", &name], &line);
            }
            Some(Form::Fields) => self.set(&["wires", &name, "sheathed"], "true"),
            None => {}
        }
    }

    /// Lets a joint say something in the place of all that `gone` names.
    pub(crate) fn see_joint(&mut self, key: &str, gone: impl Fn(&str) -> bool, new: &[String]) {
        let words = self.value(&["joints", key]).unwrap_or_default();
        let words = with_pieces(&words, 0, gone, new);
        self.set(&["joints", key], &words);
    }

    /// What is said of the joints of some wires is said of another as well.
    pub(crate) fn copy_joints(&mut self, from: &[&str], to: &str) {
        for (key, words) in self.lines("joints") {
            let Some((wire, at)) = key.split_once(" at ") else { continue };
            if from.contains(&wire) {
                self.set(&["joints", &format!("{to} at {at}")], &words);
            }
        }
    }

    /// Whether anything that was noticed, read or photographed names a thing.
    pub(crate) fn is_spoken_of(&self, name: &str) -> bool {
        let is_mark = |c: char| !c.is_alphanumeric() && !matches!(c, '-' | '_');
        let names = |words: &String| words.split(is_mark).any(|word| word == name);
        let said = ["symptoms", "readings", "photos", "history"];
        said.iter().any(|section| self.values.below(&[section]).any(|(_, words)| names(words)))
    }

    /// Nothing is said any more of the joints of a cable and its cores.
    pub(crate) fn remove_joints(&mut self, cable: &str) {
        for (key, _) in self.lines("joints") {
            let wire = key.split_once(" at ").map_or("", |(wire, _)| wire);
            if wire.strip_suffix(['+', '-']).unwrap_or(wire) == cable {
                self.remove(&["joints", &key]);
            }
        }
    }

    /// Lets a device say of its looks what it should.
    pub(crate) fn see_device(&mut self, device: &str, look: Look) {
        let path = ["devices", device, "looks"];
        let (good, bad) = (look.words().good, look.words().bad);
        let looks = self.value(&path).unwrap_or_default();
        let new = [good.to_owned()];
        let looks = with_pieces(&looks, 0, |said| said == good || said == bad, &new);
        self.set(&path, &looks);
    }

    /// Lets a cable or a wire begin or end elsewhere, as its line says it (`unit.out`).
    pub(crate) fn set_cable_end(&mut self, cable: &str, end: WireEnd, landing: &str) {
        let Some(name) = self.wire_key(cable) else {
            return self.refuse(format!("wire {cable} stands nowhere in the record"));
        };
        self.set_wire_end(&name, end, landing);
    }

    /// Where a cable or wire begins and ends, as its line says it.
    pub(crate) fn cable_ends(&self, cable: &str) -> Option<[String; 2]> {
        let name = self.wire_key(cable)?;
        match self.form("wires", &name)? {
            Form::Line(line) => {
                let way = line.split(',').next()?;
                let (from, to) = way.split_once(" to ")?;
                Some([from.trim().to_owned(), to.trim().to_owned()])
            }
            Form::Fields => {
                let of = |key| self.value(&["wires", &name, key]);
                Some([of("from")?, of("to")?])
            }
        }
    }

    /// Takes a wire out, with what is said of its joints and its lugs.
    pub(crate) fn take_out_wire(&mut self, wire: &str, terminals: &[String]) {
        if !self.has("wires", wire) {
            return self.refuse(format!("{wire} is one core of a cable: it cannot go alone"));
        }
        for terminal in terminals {
            if let Some(key) = self.joint_key(wire, terminal) {
                self.remove(&["joints", &key]);
            }
            self.swap_lug(terminal, wire, None);
        }
        self.remove(&["wires", wire]);
    }

    /// A name that is free in a section.
    pub(crate) fn free_name(&self, section: &str, wanted: &str) -> String {
        let wanted = &wanted.replace('+', "-plus").replace('/', "-");
        let numbered = (2..).map(|number| format!("{wanted}-{number}"));
        let mut names = std::iter::once(wanted.clone()).chain(numbered);
        names.find(|name| !self.has(section, name)).unwrap_or_else(|| wanted.clone())
    }
}

/// Whether a piece is the figure of a field of wires.
fn is_figure(said: &str, key: &str) -> bool {
    match key {
        "held_every" => said.starts_with("held every "),
        "bend" => said.starts_with("bend "),
        "hottest" => said.starts_with("hottest "),
        "from_mains" => said.ends_with(" from mains"),
        _ => false,
    }
}

/// A wire line that says something else of a piece, or says it for the first time.
fn with_piece(line: &str, key: &str, is: &str) -> String {
    match wire_pieces(line).into_iter().find(|piece| piece.key == key) {
        Some(piece) => {
            // `3 x 2.5 mm2` stays a cable of three.
            let cores = piece.is.rsplit_once(" x ").map_or("", |(cores, _)| cores);
            let cores = cores.rsplit(' ').next().filter(|count| !count.is_empty());
            let cores = cores.map_or_else(String::new, |count| format!("{count} x "));
            format!("{}{cores}{is}{}", piece.before, piece.after)
        }
        None => format!("{line}, {is}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_piece_of_a_wire_line_changes_and_the_rest_stays() {
        let line = "box.3 to pump.+, told 3 x 1.5 mm2 by the owner, red, measured 4 m, sheathed";
        let size = "box.3 to pump.+, 3 x 4 mm2, red, measured 4 m, sheathed";
        assert_eq!(with_piece(line, "size", "4 mm2"), size);
        assert_eq!(with_piece("a to b, 4 mm2", "core", "fine"), "a to b, 4 mm2, fine");
    }

    #[test]
    fn ends_stacks_and_names_follow_a_moved_wire() {
        let text = "[devices]\nbar = { kind = \"busbar\" }\n[wires]\nw1 = \"a.- to b, 6 mm2\"\n[stacks]\nb = \"post, w1, w2, nut\"\n";
        let values = Values::of(text);
        let mut patch = Patch::of(&values);
        patch.set_wire_end("w1", WireEnd::To, "bar");
        patch.swap_lug("b", "w1", None);
        assert_eq!(patch.free_name("devices", "bar"), "bar-2");
        let changes = patch.finish().unwrap();
        let is: Vec<Option<&str>> = changes.iter().map(|change| change.is.as_deref()).collect();
        assert_eq!(is, [Some("a.- to bar, 6 mm2"), Some("post, w2, nut")]);
    }

    #[test]
    fn what_ends_as_it_was_is_no_change() {
        let text = "[wires]\nw1 = \"a.- to b, 6 mm2\"\n";
        let values = Values::of(text);
        let mut patch = Patch::of(&values);
        patch.set_wire_piece("w1", "size", "10 mm2");
        patch.set_wire_piece("w1", "size", "6 mm2");
        assert_eq!(patch.finish(), Ok(Vec::new()));
    }
}
