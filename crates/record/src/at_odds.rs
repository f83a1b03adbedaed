//! States that contradict themselves: reported, and read as what conducts or feeds more.

use std::collections::BTreeMap;

use diag::Diagnostic;
use model::{DeviceId, Engine, State};

use crate::reader::Reader;
use crate::tree::Value;

impl Reader<'_> {
    /// Whatever a state says twice, and not alike: named, and taken as live.
    pub(crate) fn settle_odds(
        &mut self,
        table: &BTreeMap<&'static str, Value<'_>>,
        state: &mut State,
    ) {
        self.engine_at_odds(table, state);
        self.contacts_at_odds(table, state);
        self.motors_at_odds(table, state);
    }

    /// An alternator that is told something turns.
    fn engine_at_odds(&mut self, table: &BTreeMap<&'static str, Value<'_>>, state: &mut State) {
        let told = ["engine_speed", "commanded"];
        let told = told.into_iter().find_map(|field| Some((field, table.get(field)?)));
        let (Some((field, value)), Engine::Off) = (told, state.engine) else { return };
        self.at_odds(
            format!("state `{}` has `{field}`, but its engine is off", state.name),
            value,
            "it is taken as running: write `engine = \"running\"`, or leave this out",
        );
        state.engine = Engine::Running;
    }

    /// A contact that is on conducts.
    fn contacts_at_odds(&mut self, table: &BTreeMap<&'static str, Value<'_>>, state: &mut State) {
        let Some(value) = table.get("open") else { return };
        let both = state.open.iter().copied().filter(|id| state.on.contains(id)).collect();
        let Some(names) = self.named(both) else { return };
        self.at_odds(
            format!("state `{}` has {names} on, and open", state.name),
            value,
            "it is taken to conduct: leave it out of `on` or of `open`",
        );
        state.open.retain(|id| !state.on.contains(id));
    }

    /// A motor that is held fast is on.
    fn motors_at_odds(&mut self, table: &BTreeMap<&'static str, Value<'_>>, state: &mut State) {
        let Some(value) = table.get("stalled") else { return };
        let off: Vec<DeviceId> =
            state.stalled.iter().copied().filter(|id| !state.on.contains(id)).collect();
        let Some(names) = self.named(off.clone()) else { return };
        self.at_odds(
            format!("state `{}` has {names} held fast, but not on", state.name),
            value,
            "it is taken to be on: put it under `on`, or leave it out of `stalled`",
        );
        state.on.extend(off);
        state.on.sort_unstable();
    }

    fn at_odds(&mut self, message: String, value: &Value<'_>, help: &str) {
        self.report(Diagnostic::warning("state-at-odds", message, value.span()).help(help));
    }

    fn named(&self, ids: Vec<DeviceId>) -> Option<String> {
        let name = |id: DeviceId| format!("`{}`", self.vehicle.devices[id].name);
        let names: Vec<String> = ids.into_iter().map(name).collect();
        (!names.is_empty()).then(|| names.join(", "))
    }
}
