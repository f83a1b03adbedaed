//! Where a plan for making dead ends: sources nothing separates, readings that contradict it, what it
//! rests on, and what would undo it.

use std::collections::BTreeSet;

use catalog::{SourceKind, SourceSide};
use dead::Sort;
use model::{DeviceId, Landing, Role, TerminalId, WireEnd};
use units::{Ampere, Dimension};

use crate::dead::{NoDeadPlan, Plan};
use crate::dead_view::{Contradiction, DeadPlan, DeadStep, FeedSuspect, NoIsolation};

/// Nominal voltage the table of source kinds is written for, V.
const TABLE_FOR_V: f64 = 12.0;

impl Plan<'_> {
    /// True for a point of the area that nothing makes dead.
    pub(crate) fn is_left(&self, point: usize) -> bool {
        self.answer.stay_live.contains(&point)
    }

    /// Sources that cannot be separated from the area, each once.
    pub(crate) fn findings(&self) -> Vec<NoIsolation> {
        let sources: BTreeSet<DeviceId> =
            self.answer.left.iter().filter_map(|start| self.asked.sources[*start]).collect();
        sources.into_iter().map(|id| self.no_isolation(id)).collect()
    }

    fn no_isolation(&self, id: DeviceId) -> NoIsolation {
        let device = &self.vehicle().devices[id];
        let label = &device.label;
        let owned = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect();
        let (signal, words, instead): (&str, String, Vec<String>) = match device.role {
            _ if device.high_voltage => (
                "DANGER",
                format!("{label}: high voltage; nothing here is for this workshop"),
                owned(&[
                    "stop; leave everything orange alone",
                    "people licensed for high-voltage vehicles make it dead",
                ]),
            ),
            Role::SolarModule => (
                "WARNING",
                format!(
                    "{label}: in light its leads are live, and no switch or plug is recorded between it and the area"
                ),
                owned(&[
                    "cover the whole module with something no light passes, tied down; or work in the dark",
                    "measure at the place of work all the same, while covered, and again when the light changes",
                    "one conductor at a time: insulate and restrain each end before the next",
                    "have a switch put in: that is a mend worth proposing",
                ]),
            ),
            Role::ShoreInlet | Role::Generator | Role::Inverter | Role::MainsCharger => (
                "DANGER",
                format!("{label}: mains, and nothing recorded separates it"),
                owned(&["leave it; people licensed for mains make it dead and prove it"]),
            ),
            Role::Battery => (
                "WARNING",
                format!(
                    "{label}: nothing recorded opens between it and the area without work on live \
                     metal, or nobody can get there"
                ),
                owned(&[
                    "find a way to its minus post, or a switch or fuse: write what hides them",
                    "else treat the area as live: one insulated tool, one lug at a time, each insulated and restrained before the next; or people equipped for live work",
                ]),
            ),
            _ => (
                "CAUTION",
                format!("{label}: what it holds cannot be separated by anything recorded"),
                owned(&[
                    "look for its own plug and pull it; write it down as a joint",
                    "else leave its wires alone: insulate and restrain what would touch",
                ]),
            ),
        };
        NoIsolation {
            source: device.name.clone(),
            at: device.place_words.clone(),
            signal: signal.to_owned(),
            words,
            instead,
        }
    }

    /// What keeps a stopped source from feeding is only that nobody starts it.
    pub(crate) fn live_again_if(&self) -> Vec<String> {
        let vehicle = self.vehicle();
        let words = self.order.iter().filter_map(|action| {
            let act = self.act(*action);
            let label = &vehicle.devices[act.device].label;
            match act.sort {
                Sort::Engine => {
                    Some("somebody starts the engine, or it starts by itself".to_owned())
                }
                Sort::Shore => Some("somebody plugs the shore lead in".to_owned()),
                Sort::Generator => Some(format!("{label} starts")),
                Sort::Outside => Some(format!("{label} is plugged in or switched on again")),
                _ => None,
            }
        });
        let mut words: Vec<String> = words.collect();
        words.dedup();
        let opens = self.order.iter().any(|action| !self.act(*action).links.is_empty());
        if opens {
            words.push("somebody closes what was opened: locks and tags stay until those who put them on take them off".to_owned());
        }
        words
    }

    /// What nobody has seen and the plan rests on.
    pub(crate) fn rests_on(&self) -> Vec<String> {
        let vehicle = self.vehicle();
        let mut words = Vec::new();
        if self.order.iter().any(|a| matches!(self.act(*a).sort, Sort::MainsBreaker)) {
            words.push("breakers of the mains side open all their poles".to_owned());
        }
        let sun_first = self.order.iter().any(|action| {
            self.act(*action).links.iter().any(|link| {
                let row = self.network.graph.get(*link);
                matches!(row.item, network::Item::Device(id) if vehicle.devices[id].label.contains("solar"))
            })
        });
        if sun_first {
            words.push("the solar controller wants the modules off before the battery (some do; taken to be so)".to_owned());
        }
        words.push("minutes and risks of openings are estimates".to_owned());
        let unseen = vehicle.wires.iter().filter(|(_, wire)| {
            WireEnd::BOTH.iter().any(|end| !matches!(wire.end(*end).landing, Landing::At(_)))
        });
        let unseen: Vec<&str> = unseen.map(|(_, wire)| wire.name.as_str()).collect();
        if !unseen.is_empty() {
            words.push(format!(
                "ends nobody has seen may be joined to each other: {}",
                unseen.join(", ")
            ));
        }
        let perhaps = vehicle.devices.iter().filter(|(_, device)| device.own_cell.is_unknown());
        let perhaps: Vec<&str> = perhaps.map(|(_, device)| device.label.as_str()).collect();
        if !perhaps.is_empty() {
            words.push(format!(
                "some of these hold a cell of their own that keeps their insides live: look, and \
                 write `own_cell`: {}",
                perhaps.join(", ")
            ));
        }
        words
    }

    /// Documents the plan quotes.
    pub(crate) fn quoted(&self) -> Vec<String> {
        let keys = [
            "osha-1910-147-d",
            "osha-1910-333-b2",
            "nfpa-70e-120-5",
            "gs38",
            "maker-airbag-waits",
            "maker-second-battery",
        ];
        let words = |key: &str| {
            let source = self.case.catalog.sources.get(key)?;
            Some(format!("{} ({})", source.words, source.standing.words()))
        };
        keys.into_iter().filter_map(words).collect()
    }

    /// What a short circuit at the place of an action can draw at most.
    pub(crate) fn prospective(&self, act: &dead::Act) -> Option<Ampere> {
        let most = self.most_a.get_or_init(|| {
            let acts = self.order.iter().map(|action| self.act(*action));
            let studs: BTreeSet<TerminalId> = acts.filter_map(|act| self.worked_at(act)).collect();
            let studs: Vec<TerminalId> = studs.into_iter().collect();
            let most = protect::most_at(self.vehicle(), &self.case.catalog, &studs);
            studs.into_iter().zip(most).filter_map(|(stud, a)| Some((stud, a?))).collect()
        });
        most.get(&self.worked_at(act)?).map(|ampere| Ampere::from_si(*ampere))
    }

    /// The stud at which bare metal is worked on.
    fn worked_at(&self, act: &dead::Act) -> Option<TerminalId> {
        if !matches!(act.sort, Sort::Lug | Sort::BoltedFuse | Sort::BatteryMinus) {
            return None;
        }
        match act.joint {
            Some(joint) => {
                let joint = &self.vehicle().joints[joint];
                self.vehicle().wires[joint.wire].terminal(joint.end)
            }
            None => self.pole(act.device, model::Pole::Plus),
        }
    }

    /// Takes what was read at steps; at the first that contradicts, the plan stops.
    pub(crate) fn take_readings(
        &self,
        view: &mut DeadPlan,
        read: &[(usize, String)],
    ) -> Result<(), NoDeadPlan> {
        let mut read: Vec<&(usize, String)> = read.iter().collect();
        read.sort_by_key(|(number, _)| *number);
        for (number, words) in read {
            let count = view.steps.len();
            let Some(index) = number.checked_sub(1).filter(|index| *index < count) else {
                let words = format!("there is no step {number}: the plan has {count}");
                return Err(NoDeadPlan::Reading(words));
            };
            let value = Read::of(words)?;
            let step = &mut view.steps[index];
            step.read = words.clone();
            if step.after.is_empty() {
                let words = format!("step {number} is proved by no reading: {}", step.what);
                return Err(NoDeadPlan::Reading(words));
            }
            if self.agrees(step, &value) {
                step.verdict = "agrees".to_owned();
                continue;
            }
            step.verdict = "contradicts".to_owned();
            let stopped = self.contradiction(&view.steps[index], &value);
            view.steps[index + 1..].iter_mut().for_each(|step| step.held = true);
            view.stopped = Some(stopped);
            return Ok(());
        }
        Ok(())
    }

    fn agrees(&self, step: &DeadStep, read: &Read) -> bool {
        let limits = self.case.catalog.dead.limits;
        match step.after_v {
            Some(expected) => {
                (read.volt.abs() - expected.abs()).abs()
                    <= limits.dead_v.max(limits.agrees * expected.abs())
            }
            // Expected to be live, without a figure: nothing contradicts that.
            None => true,
        }
    }

    fn contradiction(&self, step: &DeadStep, read: &Read) -> Contradiction {
        let words = format!(
            "STOP. {} should show {}, but shows {}. Either something that was opened did not open, \
             or a source feeds that nobody wrote down. Touch nothing; prove the tester; find it \
             before the next step.",
            step.probe, step.after, read.words
        );
        Contradiction { step: step.number, words, suspects: self.suspects(step.number, read) }
    }

    /// What could feed: openings that did not open, ends nobody has seen, kinds of sources.
    fn suspects(&self, number: usize, read: &Read) -> Vec<FeedSuspect> {
        let mut suspects = self.not_open(number);
        suspects.extend(self.unseen_ends());
        let scale = self.case.nominal_v() / TABLE_FOR_V;
        let mut kinds: Vec<(f64, &SourceKind)> = self
            .case
            .catalog
            .dead
            .sources
            .iter()
            .filter_map(|kind| Some((kind_fits(kind, read, scale)?, kind)))
            .collect();
        kinds.sort_by(|a, b| a.0.total_cmp(&b.0));
        suspects.extend(kinds.into_iter().map(|(_, kind)| self.kind_suspect(kind, read)));
        suspects
    }

    /// What was opened so far and may not be open.
    fn not_open(&self, number: usize) -> Vec<FeedSuspect> {
        let vehicle = self.vehicle();
        // Tester and loads come before the actions.
        let steps_before =
            1 + usize::from(vehicle.devices.iter().any(|(_, d)| d.role.is_dc_load()));
        let done = number.saturating_sub(steps_before).min(self.order.len());
        let acts = self.order[..done].iter().rev().map(|action| self.act(*action));
        let links = acts.filter(|act| !act.links.is_empty());
        links
            .map(|act| {
                let device = &vehicle.devices[act.device];
                let why = match act.sort {
                    Sort::PulledFuse | Sort::BoltedFuse => {
                        "the fuse may be of another circuit than its label says"
                    }
                    Sort::Lug | Sort::Plug => "another wire may land beside the one taken off",
                    _ => "contacts weld, and labels are wrong",
                };
                FeedSuspect {
                    what: format!("{} is not open", device.label),
                    why: why.to_owned(),
                    look: match device.place_words.as_str() {
                        "" => "measure on both sides of it".to_owned(),
                        place => format!("measure on both sides of it: {place}"),
                    },
                    device: device.name.clone(),
                }
            })
            .collect()
    }

    fn unseen_ends(&self) -> Vec<FeedSuspect> {
        let vehicle = self.vehicle();
        let unseen = vehicle.wires.iter().filter_map(|(_, wire)| {
            let part = WireEnd::BOTH.iter().find_map(|end| match wire.end(*end).landing {
                Landing::At(_) => None,
                Landing::Behind(part) => Some(Some(part)),
                Landing::Unknown => Some(None),
            })?;
            Some(FeedSuspect {
                what: format!("wire {}", wire.name),
                why: "nobody has seen where it ends".to_owned(),
                look: part.map_or_else(
                    || "trace it from the end that is known".to_owned(),
                    |part| format!("behind {}", vehicle.parts[part].label),
                ),
                device: String::new(),
            })
        });
        unseen.collect()
    }

    fn kind_suspect(&self, kind: &SourceKind, read: &Read) -> FeedSuspect {
        let vehicle = self.vehicle();
        let known: Vec<&model::Device> = vehicle
            .devices
            .iter()
            .map(|(_, device)| device)
            .filter(|device| kind.kinds.contains(&device.kind))
            .collect();
        let fits = format!("{} is in its range", read.words);
        let (why, device) = match known.first() {
            None => (format!("{fits}; the record has none"), String::new()),
            Some(device) => {
                let labels: Vec<&str> = known.iter().map(|d| d.label.as_str()).collect();
                (
                    format!(
                        "{fits}; recorded: {}; there may be another one, or another wire from it",
                        labels.join(", ")
                    ),
                    device.name.clone(),
                )
            }
        };
        FeedSuspect { what: kind.what.clone(), why, look: kind.r#where.clone(), device }
    }
}

/// How closely a kind of source fits a reading: the width of its range, smaller is likelier.
fn kind_fits(kind: &SourceKind, read: &Read, scale: f64) -> Option<f64> {
    let [from, to] = kind.volts;
    let (from_v, to_v) = match kind.side {
        SourceSide::Dc => (from * scale, to * scale),
        SourceSide::Ac => (from, to),
    };
    let side =
        read.alternating.is_none_or(|alternating| alternating == (kind.side == SourceSide::Ac));
    (side && (from_v..=to_v).contains(&read.volt.abs())).then_some((to_v - from_v) / to_v)
}

/// Why a reading taken while a plan is worked cannot be read; `None` where it can.
pub fn unreadable(read: &str) -> Option<String> {
    match Read::of(read) {
        Err(NoDeadPlan::Reading(why)) => Some(why),
        _ => None,
    }
}

/// A reading as it was written.
#[derive(Clone, Debug, PartialEq)]
struct Read {
    volt: f64,
    /// Said to be alternating or not.
    alternating: Option<bool>,
    words: String,
}

impl Read {
    /// `13.1 V`, `0.2 V`, `230 V ac`, `12 V dc`.
    fn of(words: &str) -> Result<Read, NoDeadPlan> {
        let text = words.trim();
        let plain = text.to_ascii_lowercase().replace("a.c.", "ac").replace("d.c.", "dc");
        let (figure, alternating) = match (plain.strip_suffix("ac"), plain.strip_suffix("dc")) {
            (Some(figure), _) => (figure.len(), Some(true)),
            (_, Some(figure)) => (figure.len(), Some(false)),
            _ => (text.len(), None),
        };
        let figure = text.get(..figure).unwrap_or(text).trim();
        let volt = units::parse(figure, Dimension::Voltage).map_err(|error| {
            let help = format!(
                "`{words}` is no voltage ({}): write `13.1 V` or `230 V ac`",
                error.message
            );
            NoDeadPlan::Reading(help)
        })?;
        Ok(Read { volt, alternating, words: text.to_owned() })
    }
}
