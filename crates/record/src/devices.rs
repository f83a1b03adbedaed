//! Devices: kind, terminals, facts; and references to terminals.

use std::collections::BTreeMap;

use catalog::{Kind, Usual};
use diag::Diagnostic;
use model::{
    Attribute, Bond, Chemistry, Device, DeviceId, Fact, FuseWay, Mounting, Place, Pole, Role,
    Service, Terminal, TerminalId,
};
use units::{Ampere, Dimension, Ohm};

use crate::fact_text::{Stated, stated};
use crate::fields;
use crate::names;
use crate::reader::{Reader, has_room};
use crate::text::Words;
use crate::tree::{Entry, Value};

/// Most ways of one fuse box.
const MAX_WAYS: usize = 64;

type Table<'t> = BTreeMap<&'static str, Value<'t>>;

impl Reader<'_> {
    pub(crate) fn devices(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let Some(table) = self.table(&line.value, &fields::device(), "a device") else {
                continue;
            };
            let Some((kind_name, kind)) = self.kind(&table, line) else { continue };
            if !has_room(&self.vehicle.terminals) {
                return;
            }
            let id = self.vehicle.devices.next_id();
            self.index.devices.insert(name.to_owned(), id);
            self.sources.set(Place::Device(id), line.key.span());
            let device = self.device(id, name, kind_name, &kind, &table);
            for terminal in &device.terminals {
                self.sources.set(Place::Terminal(*terminal), line.key.span());
            }
            self.vehicle.devices.push(device);
        }
    }

    fn kind(&mut self, table: &Table<'_>, line: &Entry<'_>) -> Option<(String, Kind)> {
        let Some(value) = table.get("kind") else {
            self.report(
                Diagnostic::error(
                    "missing-field",
                    format!("the device `{}` says no kind", line.key.text),
                    line.key.span(),
                )
                .help("write for example `kind = \"led lights\"`; `kind = \"other\"` if none fits"),
            );
            return None;
        };
        let words = self.text_of(value)?;
        let catalog = self.catalog;
        if let Some(kind) = catalog.kinds.get(words.text) {
            return Some((words.text.to_owned(), kind.clone()));
        }
        let fault = Diagnostic::error(
            "unknown-kind",
            format!("there is no kind of device called `{}`", words.text.escape_debug()),
            words.span(),
        );
        let known = catalog.kinds.iter().map(|(name, _)| name);
        let fault = names::suggest(fault, words.text, known, "");
        self.report(fault.help("`unbury kinds` lists every kind with its terminals"));
        None
    }

    fn device(
        &mut self,
        id: DeviceId,
        name: &str,
        kind_name: String,
        kind: &Kind,
        table: &Table<'_>,
    ) -> Device {
        let mut terminals: Vec<TerminalId> = Vec::new();
        for (terminal, pole) in &kind.terminals {
            let terminal = Terminal { device: id, name: terminal.clone(), pole: *pole };
            terminals.push(self.vehicle.terminals.push(terminal));
        }
        let text = |reader: &mut Self, key: &str| {
            table
                .get(key)
                .and_then(|value| reader.text_of(value))
                .map(|words| words.text.to_owned())
        };
        let mut attributes = self.attributes(kind, table);
        let ways = self.ways(id, kind.role, table, &mut terminals);
        self.usual_fuse_resistance(&kind_name, &mut attributes);
        Device {
            name: name.to_owned(),
            label: text(self, "label").unwrap_or_else(|| name.replace('-', " ")),
            kind: kind_name,
            role: kind.role,
            terminals,
            attributes,
            chemistry: match table.get("chemistry") {
                Some(value) => self.choice(value, fields::CHEMISTRIES, chemistry),
                None => kind.chemistry.map_or(Fact::Unknown, |c| Fact::known(c, self.bare.clone())),
            },
            bond: table.get("bond").map_or(Fact::Unknown, |v| self.choice(v, fields::BONDS, bond)),
            ways,
            reach: table.get("behind").map_or(Fact::Unknown, |value| self.reach(value)),
            mounting: table.get("held").and_then(|value| self.mounting(value)),
            service: kind.service.clone().map(|(what, per_year)| Service { what, per_year }),
            has_cable_entries: kind.cable_entries,
            critical: kind.critical,
            is_chassis: kind.chassis,
            exempt_cable: kind.exempt_cable,
            base_vehicle: kind.base_vehicle,
            place_words: text(self, "at").unwrap_or_default(),
        }
    }

    fn attributes(&mut self, kind: &Kind, table: &Table<'_>) -> BTreeMap<Attribute, Fact<f64>> {
        let mut attributes = BTreeMap::new();
        for (attribute, usual) in &kind.usual {
            attributes.insert(*attribute, self.usual_value(*attribute, usual));
        }
        for (attribute, key, dimension) in Attribute::ALL {
            if let Some(value) = table.get(key) {
                let fact = self.quantity(value, dimension);
                if fact.value().is_some_and(|number| *number < 0.0) {
                    self.report(
                        Diagnostic::error(
                            "impossible-value",
                            format!("`{key}` is negative"),
                            value.span(),
                        )
                        .help("leave it out when you do not know it"),
                    );
                } else if !fact.is_unknown() {
                    attributes.insert(attribute, fact);
                }
            }
        }
        attributes
    }

    /// A usual value. The catalog writes thresholds and set points for 12 V; a vehicle of another
    /// nominal voltage gets them in proportion.
    fn usual_value(&self, attribute: Attribute, usual: &Usual) -> Fact<f64> {
        let follows_nominal = matches!(
            attribute,
            Attribute::Regulates | Attribute::CutOut | Attribute::Restart | Attribute::BackEmf
        );
        let written_for = self.catalog.stand_ins.nominal.si();
        let nominal = self.vehicle.nominal.value().map_or(written_for, |volt| volt.si());
        let scale = nominal / written_for;
        if !follows_nominal || (scale - 1.0).abs() < 1e-9 {
            return Fact::assumed(usual.value, usual.why.clone());
        }
        Fact::assumed(usual.value * scale, format!("{}; in proportion to {nominal} V", usual.why))
    }

    /// A blade fuse of known rating has a usual resistance.
    fn usual_fuse_resistance(&self, kind: &str, attributes: &mut BTreeMap<Attribute, Fact<f64>>) {
        if kind != "blade fuse" || attributes.contains_key(&Attribute::Resistance) {
            return;
        }
        let rated = attributes.get(&Attribute::Rated).and_then(|fact| fact.value().copied());
        if let Some(ohm) = rated.and_then(|a| self.catalog.curves.blade_fuse(Ampere::from_si(a))) {
            attributes.insert(Attribute::Resistance, Fact::assumed(ohm.si(), FUSE_WHY));
        }
    }

    fn ways(
        &mut self,
        device: DeviceId,
        role: Role,
        table: &Table<'_>,
        terminals: &mut Vec<TerminalId>,
    ) -> Vec<FuseWay> {
        let Some(value) = table.get("ways") else { return Vec::new() };
        if role != Role::FuseBox {
            self.report(
                Diagnostic::error("wrong-field", "only a fuse box has ways", value.span())
                    .help("for a single fuse write `rated = \"15 A\"`"),
            );
            return Vec::new();
        }
        let lines = self.list_of(value);
        let mut ways = Vec::new();
        for (index, words) in lines.into_iter().take(MAX_WAYS).enumerate() {
            let name = (index + 1).to_string();
            let terminal = Terminal { device, name, pole: Pole::Plus };
            let terminal = self.vehicle.terminals.push(terminal);
            terminals.push(terminal);
            ways.push(self.way(terminal, words));
        }
        ways
    }

    /// `15 A fridge`, `told 10 A pump`, `unknown fan`, `empty`.
    fn way(&mut self, terminal: TerminalId, words: Words<'_>) -> FuseWay {
        let bare = self.bare.clone();
        let empty = FuseWay {
            terminal,
            rated: Fact::Unknown,
            label: words.text.to_owned(),
            ohm: Fact::Unknown,
        };
        if words.text == "empty" || words.text.starts_with("unknown") {
            return empty;
        }
        let Some(Stated { value, origin, .. }) = stated(words, &bare) else { return empty };
        let cut = value.text.find(['A', 'a']).map_or(value.text.len(), |at| at + 1);
        let (rating, label) =
            (value.slice(0, cut).trim(), value.slice(cut, value.text.len()).trim());
        let Some(ampere) = self.number(rating, Dimension::Current) else { return empty };
        let rated = Ampere::from_si(ampere);
        FuseWay {
            terminal,
            rated: Fact::known(rated, origin),
            label: label.text.to_owned(),
            ohm: self
                .catalog
                .curves
                .blade_fuse(rated)
                .map_or(Fact::Unknown, |ohm| Fact::assumed(Ohm::from_si(ohm.si()), FUSE_WHY)),
        }
    }

    /// `strap, 2 screws 4 mm, into 9 mm lining`, `bolted to the floor frame, rated 5000 N`.
    fn mounting(&mut self, value: &Value<'_>) -> Option<Mounting> {
        let words = self.text_of(value)?;
        let mut mounting = Mounting {
            words: words.text.to_owned(),
            screws: Fact::Unknown,
            screw_mm: Fact::Unknown,
            bite_mm: Fact::Unknown,
            into_lining: Fact::Unknown,
            rated_n: Fact::Unknown,
        };
        for piece in words.split(",") {
            let bare = self.bare.clone();
            let Some(Stated { value: piece, origin, .. }) = stated(piece, &bare) else { continue };
            let tokens: Vec<&str> = piece.text.split_whitespace().collect();
            let number = |at: usize| tokens.get(at).and_then(|t| t.parse::<f64>().ok());
            match tokens.as_slice() {
                [_, "screws" | "screw", rest @ ..] => {
                    if let Some(count) = number(0) {
                        mounting.screws = Fact::known(count, origin.clone());
                    }
                    if let (Some(mm), ["mm"]) = (number(2), &rest[rest.len().min(1)..]) {
                        mounting.screw_mm = Fact::known(mm, origin);
                    }
                }
                ["into", _, "mm", "lining"] => {
                    if let Some(mm) = number(1) {
                        mounting.bite_mm = Fact::known(mm, origin.clone());
                    }
                    mounting.into_lining = Fact::known(true, origin);
                }
                ["into", "structure"] => mounting.into_lining = Fact::known(false, origin),
                ["rated", _, "N"] => {
                    if let Some(newton) = number(1) {
                        mounting.rated_n = Fact::known(newton, origin);
                    }
                }
                _ => {}
            }
        }
        Some(mounting)
    }

    /// A device by name.
    pub(crate) fn device_named(&mut self, words: Words<'_>) -> Option<DeviceId> {
        if let Some(id) = self.index.devices.get(words.text) {
            return Some(*id);
        }
        let fault = Diagnostic::error(
            "unknown-device",
            format!("there is no device `{}`", words.text.escape_debug()),
            words.span(),
        );
        let known = self.index.devices.keys().map(String::as_str);
        let fault = names::suggest(fault, words.text, known, "no device is written yet");
        self.report(fault);
        None
    }

    /// Splits `fuse-box.3` into device and terminal name.
    pub(crate) fn device_and_terminal<'t>(
        &mut self,
        words: Words<'t>,
    ) -> Option<(DeviceId, Words<'t>)> {
        let (device, terminal) = match words.split_once(".") {
            Some(pieces) => pieces,
            None => (words, words.slice(words.text.len(), words.text.len())),
        };
        Some((self.device_named(device)?, terminal))
    }

    /// A terminal: `fuse-box.3`, or the device alone if it has one terminal.
    pub(crate) fn terminal_named(&mut self, words: Words<'_>) -> Option<TerminalId> {
        let (device, terminal) = self.device_and_terminal(words)?;
        if let Some(id) = self.vehicle.terminal_of(device, terminal.text) {
            return Some(id);
        }
        let device = &self.vehicle.devices[device];
        let known: Vec<String> =
            device.terminals.iter().map(|id| self.vehicle.terminal_name(*id)).collect();
        let fault = if terminal.text.is_empty() {
            Diagnostic::error(
                "unknown-terminal",
                format!("say which terminal of `{}`", device.name),
                words.span(),
            )
        } else {
            Diagnostic::error(
                "unknown-terminal",
                format!("`{}` ({}) has no terminal `{}`", device.name, device.kind, terminal.text),
                terminal.span(),
            )
        };
        let full = format!("{}.{}", device.name, terminal.text);
        self.report(names::suggest(fault, &full, known.iter().map(String::as_str), "it has none"));
        None
    }
}

const FUSE_WHY: &str = "typical cold resistance of a blade fuse of this rating";

fn chemistry(word: &str) -> Option<Chemistry> {
    match word {
        "lfp" => Some(Chemistry::Lfp),
        "agm" => Some(Chemistry::Agm),
        "gel" => Some(Chemistry::Gel),
        "flooded" => Some(Chemistry::Flooded),
        _ => None,
    }
}

fn bond(word: &str) -> Option<Bond> {
    match word {
        "never" => Some(Bond::Never),
        "while inverting" => Some(Bond::WhileInverting),
        "always" => Some(Bond::Always),
        _ => None,
    }
}
