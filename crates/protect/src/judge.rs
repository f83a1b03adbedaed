//! The verdict for one end of one wire.

use catalog::Catalog;
use model::{Attribute, Breaking, DeviceId, Landing, Missing, Place, Vehicle, WireEnd, WireId};
use units::{Ampere, Interval, Metre, Second};

use crate::SLACK;
use crate::behind::{Behind, Contact};
use crate::coordinate::{AnyBelow, Currents, OverloadCover, Pairing, pair};
use crate::device::Device;
use crate::outcome::{DeviceView, Leaning, Overload, Row, Verdict, Word};
use crate::selectivity;
use crate::wire::Stands;

/// What is known of an end before anything is judged.
pub(crate) struct End<'a> {
    pub(crate) vehicle: &'a Vehicle,
    pub(crate) catalog: &'a Catalog,
    pub(crate) wire: WireId,
    pub(crate) end: WireEnd,
    pub(crate) behind: Vec<Behind>,
    pub(crate) far_a: Interval,
    pub(crate) near_a: Interval,
    /// What each source behind the end brings to a fault right here at most, A.
    pub(crate) brings_a: Vec<f64>,
    /// Of each device: the part of the wire's current that passes it, and its own current in the fault
    /// right here.
    pub(crate) through: Vec<(Contact, f64, Interval)>,
}

/// A device with how it goes together with the wire.
struct Opener<'a> {
    device: Device<'a>,
    share: f64,
    pairing: Pairing,
    breaking: Breaking,
}

/// Judges one end.
pub(crate) fn judge(end: &End<'_>) -> Row {
    let stands = Stands::of(end.vehicle, end.catalog, end.wire);
    let must = end.must_be_cut(&stands);
    if must.is_empty() {
        return end.own_limit(&stands);
    }
    if let Some(open) = must.iter().find(|behind| behind.devices.is_empty()) {
        return if open.every_way_protected {
            end.several_ways(open)
        } else {
            end.nothing_opens(open, &stands)
        };
    }
    end.by_devices(&must, &stands)
}

impl<'a> End<'a> {
    /// Sources that have to be cut off, batteries first: every battery; and the others too, where together they bring
    /// more than the wire carries for good.
    fn must_be_cut(&self, stands: &Stands) -> Vec<&Behind> {
        let limited_a = self.limited_a();
        let limited_burn = limited_a > 0.0 && !stands.carries(limited_a);
        let is_due = |behind: &&Behind| behind.is_strong(self.vehicle) || limited_burn;
        let mut must: Vec<&Behind> = self.behind.iter().filter(is_due).collect();
        must.sort_by_key(|behind| !behind.is_strong(self.vehicle));
        must
    }

    /// What the sources that limit themselves bring together, A.
    fn limited_a(&self) -> f64 {
        let limited = self.behind.iter().zip(&self.brings_a);
        limited.filter(|(b, _)| !b.is_strong(self.vehicle)).map(|(_, a)| a.max(0.0)).sum()
    }

    fn row(&self, verdict: Verdict, overload: Overload) -> Row {
        Row {
            wire: self.wire,
            end: self.end,
            sources: self.behind.iter().map(|behind| behind.source).collect(),
            far_a: self.far_a,
            near_a: self.near_a,
            device: None,
            critical_a: None,
            stands: None,
            overload,
            short_run: None,
            selectivity: String::new(),
            verdict,
        }
    }

    /// Nothing has to open: what feeds the end cannot hurt the wire.
    fn own_limit(&self, stands: &Stands) -> Row {
        let limit_a = self.limited_a();
        let allowed_a = stands.allowed_a.map_or(0.0, |(low_a, _)| low_a);
        let mut missing = stands.missing.clone();
        missing.extend(self.behind.iter().filter_map(|behind| self.limit_missing(behind.source)));
        let names = self.names();
        let why = format!(
            "{names} cannot deliver more than {}; the wire carries {} for good",
            Ampere::from_si(limit_a),
            Ampere::from_si(allowed_a)
        );
        let verdict = decided(Word::Protected, why, missing, Leaning::InTime);
        self.row(verdict, Overload::OwnLimit { limit_a, allowed_a })
    }

    /// The limit of a source that delivers no more than it can, if that is only assumed.
    fn limit_missing(&self, source: DeviceId) -> Option<Missing> {
        let device = &self.vehicle.devices[source];
        let known = [Attribute::Limit, Attribute::Rated, Attribute::ShortCurrent];
        let is_known = known.iter().any(|a| device.fact(*a).evidence().is_some());
        (!is_known).then(|| Missing {
            what: format!("read the greatest current of {} off its label", device.name),
            at: Place::Device(source),
        })
    }

    fn names(&self) -> String {
        let names: Vec<&str> = self
            .behind
            .iter()
            .map(|behind| self.vehicle.devices[behind.source].name.as_str())
            .collect();
        names.join(", ")
    }

    fn several_ways(&self, open: &Behind) -> Row {
        let source = &self.vehicle.devices[open.source].name;
        let why = format!(
            "several ways lead to {source}, each over a device of its own; which opens first is not \
             worked out here"
        );
        let missing = vec![Missing {
            what: format!("see whether {source} is meant to feed this wire by more than one way"),
            at: Place::Wire(self.wire),
        }];
        self.row(
            Verdict { word: Word::CannotTell, leaning: Some(Leaning::Open), why, missing },
            Overload::Unknown,
        )
    }

    /// No device between a source and the wire.
    fn nothing_opens(&self, open: &Behind, stands: &Stands) -> Row {
        let source = &self.vehicle.devices[open.source].name;
        let quickest = stands.time(self.far_a.high());
        let slowest = stands.time(self.far_a.low());
        let when = match (quickest, slowest) {
            (Some(quick), Some(slow)) => {
                format!("shorted, it is ruined after {}", span(quick, slow))
            }
            _ => "how soon it is ruined is not known, because its size is not".to_owned(),
        };
        // A fault on the way draws up to what one right at this end does.
        let most_a = self.far_a.high().max(self.near_a.high());
        let carries = stands.carries(most_a);
        let verdict = if carries {
            let why = format!(
                "nothing opens between {source} and this end; the wire carries {} for good",
                Ampere::from_si(most_a)
            );
            decided(Word::Protected, why, stands.missing.clone(), Leaning::InTime)
        } else {
            let why = format!("nothing opens between {source} and this end; {when}");
            Verdict { word: Word::BurnsFirst, leaning: None, why, missing: Vec::new() }
        };
        Row {
            critical_a: Some(self.far_a.high()),
            stands: quickest,
            short_run: self.short_run(open),
            ..self.row(verdict, Overload::NoDevice)
        }
    }

    /// The length from the source to the far end of the wire, where it is known, goes on to a device
    /// and is no longer than the rules allow without one.
    fn short_run(&self, open: &Behind) -> Option<Metre> {
        let limit = self.catalog.limits.get("unprotected-length", self.vehicle.region);
        let wires = open.way.iter().chain(std::iter::once(&self.wire));
        let lengths: Option<f64> = wires
            .map(|wire| self.vehicle.wires[*wire].length.evidence().map(|metre| metre.si()))
            .sum();
        let far = self.vehicle.wires[self.wire].end(self.end.other()).landing;
        let Landing::At(terminal) = far else { return None };
        let device = &self.vehicle.devices[self.vehicle.terminals[terminal].device];
        let goes_on = device.role.protects() || device.role.isolates();
        lengths.filter(|m| *m <= limit.value * (1.0 + SLACK) && goes_on).map(Metre::from_si)
    }

    /// Every source to be cut off has at least one device.
    fn by_devices(&self, must: &[&Behind], stands: &Stands) -> Row {
        let overload = self.overload(must, stands);
        let cover = match overload {
            Overload::Holds { .. } => OverloadCover::Holds,
            _ => OverloadCover::Open,
        };
        let any_below = self.any_below(must);
        let lines: Vec<Vec<Opener<'_>>> =
            must.iter().map(|behind| self.line(behind, stands, cover, any_below)).collect();
        // Of the devices in one line the best decides; of several lines the worst.
        let best = lines.iter().filter_map(|line| line.iter().min_by_key(|o| rank(o)));
        let Some(deciding) = best.max_by_key(|opener| rank(opener)) else {
            return self.own_limit(stands);
        };
        let is_deciding = |line: &&Vec<Opener<'_>>| {
            line.iter().any(|o| o.device.contact == deciding.device.contact)
        };
        let others = lines.iter().find(is_deciding).map_or(&[][..], Vec::as_slice);
        let mut also: Vec<Missing> = self.adds_up(must, stands);
        also.extend(others.iter().filter_map(|other| backed_up(other, deciding)));
        let is_beside = |line: &Vec<Opener<'_>>| {
            line.iter().all(|o| o.device.contact != deciding.device.contact)
        };
        let verdict = if deciding.pairing.never_opens && lines.iter().any(is_beside) {
            let missing = vec![once_the_others_opened(deciding)];
            decided(Word::Protected, self.why(deciding), missing, Leaning::TooLate)
        } else {
            self.verdict(deciding, stands, &overload, any_below, also)
        };
        let line: Vec<(&Device<'_>, f64)> =
            others.iter().map(|opener| (&opener.device, opener.share)).collect();
        Row {
            device: Some(DeviceView { to_break: self.to_break(deciding), ..view(deciding) }),
            critical_a: Some(deciding.pairing.critical_a),
            stands: deciding.pairing.stands,
            selectivity: selectivity::words(&line, self.far_a),
            ..self.row(verdict, overload)
        }
    }

    fn line(
        &self,
        behind: &Behind,
        stands: &Stands,
        cover: OverloadCover,
        any_below: AnyBelow,
    ) -> Vec<Opener<'a>> {
        let opener = |contact: &Contact| {
            let (_, share, near_a) = self.through.iter().find(|(c, ..)| c == contact)?;
            let device = Device::of(self.vehicle, self.catalog, *contact);
            let currents = Currents {
                far_a: self.far_a,
                near_a: self.near_a.high(),
                any_below,
                share: *share,
                conventional: self
                    .catalog
                    .limits
                    .get("conventional-current", self.vehicle.region)
                    .value,
            };
            let pairing = pair(&device, stands, &currents, cover);
            let breaking = device.breaking(*near_a);
            Some(Opener { device, share: *share, pairing, breaking })
        };
        behind.devices.iter().filter_map(opener).collect()
    }

    /// Whether the least current rests on a length or size nobody knows.
    fn any_below(&self, must: &[&Behind]) -> AnyBelow {
        let mut wires = must.iter().flat_map(|behind| &behind.way).chain([&self.wire]);
        let unknown = wires.any(|wire| {
            let wire = &self.vehicle.wires[*wire];
            wire.length.evidence().is_none() || wire.area.evidence().is_none()
        });
        if unknown { AnyBelow::Yes } else { AnyBelow::No }
    }

    /// Rating against what the wire carries for good.
    fn overload(&self, must: &[&Behind], stands: &Stands) -> Overload {
        let Some(limiting) = self.limiting(must) else { return Overload::Unknown };
        let is_known = stands.missing.is_empty()
            && limiting.iter().all(|(_, device)| device.missing.is_empty());
        let rated_a: f64 = limiting.iter().map(|(ampere_a, _)| ampere_a).sum();
        let together_a = rated_a + self.beside(must, &limiting).1;
        let by = names_of(&limiting);
        match stands.allowed_a {
            Some((_, allowed_a)) if rated_a > allowed_a * (1.0 + SLACK) => {
                Overload::TooLarge { by, rated_a, allowed_a }
            }
            Some((allowed_a, _)) if together_a <= allowed_a * (1.0 + SLACK) && is_known => {
                Overload::Holds { by, rated_a, allowed_a }
            }
            _ => Overload::Unknown,
        }
    }

    /// Sources that limit themselves and feed the wire past the devices that limit the others, and what
    /// they bring together, A.
    fn beside(&self, must: &[&Behind], limiting: &[(f64, Device<'_>)]) -> (Vec<DeviceId>, f64) {
        let is_limited =
            |b: &Behind| limiting.iter().any(|(_, device)| b.devices.contains(&device.contact));
        let is_due = |b: &Behind| must.iter().any(|due| due.source == b.source);
        let beside = self.behind.iter().zip(&self.brings_a);
        let beside = beside.filter(|(b, a)| **a > 0.0 && !is_due(b) && !is_limited(b));
        beside.fold((Vec::new(), 0.0), |(mut sources, sum_a), (b, a)| {
            sources.push(b.source);
            (sources, sum_a + a)
        })
    }

    /// What to find out where a device lets no more through than the wire carries, but sources past it
    /// add to that.
    fn adds_up(&self, must: &[&Behind], stands: &Stands) -> Vec<Missing> {
        let (Some(limiting), Some((allowed_a, _))) = (self.limiting(must), stands.allowed_a) else {
            return Vec::new();
        };
        let rated_a: f64 = limiting.iter().map(|(ampere_a, _)| ampere_a).sum();
        let (sources, beside_a) = self.beside(must, &limiting);
        let is_over = |ampere_a: f64| ampere_a > allowed_a * (1.0 + SLACK);
        if is_over(rated_a) || !is_over(rated_a + beside_a) {
            return Vec::new();
        }
        let names: Vec<&str> =
            sources.iter().map(|id| self.vehicle.devices[*id].name.as_str()).collect();
        let meets = Missing {
            what: format!(
                "see whether this wire can carry the {} of {} and up to {} of {} at once: it carries {} for good",
                Ampere::from_si(rated_a),
                names_of(&limiting),
                Ampere::from_si(beside_a),
                listed(&names),
                Ampere::from_si(allowed_a)
            ),
            at: Place::Wire(self.wire),
        };
        let limits = sources.iter().filter_map(|source| self.limit_missing(*source));
        std::iter::once(meets).chain(limits).collect()
    }

    /// The devices that limit what flows for good: the smallest one all lines have in common; else of
    /// each line its smallest, together. `None` if a rating is not known: it might be the smallest.
    fn limiting(&self, must: &[&Behind]) -> Option<Vec<(f64, Device<'a>)>> {
        let smallest = |contacts: Vec<Contact>| {
            let devices = contacts.into_iter().map(|contact| {
                let device = Device::of(self.vehicle, self.catalog, contact);
                Some((device.rated?.si(), device))
            });
            let rated: Option<Vec<(f64, Device<'a>)>> = devices.collect();
            Some(rated?.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)))
        };
        let (first, others) = must.split_first()?;
        let is_common =
            |contact: &&Contact| others.iter().all(|other| other.devices.contains(contact));
        let common: Vec<Contact> = first.devices.iter().filter(is_common).copied().collect();
        if let Some(device) = smallest(common)? {
            return Some(vec![device]);
        }
        let mut found: Vec<(f64, Device<'a>)> = Vec::new();
        for behind in must {
            let is_counted = |contact: &Contact| found.iter().any(|(_, d)| d.contact == *contact);
            if !behind.devices.iter().any(is_counted) {
                found.push(smallest(behind.devices.clone())??);
            }
        }
        Some(found)
    }

    fn verdict(
        &self,
        opener: &Opener<'_>,
        stands: &Stands,
        overload: &Overload,
        any_below: AnyBelow,
        also: Vec<Missing>,
    ) -> Verdict {
        let (device, pairing, name) = (&opener.device, &opener.pairing, &opener.device.name);
        let assumed = self.assumed(device);
        let sure = |word: Word, why: String| Verdict {
            word,
            leaning: None,
            why: format!("{why}{assumed}"),
            missing: Vec::new(),
        };
        if pairing.never_opens {
            let carries = Ampere::from_si(device.carries_a().unwrap_or_default());
            return sure(
                Word::BurnsFirst,
                format!(
                    "shorted at its far end the wire draws {} at most, of which {} pass {name}; it \
                     carries {carries} for good",
                    Ampere::from_si(self.far_a.high()),
                    Ampere::from_si(self.far_a.high() * opener.share)
                ),
            );
        }
        if let Breaking::TooLittle { breaks_a, fault_a } = opener.breaking {
            return sure(
                Word::CannotBreak,
                format!(
                    "{name} breaks {}; a fault right behind it draws {} at least",
                    Ampere::from_si(breaks_a),
                    Ampere::from_si(fault_a)
                ),
            );
        }
        if let Overload::TooLarge { by, rated_a, allowed_a } = overload {
            return sure(
                Word::Overheats,
                format!(
                    "{by} lets {} through for good and more for minutes; the wire carries {}",
                    Ampere::from_si(*rated_a),
                    Ampere::from_si(*allowed_a)
                ),
            );
        }
        let mut missing = device.missing.clone();
        missing.extend(stands.missing.iter().cloned());
        missing.extend(also);
        if missing.is_empty() && !pairing.is_in_time {
            missing.push(self.what_decides(device, any_below));
        }
        missing.extend(self.to_break(opener));
        if device.closes_again() {
            missing.push(Missing {
                what: format!("see what else stops a lasting fault: {name} closes again by itself"),
                at: Place::Device(device.contact.device),
            });
        }
        let leaning = match (pairing.may_be_in_time, pairing.is_too_late) {
            (true, _) => Leaning::InTime,
            (false, true) => Leaning::TooLate,
            (false, false) => Leaning::Open,
        };
        decided(Word::Protected, self.why(opener), missing, leaning)
    }

    /// What of a verdict that fails is only assumed, to be put behind it; empty if nothing is.
    fn assumed(&self, device: &Device<'_>) -> String {
        let wire = &self.vehicle.wires[self.wire];
        let assumed = [
            ("the size of the wire", wire.area.is_assumed()),
            ("the rating of its insulation", wire.insulation.is_assumed()),
            ("the rating of the device", device.is_rating_assumed),
        ];
        let names: Vec<&str> =
            assumed.into_iter().filter(|(_, is_assumed)| *is_assumed).map(|row| row.0).collect();
        if names.is_empty() {
            return String::new();
        }
        format!("; {} only assumed: look first", listed(&names))
    }

    fn to_break(&self, opener: &Opener<'_>) -> Option<Missing> {
        let Breaking::Unknown { breaks_a, .. } = opener.breaking else { return None };
        Some(self.what_it_breaks(&opener.device, breaks_a))
    }

    /// What decides whether a device breaks the greatest fault.
    fn what_it_breaks(&self, device: &Device<'_>, breaks_a: Option<f64>) -> Missing {
        let name = &self.vehicle.devices[device.contact.device].name;
        let assumed = self.behind.iter().find(|behind| {
            let source = &self.vehicle.devices[behind.source];
            behind.is_strong(self.vehicle)
                && source.fact(Attribute::Resistance).evidence().is_none()
        });
        match (breaks_a, assumed) {
            (Some(breaks_a), Some(behind)) if device.breaks_by_what_was_read() => Missing {
                what: format!(
                    "measure the resistance of {}: {name} breaks {}, and more may flow",
                    self.vehicle.devices[behind.source].name,
                    Ampere::from_si(breaks_a)
                ),
                at: Place::Device(behind.source),
            },
            _ => Missing {
                what: format!("read off {name}, or its fuses, what current it can break"),
                at: Place::Device(device.contact.device),
            },
        }
    }

    /// With all facts known and still not in time by published figures: what would decide.
    fn what_decides(&self, device: &Device<'_>, any_below: AnyBelow) -> Missing {
        let at_device = Place::Device(device.contact.device);
        if device.is_published() && any_below == AnyBelow::Yes {
            let what = "measure the lengths of the wires on the way".to_owned();
            return Missing { what, at: Place::Wire(self.wire) };
        }
        let what = format!("take the opening times of {} from its maker's curve", device.name);
        Missing { what, at: at_device }
    }

    fn why(&self, opener: &Opener<'_>) -> String {
        let pairing = &opener.pairing;
        let at = Ampere::from_si(pairing.critical_a);
        let name = &opener.device.name;
        match (pairing.at_most, pairing.stands) {
            (Some(latest), Some(stands)) => {
                format!("{name} opens within {latest} at {at}; the wire stands that for {stands}")
            }
            (None, Some(stands)) => {
                format!("when {name} opens at {at} is not known; the wire stands that for {stands}")
            }
            (Some(latest), None) => {
                format!("{name} opens within {latest} at {at}; what the wire stands is not known")
            }
            (None, None) => format!("neither {name} nor the wire is known well enough"),
        }
    }
}

/// Names side by side in a sentence: `a, b and c`.
fn listed(names: &[&str]) -> String {
    match names {
        [before @ .., last] if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        names => names.concat(),
    }
}

fn names_of(limiting: &[(f64, Device<'_>)]) -> String {
    let names: Vec<&str> = limiting.iter().map(|(_, device)| device.name.as_str()).collect();
    listed(&names)
}

/// What to find out about a device that carries its share of a fault for good, while others open.
fn once_the_others_opened(opener: &Opener<'_>) -> Missing {
    let name = &opener.device.name;
    Missing {
        what: format!(
            "see what passes {name} once the devices beside it have opened: then more of the fault does"
        ),
        at: Place::Device(opener.device.contact.device),
    }
}

/// What to find out about another device of the line that cannot break the fault by itself: whether the
/// deciding one is quick enough for both.
fn backed_up(other: &Opener<'_>, deciding: &Opener<'_>) -> Option<Missing> {
    let Breaking::TooLittle { breaks_a, fault_a } = other.breaking else { return None };
    (other.device.contact != deciding.device.contact).then(|| Missing {
        what: format!(
            "find out whether {} opens before {} bursts: that breaks {}, and {} flow at least",
            deciding.device.name,
            other.device.name,
            Ampere::from_si(breaks_a),
            Ampere::from_si(fault_a)
        ),
        at: Place::Device(other.device.contact.device),
    })
}

/// The word if nothing is missing, else that it cannot be told.
fn decided(word: Word, why: String, mut missing: Vec<Missing>, leaning: Leaning) -> Verdict {
    if missing.is_empty() {
        return Verdict { word, leaning: None, why, missing };
    }
    missing.dedup();
    Verdict { word: Word::CannotTell, leaning: Some(leaning), why, missing }
}

/// Best first.
fn rank(opener: &Opener<'_>) -> u8 {
    let pairing = &opener.pairing;
    if pairing.never_opens {
        5
    } else if matches!(opener.breaking, Breaking::TooLittle { .. }) {
        4
    } else if pairing.is_in_time {
        0
    } else if pairing.may_be_in_time {
        1
    } else if pairing.is_too_late {
        3
    } else {
        2
    }
}

fn span(quick: Second, slow: Second) -> String {
    let (quick, slow) = (quick.to_string(), slow.to_string());
    if quick == slow { quick } else { format!("{quick} to {slow}") }
}

fn view(opener: &Opener<'_>) -> DeviceView {
    let (device, pairing) = (&opener.device, &opener.pairing);
    DeviceView {
        device: device.contact.device,
        name: device.name.clone(),
        rated: device.rated,
        share: opener.share,
        class: device.band.map(|band| band.words.clone()),
        at_least: pairing.at_least,
        at_most: pairing.at_most,
        is_published: device.is_published(),
        breaking: opener.breaking,
        to_break: None,
        figures: device.figures(),
    }
}
