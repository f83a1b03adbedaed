//! Devices: kind, terminals, facts; and references to terminals.

use std::collections::BTreeMap;

use catalog::{Kind, OwnCell, Usual};
use diag::{Diagnostic, Span};
use model::{
    Attribute, BodyMetal, Bond, Chemistry, Device, DeviceId, Fact, FuseWay, LookedAt, Looks, Place,
    Pole, Role, Service, Terminal, TerminalId,
};
use units::{Ampere, Dimension, Ohm};

use crate::fact_text::{Stated, stated};
use crate::fields;
use crate::names;
use crate::possible::Must;
use crate::reader::Reader;
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
            let (held, more) = (self.vehicle.terminals.len(), kind.terminals.len() + MAX_WAYS);
            if !self.has_room(held, more, "terminals", line.key.span()) {
                return;
            }
            let id = self.vehicle.devices.next_id();
            self.index.devices.insert(name.to_owned(), id);
            self.sources.set(Place::Device(id), line.key.span());
            let device = self.device(id, name, kind_name, &kind, &table);
            if let Some(value) = table.get("behind") {
                self.sources.set_field(Place::Device(id), "behind", value.span());
            }
            for terminal in &device.terminals {
                self.sources.set(Place::Terminal(*terminal), line.key.span());
            }
            self.vehicle.devices.push(device);
        }
        self.lone_battery();
    }

    /// The only house battery of a vehicle is a block of the vehicle's voltage; several may be in
    /// series, so they keep the usual block unless they say otherwise.
    fn lone_battery(&mut self) {
        let Some(nominal) = self.vehicle.nominal.value().copied() else { return };
        let of_house = |device: &Device| device.role == Role::Battery && !device.base_vehicle;
        let house: Vec<DeviceId> = self
            .vehicle
            .devices
            .iter()
            .filter(|(_, device)| of_house(device))
            .map(|(id, _)| id)
            .collect();
        let [only] = house.as_slice() else { return };
        let attributes = &mut self.vehicle.devices[*only].attributes;
        if attributes.get(&Attribute::Nominal).is_some_and(Fact::is_assumed) {
            let why = format!("the only house battery of a {nominal} vehicle");
            attributes.insert(Attribute::Nominal, Fact::assumed(nominal.si(), why));
        }
    }

    fn kind(&mut self, table: &Table<'_>, line: &Entry<'_>) -> Option<(String, Kind)> {
        let Some(value) = table.get("kind") else {
            if !self.faults.is_broken(line.value.span()) {
                self.report(
                    Diagnostic::error(
                        "missing-field",
                        format!("the device `{}` says no kind", line.key.text),
                        line.key.span(),
                    )
                    .help("write for example `kind = \"led lights\"`; `kind = \"other\"` if none fits"),
                );
            }
            return None;
        };
        let words = self.text_of(value)?;
        let catalog = self.catalog;
        if let Some(kind) = catalog.kinds.get(words.text) {
            return Some((words.text.to_owned(), kind.clone()));
        }
        let fault = Diagnostic::error(
            "unknown-kind",
            format!("there is no kind of device called `{}`", names::shown(words.text)),
            words.span(),
        );
        let known = catalog.kinds.iter().map(|(name, _)| name);
        let otherwise = "`unbury kinds` lists every kind; `kind = \"other\"` if none fits";
        self.faults.suggest(fault, words.text, known, otherwise);
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
            let (name, pole) = (terminal.clone(), *pole);
            let terminal = Terminal { device: id, name, pole, wires: Vec::new() };
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
            service: self.service(kind, table),
            has_cable_entries: kind.cable_entries,
            critical: kind.critical,
            is_chassis: kind.chassis,
            exempt_cable: kind.exempt_cable,
            base_vehicle: kind.base_vehicle,
            own_cell: self.own_cell(kind, table),
            high_voltage: kind.high_voltage,
            restraint_system: kind.restraint_system,
            place_words: text(self, "at").unwrap_or_default(),
            space: self.space(table.get("box"), Place::Device(id)),
            gas: kind.gas,
            looks: table
                .get("looks")
                .map_or_else(Looks::default, |value| self.looks(value, LookedAt::Device)),
            on: table.get("on").map_or_else(BodyMetal::default, |value| self.body_metal(value)),
        }
    }

    /// What the record says of a cell inside, else what is usual for the kind.
    fn own_cell(&mut self, kind: &Kind, table: &Table<'_>) -> Fact<bool> {
        if let Some(written) = table.get("own_cell").and_then(|value| self.yes_no(value)) {
            return Fact::known(written, self.bare.clone());
        }
        match kind.own_cell {
            OwnCell::Usual => Fact::assumed(true, "usual for its kind"),
            OwnCell::Unusual => Fact::assumed(false, "unusual for its kind"),
            OwnCell::Perhaps => Fact::Unknown,
        }
    }

    fn attributes(&mut self, kind: &Kind, table: &Table<'_>) -> BTreeMap<Attribute, Fact<f64>> {
        let mut attributes = BTreeMap::new();
        for (attribute, usual) in &kind.usual {
            attributes.insert(*attribute, self.usual_value(*attribute, usual));
        }
        let mut written = BTreeMap::new();
        for (attribute, key, dimension) in Attribute::ALL {
            if let Some(value) = table.get(key) {
                let fact = self.quantity(value, dimension);
                let must = Must::of(attribute, kind.role);
                let fact = self.possible(key, fact, must, value.span());
                if let Some(number) = fact.value() {
                    written.insert(attribute, (*number, value.span()));
                    attributes.insert(attribute, fact);
                }
            }
        }
        self.agree(&written);
        attributes
    }

    /// Numbers that cannot all be right.
    fn agree(&mut self, written: &BTreeMap<Attribute, (f64, Span)>) {
        let get = |attribute| written.get(&attribute).copied();
        if let (Some((off_v, _)), Some((on_v, span))) =
            (get(Attribute::CutOut), get(Attribute::Restart))
            && on_v < off_v
        {
            self.report(
                Diagnostic::error(
                    "impossible-value",
                    "`restart` lies below `cut_out`: it would switch on where it switches off",
                    span,
                )
                .help("`cut_out` is the lower of the two; look whether they are swapped"),
            );
        }
        if let (Some((watt, span)), Some((ampere, _)), Some((volt, _))) =
            (get(Attribute::Power), get(Attribute::ShortCurrent), get(Attribute::OpenVoltage))
            && watt >= ampere * volt
        {
            self.report(
                Diagnostic::error(
                    "impossible-value",
                    "no module gives as much as `isc` times `voc`",
                    span,
                )
                .help("the label says less power than that: look again"),
            );
        }
    }

    /// A usual value. The catalog writes thresholds and set points for 12 V; a vehicle of another
    /// nominal voltage gets them in proportion.
    fn usual_value(&self, attribute: Attribute, usual: &Usual) -> Fact<f64> {
        let written_for = self.catalog.stand_ins.nominal.si();
        let nominal = self.vehicle.nominal.value().map_or(written_for, |volt| volt.si());
        let scale = nominal / written_for;
        if !attribute.follows_nominal() || (scale - 1.0).abs() < 1e-9 {
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
        let items = value.items().unwrap_or_else(|| vec![*value]);
        if let Some(first_over) = items.get(MAX_WAYS) {
            let message = format!("a fuse box has at most {MAX_WAYS} ways here");
            self.report(
                Diagnostic::error("too-many", message, first_over.span())
                    .help("write the ways from here on as a second fuse box"),
            );
        }
        let mut ways = Vec::new();
        for (index, item) in items.iter().take(MAX_WAYS).enumerate() {
            let name = (index + 1).to_string();
            let terminal = Terminal { device, name, pole: Pole::Plus, wires: Vec::new() };
            let terminal = self.vehicle.terminals.push(terminal);
            terminals.push(terminal);
            // A way that cannot be read keeps its place, or every later one would move.
            ways.push(match self.text_of(item) {
                Some(words) => self.way(terminal, words.trim()),
                None => unread_way(terminal, ""),
            });
        }
        ways
    }

    /// `15 A fridge`, `told 10 A pump`, `unknown fan`, `empty`.
    fn way(&mut self, terminal: TerminalId, words: Words<'_>) -> FuseWay {
        if words.text == "empty" {
            return unread_way(terminal, "empty");
        }
        if let Some(label) = words.strip_word("unknown") {
            return unread_way(terminal, label.text);
        }
        let bare = self.bare.clone();
        let Some(Stated { value, origin, .. }) = stated(words, &bare) else {
            return unread_way(terminal, "");
        };
        let cut = end_of_ampere(value.text);
        let rating = value.slice(0, cut).trim();
        let label = value.slice(cut, value.text.len()).trim();
        let Some(ampere) = self.number(rating, Dimension::Current) else {
            return unread_way(terminal, label.text);
        };
        let fact = Fact::known(ampere, origin);
        let fact = self.possible("rating", fact, Must::AboveZero, rating.span());
        let rated = fact.map(|ampere| Ampere::from_si(*ampere));
        let usual = rated.value().and_then(|rated| self.catalog.curves.blade_fuse(*rated));
        FuseWay {
            terminal,
            rated,
            label: label.text.to_owned(),
            ohm: usual.map_or(Fact::Unknown, |ohm| Fact::assumed(Ohm::from_si(ohm.si()), FUSE_WHY)),
        }
    }

    /// The service its kind wants, as often as written, else as usual; `4 a year`.
    fn service(&mut self, kind: &Kind, table: &Table<'_>) -> Option<Service> {
        let usual = kind.service.as_ref();
        let what = usual.map_or("service", |(what, _)| what.as_str()).to_owned();
        let Some(value) = table.get("serviced") else {
            let (_, per_year) = usual?;
            return Some(Service {
                what,
                per_year: Fact::assumed(*per_year, "usual for its kind"),
            });
        };
        let words = self.text_of(value)?;
        let bare = self.bare.clone();
        let Some(Stated { value: words, origin, .. }) = stated(words, &bare) else {
            return Some(Service { what, per_year: Fact::Unknown });
        };
        let times =
            words.text.strip_suffix("a year").map(|times| words.slice(0, times.len()).trim());
        let per_year = times.and_then(|times| self.number(times, Dimension::Number));
        if times.is_none() || per_year.is_some_and(|times| times < 0.0) {
            let message = "how often in a year cannot be read here";
            self.report(
                Diagnostic::error("serviced", message, words.span())
                    .help("write `4 a year`, `told 0.5 a year by the owner`, or `unknown`"),
            );
            return Some(Service { what, per_year: Fact::Unknown });
        }
        let per_year = per_year.map_or(Fact::Unknown, |times| Fact::known(times, origin));
        Some(Service { what, per_year })
    }

    /// A device by name.
    pub(crate) fn device_named(&mut self, words: Words<'_>) -> Option<DeviceId> {
        if let Some(id) = self.index.devices.get(words.text) {
            return Some(*id);
        }
        let fault = Diagnostic::error(
            "unknown-device",
            format!("there is no device `{}`", names::shown(words.text)),
            words.span(),
        );
        let known = self.index.devices.keys().map(String::as_str);
        self.faults.suggest(fault, words.text, known, "write it under `[devices]`");
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
        if terminal.text.is_empty() {
            let message = format!("say which terminal of `{}`", device.name);
            let few = known.iter().take(12).cloned().collect::<Vec<_>>().join(", ");
            let fault = Diagnostic::error("unknown-terminal", message, words.span());
            self.report(fault.help(if few.is_empty() {
                "it has none".to_owned()
            } else {
                format!("it has {few}")
            }));
            return None;
        }
        let fault = Diagnostic::error(
            "unknown-terminal",
            format!(
                "`{}` ({}) has no terminal `{}`",
                device.name,
                device.kind,
                names::shown(terminal.text)
            ),
            terminal.span(),
        );
        let full = format!("{}.{}", device.name, terminal.text);
        let known = known.iter().map(String::as_str);
        self.faults.suggest(fault, &full, known, "`unbury kinds` lists the terminals of its kind");
        None
    }
}

/// A way of which nothing but perhaps the label is known.
fn unread_way(terminal: TerminalId, label: &str) -> FuseWay {
    FuseWay { terminal, rated: Fact::Unknown, label: label.to_owned(), ohm: Fact::Unknown }
}

/// Where the rating at the start of a way ends: behind the first `A` that ends a word.
fn end_of_ampere(text: &str) -> usize {
    text.char_indices()
        .find(|(at, letter)| {
            matches!(letter, 'A' | 'a')
                && text[at + 1..].chars().next().is_none_or(char::is_whitespace)
        })
        .map_or(text.len(), |(at, _)| at + 1)
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
        "centre tap" => Some(Bond::CentreTap),
        _ => None,
    }
}
