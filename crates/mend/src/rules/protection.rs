//! Fuses: fitted at a source, exchanged for smaller or larger ones.

use catalog::trade_name;
use model::{Attribute, DeviceId, Finding, Place, Role, Signal, TerminalId, WireEnd, WireId};
use units::Ampere;

use crate::bench::Bench;
use crate::draft::{Draft, Part, Sort};
use crate::fuses::{Fuse, FuseWanted};
use crate::pieces::one;
use crate::rules::{Proposed, isolator, wire};
use crate::scene::{Edge, Piece, Scene};
use crate::sizes::{Size, sold};

/// The class whose ratings breakers are sold in, whatever opens them again.
const BREAKERS: &str = "breaker-manual";

/// A fuse at the source end; for a source that limits itself a wire that carries all of it.
pub(super) fn at_source(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let (Place::Wire(id), Some(Place::Device(source))) = (finding.place, finding.related.first())
    else {
        return Proposed::None("it names no wire and source".to_owned());
    };
    let device = &scene.vehicle.devices[*source];
    if !matches!(device.role, Role::Battery | Role::Alternator) {
        let most = [Attribute::ShortCurrent, Attribute::Limit, Attribute::Rated];
        let most = most.into_iter().find_map(|attribute| device.number(attribute));
        let Some(most_a) = most else {
            return Proposed::None(format!("what {} delivers at most is not known", device.name));
        };
        let what = format!("all that {} can deliver", device.name);
        return Proposed::one(wire::able_to_carry(scene, id, Ampere::from_si(most_a), &what));
    }
    let near = near_end(scene, id, *source, scene.vehicle.terminal_of(*source, "+"));
    let near_only: &[WireEnd] = &[near];
    let both: &[WireEnd] = &[near, near.other()];
    let fitted = |ends: &[WireEnd], with: With| {
        let fitting = Fitting { ends, source: *source, lead: None, with };
        fuse_at(scene, id, &fitting)
    };
    let plain = vec![fitted(near_only, With::Fuse), fitted(both, With::Fuse)];
    // A wire between two sources is live from both ends: for more money it can be made dead by hand.
    let for_service = vec![fitted(both, With::FuseAndIsolator)];
    Proposed::Ladders(vec![plain, for_service])
}

/// The end of a wire on a device; else the one fewer links away from where that feeds.
fn near_end(
    scene: &Scene<'_>,
    wire: WireId,
    source: DeviceId,
    feeds: Option<TerminalId>,
) -> WireEnd {
    let on = |end: &WireEnd| scene.device_at(wire, *end) == Some(source);
    if let Some(end) = WireEnd::BOTH.into_iter().find(on) {
        return end;
    }
    let (Some(network), Some(feeds)) = (scene.network(), feeds) else {
        return WireEnd::From;
    };
    let walk = network.graph.metal([network.graph.stud(feeds)]);
    let links = |end: &WireEnd| {
        let point = network.graph.wire_end(wire, *end);
        if walk.reaches(point) { walk.path(point).len() } else { usize::MAX }
    };
    WireEnd::BOTH.into_iter().min_by_key(links).unwrap_or(WireEnd::From)
}

/// What is fitted with each fuse.
#[derive(Clone, Copy, PartialEq)]
enum With {
    Fuse,
    FuseAndIsolator,
}

/// Where fuses are fitted into a wire, for which source, and with what.
struct Fitting<'a> {
    ends: &'a [WireEnd],
    source: DeviceId,
    lead: Option<&'a Size>,
    with: With,
}

fn fuse_at(scene: &Scene<'_>, id: WireId, fitting: &Fitting<'_>) -> Result<Draft, String> {
    let Fitting { ends, source, lead, with } = *fitting;
    if with == With::FuseAndIsolator && !feeds_from_both_ends(scene, id) {
        return Err("isolators at both ends are for a wire that a source feeds at each".to_owned());
    }
    let facts = &scene.vehicle.wires[id];
    let fuse = chosen(scene, id, ends)?;
    let at = match ends {
        [end] => {
            let device = scene.device_at(id, *end).unwrap_or(source);
            format!("at the {} end", scene.vehicle.devices[device].name)
        }
        _ => "at both ends".to_owned(),
    };
    let isolators = if with == With::FuseAndIsolator { " and an isolator" } else { "" };
    let title = format!(
        "Fit {} of {}{isolators} into wire {} {at}",
        one(fuse.kind),
        fuse.rated,
        facts.name
    );
    let what = match (ends.len(), with) {
        (_, With::FuseAndIsolator) => "isolators",
        (1, With::Fuse) => "fuse",
        _ => "fuses",
    };
    let mut bench = Bench::new(scene, what, &facts.name, title);
    for end in ends {
        let wanted = match ends.len() {
            1 => format!("{}-fuse", facts.name),
            _ => format!("{}-fuse-{}", facts.name, end_word(*end)),
        };
        if !fit(&mut bench, (id, *end), &wanted, lead, &fuse) {
            continue;
        }
        if with == With::FuseAndIsolator {
            isolator::beside_fuse(&mut bench, id, *end)?;
        }
    }
    bench.figure(&format!("fuse in wire {}", facts.name), "none", fuse.rated);
    if with == With::FuseAndIsolator {
        bench.figure(
            &format!("making wire {} dead for service", facts.name),
            "a fuse out, or a lug off, at each end",
            "two isolators by hand",
        );
        bench.because("costs more; for a wire that sources feed from both ends, so that nothing live is undone for service");
    }
    reasons(&mut bench, &fuse);
    bench.caution(Signal::Danger, "the source stays live: work on its other pole first, cover what is not worked on, insulated tools");
    bench.finish()
}

/// A fuse of its own for a wire, where the text says by now that it lands.
pub(super) fn fit_own(bench: &mut Bench<'_>, id: WireId, end: WireEnd) -> Result<(), String> {
    let name = &bench.scene.vehicle.wires[id].name;
    let fuse = chosen(bench.scene, id, &[end])?;
    if fit(bench, (id, end), &format!("{name}-fuse"), None, &fuse) {
        bench.figure(&format!("fuse in wire {name}"), "none", fuse.rated);
        reasons(bench, &fuse);
    }
    Ok(())
}

/// Puts a fuse into an end of a wire; false where it cannot be cut.
fn fit(
    bench: &mut Bench<'_>,
    (id, end): (WireId, WireEnd),
    wanted: &str,
    lead: Option<&Size>,
    fuse: &Fuse,
) -> bool {
    let scene = bench.scene;
    let facts = &scene.vehicle.wires[id];
    let Some(name) = bench.insert(id, end, wanted, lead) else { return false };
    let beside = scene.device_at(id, end).map(|device| bench.beside(device)).unwrap_or_default();
    let mut fields = vec![
        format!("kind = \"{}\"", fuse.kind),
        format!("label = \"fuse of {}\"", facts.name),
        format!("rated = \"{}\"", plain(fuse.rated)),
    ];
    fields.extend(beside);
    bench.patch.set(&["devices", &name], &format!("{{ {} }}", fields.join(", ")));
    bench.work("protection", 1.0);
    bench.part(fuse_part(fuse, &format!("protects wire {}", facts.name)));
    true
}

/// Whether a source stands at each end of a wire, the wire itself taken away.
fn feeds_from_both_ends(scene: &Scene<'_>, id: WireId) -> bool {
    let Some(network) = scene.network() else { return false };
    let vehicle = scene.vehicle;
    let feeds = |end: WireEnd| {
        let walk = network.graph.walk([network.graph.wire_end(id, end)], |link, _| {
            link.item != network::Item::Wire(id)
                && matches!(link.passage, network::Passage::Metal | network::Passage::Open)
        });
        vehicle.devices.iter().any(|(source, device)| {
            let plus = vehicle.terminal_of(source, "+");
            matches!(device.role, Role::Battery | Role::Alternator)
                && plus.is_some_and(|plus| walk.reaches(network.graph.stud(plus)))
        })
    };
    WireEnd::BOTH.into_iter().all(feeds)
}

fn end_word(end: WireEnd) -> &'static str {
    match end {
        WireEnd::From => "first",
        WireEnd::To => "second",
    }
}

/// A fuse for a wire and everything behind it up to the next protection.
fn chosen(scene: &Scene<'_>, id: WireId, ends: &[WireEnd]) -> Result<Fuse, String> {
    let facts = &scene.vehicle.wires[id];
    let network = scene.network().ok_or("no state was solved")?;
    let far = match ends {
        [near] => vec![network.graph.wire_end(id, near.other())],
        _ => Vec::new(),
    };
    let area = facts.area.value().ok_or_else(|| {
        format!(
            "the size of wire {} is not known: read it, or measure it, before a fuse is chosen",
            facts.name
        )
    })?;
    let own = scene
        .allowable(facts, *area)
        .ok_or_else(|| format!("what wire {} may carry is outside the table", facts.name))?;
    // Behind a fuse at one end hangs all that no further protection cuts off.
    let behind: Piece = match far.as_slice() {
        [] => Piece::default(),
        far => scene.piece(far, Some(id)),
    };
    let (weakest, _) = scene.weakest(&behind);
    let most = weakest.map_or(own, |(_, least)| if least < own { least } else { own });
    let levels = ends.iter().filter_map(|end| (scene.fault_level)(facts.terminal(*end)?));
    let wanted = FuseWanted {
        load_a: scene.current_a(id),
        most,
        breaks_a: levels.reduce(f64::max),
        volt: scene.highest(),
    };
    wanted.choose(scene.catalog).ok_or_else(|| {
        format!(
            "no fuse that is sold carries {}, protects wire that may carry {most}, and breaks the short circuit there: lay a larger wire first",
            Ampere::from_si(wanted.load_a)
        )
    })
}

fn reasons(bench: &mut Bench<'_>, fuse: &Fuse) {
    match &fuse.breaks {
        Some((ampere, source)) => {
            bench.because(format!("its class breaks {ampere} (source {source}); read the figure on the fuse that is bought"));
        }
        None => bench.because("what it breaks is not known: read it on the fuse that is bought"),
    }
    if fuse.has_room {
        bench.because(
            "the smallest rating that carries the load at four fifths of it and protects the wire",
        );
    } else {
        bench.because(
            "no rating leaves the usual room above the load: it carries it, but runs warm",
        );
    }
}

fn fuse_part(fuse: &Fuse, why: &str) -> Part {
    Part {
        sort: Sort::Fuse,
        what: format!("{} {} with holder", trade_name(fuse.kind), fuse.rated),
        quantity: 1.0,
        why: why.to_owned(),
        size_mm2: None,
        rated_a: Some(fuse.rated.si()),
    }
}

/// A smaller fuse, or a larger wire.
pub(super) fn too_large(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let (Place::Wire(id), Some(Place::Device(device))) = (finding.place, finding.related.first())
    else {
        return Proposed::None("it names no wire and fuse".to_owned());
    };
    let Some(network) = scene.network() else {
        return Proposed::None("no state was solved".to_owned());
    };
    let ends = WireEnd::BOTH.map(|end| network.graph.wire_end(id, end));
    let piece = scene.piece(&ends, None);
    let edges = piece.edges.iter().filter(|edge| edge.device == *device);
    let Some(edge) = edges.max_by(|a, b| rated(a).total_cmp(&rated(b))) else {
        return Proposed::None("where the fuse sits is not recorded".to_owned());
    };
    let smaller = smaller(scene, edge, &piece);
    let Some(rated) = edge.rated else {
        return Proposed::None("the rating of the fuse is not known".to_owned());
    };
    let own = branch_fuse(scene, id, edge, rated);
    let what = format!("the rating of {}", label(scene, edge));
    let larger = wire::able_to_carry(scene, id, rated, &what);
    Proposed::Choices(vec![smaller, own, larger])
}

/// A return as thick as the fuse of its feed asks for, or a fuse that the return may carry.
pub(super) fn return_too_thin(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let (Place::Wire(id), Some(Place::Device(device))) = (finding.place, finding.related.first())
    else {
        return Proposed::None("it names no return and fuse".to_owned());
    };
    let Some(network) = scene.network() else {
        return Proposed::None("no state was solved".to_owned());
    };
    let vehicle = scene.vehicle;
    let loads = WireEnd::BOTH.into_iter().filter_map(|end| scene.device_at(id, end));
    let plus = loads.filter_map(|load| vehicle.terminal_of(load, "+"));
    let studs: Vec<_> = plus.map(|plus| network.graph.stud(plus)).collect();
    let piece = scene.piece(&studs, None);
    let edges = piece.edges.iter().filter(|edge| edge.device == *device);
    let Some(edge) = edges.max_by(|a, b| rated(a).total_cmp(&rated(b))) else {
        return Proposed::None("where the fuse of its feed sits is not recorded".to_owned());
    };
    let Some(fuse) = edge.rated else {
        return Proposed::None("the rating of the fuse is not known".to_owned());
    };
    let what = format!("the rating of {}", label(scene, edge));
    let larger = wire::able_to_carry(scene, id, fuse, &what);
    Proposed::Choices(vec![larger, as_the_return(scene, edge, &piece, id)])
}

fn as_the_return(
    scene: &Scene<'_>,
    edge: &Edge,
    piece: &Piece,
    id: WireId,
) -> Result<Draft, String> {
    let facts = &scene.vehicle.wires[id];
    let own = facts.area.value().and_then(|area| scene.allowable(facts, *area));
    let own = own.ok_or("what the return may carry is not known")?;
    let least = scene.weakest(piece).0.map_or(own, |(_, most)| if most < own { most } else { own });
    let why = format!("the return {} may carry {own}", facts.name);
    exchange(scene, edge, least, "smaller", &why)
}

/// A fuse of its own where the wire leaves, on a lead that the fuse before it protects.
fn branch_fuse(scene: &Scene<'_>, id: WireId, edge: &Edge, rated: Ampere) -> Result<Draft, String> {
    let facts = &scene.vehicle.wires[id];
    let near = near_end(scene, id, edge.device, Some(edge.out));
    if scene.device_at(id, near) == Some(edge.device) {
        return Err(
            "it comes from the fuse itself: a second fuse beside it is no repair".to_owned()
        );
    }
    let insulation = scene.usual_insulation();
    let carries = |size: &Size| {
        scene.allowable_with(facts, size.area, insulation).is_some_and(|most| most >= rated)
    };
    let lead = sold(facts, scene.vehicle.region).into_iter().find(carries);
    let lead = lead.ok_or("no lead that is sold carries the rating of the fuse before it")?;
    let fitting =
        Fitting { ends: &[near], source: edge.device, lead: Some(&lead), with: With::Fuse };
    fuse_at(scene, id, &fitting)
}

fn rated(edge: &Edge) -> f64 {
    edge.rated.map_or(0.0, |ampere| ampere.si())
}

fn label(scene: &Scene<'_>, edge: &Edge) -> String {
    let name = &scene.vehicle.devices[edge.device].name;
    match edge.way {
        Some(way) => format!("{name} way {}", way + 1),
        None => name.clone(),
    }
}

fn smaller(scene: &Scene<'_>, edge: &Edge, piece: &Piece) -> Result<Draft, String> {
    let (weakest, _) = scene.weakest(piece);
    let (weakest, most) = weakest.ok_or("what the wires behind it may carry is not known")?;
    let why = format!(
        "wire {}, the weakest behind it, may carry {most}",
        scene.vehicle.wires[weakest].name
    );
    exchange(scene, edge, most, "smaller", &why)
}

/// A larger fuse where every wire behind it may carry it.
pub(super) fn overloaded(scene: &Scene<'_>, finding: &Finding) -> Proposed {
    let Place::Device(id) = finding.place else {
        return Proposed::None("it names no fuse".to_owned());
    };
    let Some(network) = scene.network() else {
        return Proposed::None("no state was solved".to_owned());
    };
    let contacts = network.contacts().iter().filter(|(owner, ..)| *owner == id);
    let mut tries = Vec::new();
    for (_, out, _) in contacts {
        let piece = scene.piece(&[network.graph.stud(*out)], None);
        let edges = piece.edges.iter().filter(|edge| edge.device == id);
        for edge in edges.filter(|edge| edge.rated.is_some_and(|rated| edge.load_a > rated.si())) {
            let (weakest, unknown) = scene.weakest(&piece);
            tries.push(match (weakest, unknown.first()) {
                (Some((wire, most)), None) => {
                    let name = &scene.vehicle.wires[wire].name;
                    let why = format!("wire {name}, the weakest behind it, may carry {most}");
                    exchange(scene, edge, most, "other", &why)
                }
                (_, Some(wire)) => Err(format!(
                    "what wire {} behind it may carry is not known",
                    scene.vehicle.wires[*wire].name
                )),
                (None, None) => Err("no wire is recorded behind it".to_owned()),
            });
        }
    }
    match tries.is_empty() {
        true => {
            Proposed::None("find out whether the load, the fuse or the record is wrong".to_owned())
        }
        false => Proposed::FirstThatCures(tries),
    }
}

/// Another rating in the same place.
pub(super) fn exchange(
    scene: &Scene<'_>,
    edge: &Edge,
    most: Ampere,
    what: &str,
    why: &str,
) -> Result<Draft, String> {
    let device = &scene.vehicle.devices[edge.device];
    let is_breaker = device.role == Role::Breaker;
    let class = scene.catalog.kinds.get(&device.kind).and_then(|kind| kind.class.as_deref());
    let class = if is_breaker { BREAKERS } else { class.unwrap_or("blade") };
    let wanted = FuseWanted { load_a: edge.load_a, most, breaks_a: None, volt: scene.highest() };
    let label = label(scene, edge);
    let found = wanted.rating_of(scene.catalog, class);
    let (rated, has_room) = found.ok_or_else(|| {
        let thing = if is_breaker { "breaker" } else { "fuse" };
        format!("no {thing} that is sold carries the {} of {label} and protects a wire that may carry {most}", Ampere::from_si(edge.load_a))
    })?;
    let title = match is_breaker {
        true => format!("Fit {} of {rated} in the place of {label}", one(&device.kind)),
        false => format!("Put a fuse of {rated} into {label}"),
    };
    let mut bench = Bench::new(scene, what, &label, title);
    match edge.way {
        Some(way) => {
            let path = ["devices", device.name.as_str(), "ways"];
            let list = bench.patch.value(&path).unwrap_or_default();
            match with_way(&list, way, rated) {
                Some(list) => bench.patch.set(&path, &list),
                None => bench.patch.refuse(format!("the ways of {} were not read", device.name)),
            }
        }
        None => bench.patch.set(&["devices", &device.name, "rated"], &plain(rated)),
    }
    let before = edge.rated.map_or_else(|| "not known".to_owned(), |rated| rated.to_string());
    bench.figure(&format!("rating of {label}"), before, rated);
    bench.because(why);
    if !has_room {
        bench.because(format!(
            "it carries the {} that flow there, without the usual room: it runs warm",
            Ampere::from_si(edge.load_a)
        ));
    }
    let kind = if edge.way.is_some() { "blade fuse" } else { device.kind.as_str() };
    // A breaker is no fuse in a holder: it is taken off its studs, and the next one mounted.
    bench.work(if is_breaker { "protection" } else { "exchange" }, 1.0);
    if is_breaker {
        bench.caution(Signal::Danger, "the source stays live: work on its other pole first, cover what is not worked on, insulated tools");
    }
    bench.part(Part {
        sort: if edge.way.is_some() { Sort::Fuse } else { Sort::of(device) },
        what: format!("{} {rated}", trade_name(kind)),
        quantity: 1.0,
        why: format!("for {label}"),
        size_mm2: None,
        rated_a: Some(rated.si()),
    });
    bench.reach(&device.name);
    bench.finish()
}

/// The list of ways with another rating in one of them; its label stays.
fn with_way(list: &str, way: usize, rated: Ampere) -> Option<String> {
    let mut at = 0;
    let mut number = 0;
    while let Some(open) = list[at..].find('"').map(|more| at + more) {
        let close = open + 1 + list[open + 1..].find('"')?;
        if number == way {
            let words = &list[open + 1..close];
            let unit = words.find(" A").map(|unit| unit + 2)?;
            let label = &words[unit..];
            return Some(format!("{}{}{label}{}", &list[..=open], plain(rated), &list[close..]));
        }
        number += 1;
        at = close + 1;
    }
    None
}

/// A rating as a record writes it.
pub(super) fn plain(rated: Ampere) -> String {
    format!("{} A", rated.si())
}

#[cfg(test)]
mod tests {
    use super::{plain, with_way};
    use units::Ampere;

    #[test]
    fn one_way_of_a_list_gets_another_rating() {
        let list = "[\"15 A fridge\", \"told 10 A pump\", \"empty\"]";
        let of = |way| with_way(list, way, Ampere::from_si(7.5));
        assert_eq!(of(0).as_deref(), Some("[\"7.5 A fridge\", \"told 10 A pump\", \"empty\"]"));
        assert_eq!(of(1).as_deref(), Some("[\"15 A fridge\", \"7.5 A pump\", \"empty\"]"));
        assert_eq!(of(2), None, "an empty way has no rating");
        assert_eq!(plain(Ampere::from_si(30.0)), "30 A");
    }
}
