//! Batteries: rest voltage behind a resistance, and the protection board of the lithium ones.

use circuit::{BranchId, Element, Guard, GuardId, NodeId, Sense, Trip};
use model::{Attribute, DeviceId};

use crate::build::{Builder, Group};
use crate::graph::{Item, Passage};

/// Where a board sits: between the cells and the post.
struct Board {
    cells: NodeId,
    post: NodeId,
    minus: NodeId,
    /// The branch of the cells.
    sense: BranchId,
    ohm: f64,
}

impl Builder<'_> {
    pub(crate) fn battery(&mut self, id: DeviceId) {
        let Some(pair) = self.poles(id) else { return };
        let rest_v = self.rest_v(id);
        let whole_ohm = self.battery_ohm(id);
        let board_ohm =
            if self.has_board(id) { whole_ohm * self.catalog.machines.board_share } else { 0.0 };
        let discharge_ohm = whole_ohm - board_ohm;
        let post = pair.plus_node;
        let cells = if board_ohm > 0.0 {
            let name = format!("{} cells", self.name(id));
            self.network.circuit.add_node(name)
        } else {
            post
        };
        let element = Element::Battery {
            plus: cells,
            minus: pair.minus_node,
            rest_v,
            discharge_ohm,
            charge_ohm: self.charge_ohm(id, rest_v, discharge_ohm),
        };
        let branch = self.network.circuit.add(self.name(id).to_owned(), element);
        if board_ohm > 0.0 {
            let minus = pair.minus_node;
            self.board(id, &Board { cells, post, minus, sense: branch, ohm: board_ohm });
        }
        self.pass(id, pair.plus, pair.minus, Passage::Source);
        self.port(id, Group::Source, pair, branch, None);
        self.ground_case(id, pair);
    }

    /// Resistance to discharge. A usual one is meant at 20 °C and grows in the cold; a recorded one
    /// is taken as it stands.
    fn battery_ohm(&mut self, id: DeviceId) -> f64 {
        let ohm = self.usual(id, Attribute::Resistance);
        if self.vehicle.devices[id].fact(Attribute::Resistance).evidence().is_some() {
            return ohm.max(1e-6);
        }
        let (chemistry, cold) = (self.chemistry(id), self.state.temperature);
        let factor = self.catalog.curves.cold_resistance(chemistry, cold.si());
        if factor > 1.0 {
            let what = format!("resistance times {factor:.2} at {cold}");
            self.assume(what, "batteries resist more in the cold, estimate", Item::Device(id));
        }
        (ohm * factor).max(1e-6)
    }

    /// Rise of voltage per ampere a battery accepts: `(Ua - U0) / (s C)` with `Ua` the absorption
    /// voltage, `U0` the rest voltage, `s` the share of its capacity `C` it accepts per hour there;
    /// never below the resistance to discharge, and just that where it takes what comes.
    fn charge_ohm(&mut self, id: DeviceId, rest_v: f64, discharge_ohm: f64) -> f64 {
        let (chemistry, charge) = (self.chemistry(id), self.charge(id));
        let nominal = self.block_nominal(id);
        let Some(accepts) = self.catalog.curves.acceptance(chemistry, charge, nominal) else {
            return discharge_ohm;
        };
        let holds_ah = self.number(id, Attribute::Holds, self.catalog.stand_ins.capacity.si());
        let ampere = accepts.share_per_hour.si() * holds_ah;
        ((accepts.at.si() - rest_v) / ampere.max(1e-3)).max(discharge_ohm)
    }

    /// A battery has a board if anything is known of what the board does.
    fn has_board(&self, id: DeviceId) -> bool {
        let told = [
            Attribute::ChargeStop,
            Attribute::CutOut,
            Attribute::ChargeLimit,
            Attribute::DischargeLimit,
            Attribute::ColdLimit,
        ];
        told.into_iter().any(|attribute| self.vehicle.devices[id].number(attribute).is_some())
    }

    /// Two transistors in opposite directions, each with its guard, a contact that an over-current
    /// opens for good, and the leak past all of them.
    fn board(&mut self, id: DeviceId, board: &Board) {
        let machines = &self.catalog.machines;
        let (leak_ohm, blocked_ohm) = (machines.board_leak_ohm, machines.one_way_leak_ohm);
        let limits = [
            (Attribute::DischargeLimit, Sense::OutOf(board.sense)),
            (Attribute::ChargeLimit, Sense::Into(board.sense)),
        ];
        let contacts: Vec<(GuardId, f64)> = limits
            .into_iter()
            .filter_map(|(limit, sense)| self.over_current_guard(id, limit, sense))
            .map(|guard| (guard, 0.25 * board.ohm))
            .collect();
        let way_ohm = board.ohm - contacts.iter().map(|(_, ohm)| ohm).sum::<f64>();
        let mut at = board.cells;
        for (guard, ohm) in contacts {
            let name = format!("{} over-current contact", self.name(id));
            let next = self.network.circuit.add_node(name.clone());
            let contact = Element::Resistor { a: at, b: next, ohm };
            self.network.circuit.add_while(name, contact, Some(guard));
            at = next;
        }
        let out = self.discharge_guard(id, board);
        let name = format!("{} board, discharge", self.name(id));
        let way = Element::OneWay { from: at, to: board.post, ohm: way_ohm, blocked_ohm };
        self.network.circuit.add_while(name, way, out);
        if !self.is_too_cold(id) {
            let into = self.charge_guard(id, board);
            let name = format!("{} board, charge", self.name(id));
            let way = Element::OneWay { from: board.post, to: at, ohm: way_ohm, blocked_ohm };
            self.network.circuit.add_while(name, way, into);
        }
        let leak = Element::Resistor { a: board.cells, b: board.post, ohm: leak_ohm };
        let name = format!("{} past its board", self.name(id));
        self.network.circuit.add(name, leak);
    }

    /// Colder than the board lets charge in.
    fn is_too_cold(&mut self, id: DeviceId) -> bool {
        let Some(limit_c) = self.vehicle.devices[id].number(Attribute::ColdLimit) else {
            return false;
        };
        if self.state.temperature.si() >= limit_c {
            return false;
        }
        let limit_c = self.number(id, Attribute::ColdLimit, limit_c);
        let limit = units::Celsius::from_si(limit_c);
        let words = format!(
            "its board lets no charge in at {}: colder than {limit}",
            self.state.temperature
        );
        self.remark(id, words);
        true
    }

    fn discharge_guard(&mut self, id: DeviceId, board: &Board) -> Option<GuardId> {
        let at_v = self.block_nominal(id).si();
        let off_below_v = self.threshold_v(id, Attribute::CutOut, at_v)?;
        let on_from_v = self.threshold_v(id, Attribute::Restart, at_v).unwrap_or(off_below_v);
        let trip = Trip::LowVoltage { off_below_v, on_from_v: on_from_v.max(off_below_v) };
        let off = "its board lets nothing out: the cells are too low";
        Some(self.board_guard(id, "board, discharge", self.cells_of(board), trip, off))
    }

    fn charge_guard(&mut self, id: DeviceId, board: &Board) -> Option<GuardId> {
        let at_v = self.block_nominal(id).si();
        let off_above_v = self.threshold_v(id, Attribute::ChargeStop, at_v)?;
        let on_up_to_v = self.threshold_v(id, Attribute::ChargeResume, at_v).unwrap_or(off_above_v);
        let trip = Trip::HighVoltage { off_above_v, on_up_to_v: on_up_to_v.min(off_above_v) };
        let off = "its board lets no charge in: the cells are too high";
        Some(self.board_guard(id, "board, charge", self.cells_of(board), trip, off))
    }

    fn cells_of(&self, board: &Board) -> Sense {
        Sense::Between(board.cells, board.minus)
    }

    fn over_current_guard(
        &mut self,
        id: DeviceId,
        limit: Attribute,
        sense: Sense,
    ) -> Option<GuardId> {
        let most_a = self.vehicle.devices[id].number(limit)?;
        let off_above_a = self.number(id, limit, most_a);
        let way = if limit == Attribute::ChargeLimit { "into" } else { "out of" };
        let most = units::Ampere::from_si(off_above_a);
        let off = format!("its board has opened: more than {most} {way} it");
        let name = format!("board, current {way} it");
        Some(self.board_guard(id, &name, sense, Trip::HighCurrent { off_above_a }, &off))
    }

    fn board_guard(
        &mut self,
        id: DeviceId,
        what: &str,
        sense: Sense,
        trip: Trip,
        off: &str,
    ) -> GuardId {
        let name = format!("{} {what}", self.name(id));
        let guard = Guard { name, sense, trip, starts_on: true };
        let guard = self.network.circuit.add_guard(guard);
        self.when_off(guard, id, off.to_owned());
        guard
    }
}
