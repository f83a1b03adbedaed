//! Which wires go on which sheet. Every wire is on one sheet; a device whose wires are on several is
//! drawn on each of them and says on which others it is.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::input::{Device, End, Symbol, WiringDrawing};
use super::net::{Net, is_repeated};
use super::place::place;
use super::sheet::{Contents, Paper, ROW, SMALLEST, WiringSheet};
use crate::speech::Speech;

/// Draws the wiring on as many sheets as it takes to be legible.
pub fn wiring(drawing: &WiringDrawing, paper: Paper) -> Vec<WiringSheet> {
    let drawing = &sound(drawing);
    let wires: Vec<usize> = (0..drawing.wires.len()).collect();
    if drawing.devices.is_empty() && drawing.wires.is_empty() {
        return Vec::new();
    }
    let bare = bare(drawing);
    let may_fit = wires.len() <= MOST_ON_A_SHEET;
    if paper == Paper::Whole || may_fit && fits(drawing, &wires, &bare, paper, SMALLEST) {
        let half = paper.half().filter(|&half| fits(drawing, &wires, &bare, half, AMPLE));
        let (net, paper) = (Net::of(drawing, &wires, &bare), half.unwrap_or(paper));
        return vec![Contents { drawing, net, paper, number: (1, 1) }.finish()];
    }
    let sheets = sheets(&foreseen(drawing), paper);
    let all = sheets.len();
    let referring = with_references(drawing, &sheets);
    sheets
        .iter()
        .enumerate()
        .map(|(at, wires)| {
            let drawing = &referring[at];
            let extra: &[usize] = if at + 1 == all { &bare } else { &[] };
            let net = Net::of(drawing, wires, extra);
            Contents { drawing, net, paper, number: (at + 1, all) }.finish()
        })
        .collect()
}

/// The drawing as it comes out on several sheets: what many circuits meet at then names other sheets,
/// which takes room.
fn foreseen(drawing: &WiringDrawing) -> WiringDrawing {
    let mut foreseen = drawing.clone();
    let wires = wires_at(drawing);
    for (device, wires) in foreseen.devices.iter_mut().zip(wires) {
        if is_hub(device, wires) && !is_repeated(device) {
            refer(device, &drawing.speech, "2, 3");
        }
    }
    foreseen
}

/// Adds to the figure of a device on which other sheets it is.
fn refer(device: &mut Device, speech: &Speech, others: &str) {
    let reference = format!("({})", speech.fill("also {a}", &[others]));
    device.rating = format!("{} {reference}", device.rating).trim().to_owned();
}

/// How many ends of wires are on each device.
fn wires_at(drawing: &WiringDrawing) -> Vec<usize> {
    let mut count = vec![0_usize; drawing.devices.len()];
    for device in drawing.wires.iter().flat_map(|wire| &wire.ends).filter_map(device_of) {
        count[device] += 1;
    }
    count
}

/// An end on a device or terminal that is not in the drawing has not been seen.
fn sound(drawing: &WiringDrawing) -> WiringDrawing {
    let mut drawing = drawing.clone();
    let terminals: Vec<usize> = drawing.devices.iter().map(|d| d.terminals.len()).collect();
    for end in drawing.wires.iter_mut().flat_map(|wire| &mut wire.ends) {
        if let End::At { device, terminal } = end
            && terminals.get(*device).is_none_or(|count| *terminal >= *count)
        {
            *end = End::Unseen;
        }
    }
    drawing
}

/// No paper holds more; saves laying out all of it to find that out.
const MOST_ON_A_SHEET: usize = 300;

/// Devices without a wire.
fn bare(drawing: &WiringDrawing) -> Vec<usize> {
    let mut wired = BTreeSet::new();
    for wire in &drawing.wires {
        wired.extend(wire.ends.iter().filter_map(device_of));
    }
    (0..drawing.devices.len())
        .filter(|at| !wired.contains(at) && !is_repeated(&drawing.devices[*at]))
        .collect()
}

fn device_of(end: &End) -> Option<usize> {
    match end {
        End::At { device, .. } => Some(*device),
        End::Behind(_) | End::Unseen => None,
    }
}

/// A drawing that comes out so large on half the paper takes half the paper.
const AMPLE: f64 = 1.0;

fn fits(
    drawing: &WiringDrawing,
    wires: &[usize],
    bare: &[usize],
    paper: Paper,
    least_scale: f64,
) -> bool {
    let net = Net::of(drawing, wires, bare);
    let placed = place(drawing, &net, ROW);
    Contents { drawing, net, paper, number: (1, 1) }.scale(&placed) >= least_scale
}

/// Wires of each sheet: whole circuits, as many as fit.
fn sheets(drawing: &WiringDrawing, paper: Paper) -> Vec<Vec<usize>> {
    let circuits = circuits(drawing);
    let wires_of = |range: Range<usize>| -> Vec<usize> {
        let mut wires: Vec<usize> = circuits[range].iter().flatten().copied().collect();
        wires.sort_unstable();
        wires
    };
    let does_fit = |range| fits(drawing, &wires_of(range), &[], paper, SMALLEST);
    // Sources and what distributes have sheets of their own, so that the others are not as wide.
    let is_first = |circuit: &&Vec<usize>| key(drawing, circuit).0 == 0;
    let first = circuits.iter().take_while(is_first).count();
    let mut starts = Vec::new();
    let mut at = 0;
    // How many circuits fit is much the same from sheet to sheet.
    let mut guess = 16;
    while at < circuits.len() {
        let all = if at < first { first - at } else { circuits.len() - at };
        let count = most(all, guess, |count| does_fit(at..at + count));
        starts.push(at);
        guess = count;
        at += count;
    }
    if let [.., before, last] = &mut starts[..]
        && *before >= first
    {
        let box_of = |at: usize| key(drawing, &circuits[at]).0;
        *last = levelled(*before..*last, circuits.len(), box_of, does_fit);
    }
    let ends = starts.iter().skip(1).copied().chain([circuits.len()]);
    let sheets = starts.iter().zip(ends).map(|(start, end)| wires_of(*start..end)).collect();
    joined(drawing, sheets, paper)
}

/// Sheets of which two are so low that they fit on one, put together: low, wide circuits come one after
/// another, and each would leave most of its sheet empty.
fn joined(drawing: &WiringDrawing, sheets: Vec<Vec<usize>>, paper: Paper) -> Vec<Vec<usize>> {
    let share = |wires: &[usize]| {
        let net = Net::of(drawing, wires, &[]);
        let placed = place(drawing, &net, ROW);
        Contents { drawing, net, paper, number: (1, 1) }.share_of_height(&placed, SMALLEST)
    };
    let mut kept: Vec<(Vec<usize>, f64)> = Vec::new();
    for wires in sheets {
        let own = share(&wires);
        let both = |with: &[usize]| {
            let mut both = [with, &wires].concat();
            both.sort_unstable();
            both
        };
        let found = kept.iter_mut().find_map(|(with, filled)| {
            let may = *filled + own <= 1.0;
            let both =
                may.then(|| both(with)).filter(|b| fits(drawing, b, &[], paper, SMALLEST))?;
            Some((with, filled, both))
        });
        match found {
            Some((with, filled, both)) => {
                *filled = share(&both);
                *with = both;
            }
            None => kept.push((wires, own)),
        }
    }
    kept.into_iter().map(|(wires, _)| wires).collect()
}

/// Where the last sheet begins, so that it is not nearly empty while the one before is full: with a fuse
/// box if one begins there, or in the middle of the circuits of both.
fn levelled(
    before: Range<usize>,
    end: usize,
    box_of: impl Fn(usize) -> usize,
    does_fit: impl Fn(Range<usize>) -> bool,
) -> usize {
    let last = end - before.end;
    if 2 * last >= before.len() {
        return before.end;
    }
    let smaller = |at: usize| (at - before.start).min(end - at);
    let begins_box = |at: &usize| box_of(*at) != box_of(*at - 1) && smaller(*at) > last;
    let between = before.start + 1..before.end;
    let by_box = between.filter(begins_box).max_by_key(|at| smaller(*at));
    let middle = before.start.midpoint(end);
    [by_box, Some(middle)].into_iter().flatten().find(|at| does_fit(*at..end)).unwrap_or(before.end)
}

/// The most from 1 to `all` that does fit, if fewer always fit where more do; 1 even where that does
/// not. Tries `guess` first.
fn most(all: usize, guess: usize, does_fit: impl Fn(usize) -> bool) -> usize {
    let (mut fits, mut fails) = (1, all + 1);
    let mut probe = guess.clamp(1, all);
    while fails - fits > 1 {
        probe = probe.clamp(fits + 1, fails - 1);
        if does_fit(probe) {
            fits = probe;
            probe += probe.div_ceil(4);
        } else {
            fails = probe;
            probe = usize::midpoint(fits, fails);
        }
    }
    fits
}

/// Wires that hang together without passing a place where many meet; what feeds them decides the
/// order, then the way of the fuse box.
fn circuits(drawing: &WiringDrawing) -> Vec<Vec<usize>> {
    let mut group: Vec<usize> = (0..drawing.wires.len()).collect();
    fn root(group: &mut [usize], mut at: usize) -> usize {
        while group[at] != at {
            group[at] = group[group[at]];
            at = group[at];
        }
        at
    }
    let count = wires_at(drawing);
    let mut first_at: BTreeMap<usize, usize> = BTreeMap::new();
    for (at, wire) in drawing.wires.iter().enumerate() {
        for device in wire.ends.iter().filter_map(device_of) {
            if is_hub(&drawing.devices[device], count[device]) {
                continue;
            }
            let first = *first_at.entry(device).or_insert(at);
            let (a, b) = (root(&mut group, first), root(&mut group, at));
            group[a.max(b)] = a.min(b);
        }
    }
    let mut circuits: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for at in 0..drawing.wires.len() {
        let root = root(&mut group, at);
        circuits.entry(root).or_default().push(at);
    }
    let mut circuits: Vec<Vec<usize>> = circuits.into_values().collect();
    circuits.sort_by_cached_key(|wires| key(drawing, wires));
    circuits
}

/// Where many circuits meet; a splice of few wires belongs to its circuit.
fn is_hub(device: &Device, wires: usize) -> bool {
    match device.symbol {
        Symbol::FuseBox | Symbol::Battery | Symbol::Body | Symbol::Earth => true,
        Symbol::Bar => wires >= LEAST_OF_HUB,
        _ => false,
    }
}

/// A bar with fewer wires is a splice.
const LEAST_OF_HUB: usize = 5;

/// What is not fed from a fuse box comes first; then box by box, way by way.
fn key(drawing: &WiringDrawing, wires: &[usize]) -> (usize, usize, usize) {
    let feed = wires
        .iter()
        .flat_map(|&wire| &drawing.wires[wire].ends)
        .filter_map(|end| match end {
            End::At { device, terminal }
                if drawing.devices[*device].symbol == Symbol::FuseBox && *terminal > 0 =>
            {
                Some((device + 1, *terminal))
            }
            _ => None,
        })
        .min();
    let (device, way) = feed.unwrap_or_default();
    (device, way, wires.first().copied().unwrap_or_default())
}

/// The drawing for each sheet: devices on several sheets name the others.
fn with_references(drawing: &WiringDrawing, sheets: &[Vec<usize>]) -> Vec<WiringDrawing> {
    let mut on: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); drawing.devices.len()];
    for (sheet, wires) in sheets.iter().enumerate() {
        for &wire in wires {
            for device in drawing.wires[wire].ends.iter().filter_map(device_of) {
                on[device].insert(sheet + 1);
            }
        }
    }
    (1..=sheets.len())
        .map(|sheet| {
            let mut own = drawing.clone();
            own.key = format!("{}-{sheet}", drawing.key);
            for (device, on) in own.devices.iter_mut().zip(&on) {
                let others: Vec<String> =
                    on.iter().filter(|&&other| other != sheet).map(ToString::to_string).collect();
                if !others.is_empty() && on.contains(&sheet) && !is_repeated(device) {
                    refer(device, &drawing.speech, &others.join(", "));
                }
            }
            own
        })
        .collect()
}
