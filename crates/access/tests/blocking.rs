//! Blocking derived from matrices and from boxes.

mod problems;

use std::collections::BTreeSet;

use access::{Blocking, PartIdx, Problem, Side, plan};
use model::{Cuboid, Direction};
use problems::{PLAIN, parts, removal, target};
use serde::Deserialize;
use units::Metre;

#[derive(Deserialize)]
struct Assemblies {
    assembly: Vec<Assembly>,
}

#[derive(Deserialize)]
struct Assembly {
    name: String,
    x: Vec<String>,
    y: Vec<String>,
    z: Vec<String>,
}

#[derive(Deserialize)]
struct Tables {
    one_at_a_time: Vec<Table>,
}

#[derive(Deserialize)]
struct Table {
    name: String,
    blockers: Vec<Vec<String>>,
    fewest: Vec<usize>,
}

fn assemblies() -> Vec<Assembly> {
    let all: Assemblies =
        toml::from_str(include_str!("data/moving_wedge.toml")).expect("the matrices parse");
    all.assembly
}

/// The table of alternatives for an assembly; see the head of `data/published.toml`.
fn table(name: &str) -> Table {
    let all: Tables = toml::from_str(include_str!("data/published.toml")).expect("tables parse");
    all.one_at_a_time.into_iter().find(|table| table.name == name).expect("a table")
}

fn blocking(assembly: &Assembly) -> Blocking {
    let mut blocking = Blocking::free(assembly.x.len());
    let axes = [
        (&assembly.x, Direction::Forward, Direction::Back),
        (&assembly.y, Direction::Left, Direction::Right),
        (&assembly.z, Direction::Up, Direction::Down),
    ];
    for (matrix, positive, negative) in axes {
        for (row, line) in matrix.iter().enumerate() {
            for (column, passes) in line.chars().enumerate() {
                if passes == '0' {
                    blocking.block(PartIdx(row), positive, PartIdx(column));
                    blocking.block(PartIdx(column), negative, PartIdx(row));
                }
            }
        }
    }
    blocking
}

fn letters(set: &str) -> BTreeSet<PartIdx> {
    let of = |letter: &str| PartIdx(usize::from(letter.as_bytes()[0] - b'A'));
    if set == "free" { BTreeSet::new() } else { set.split('+').map(of).collect() }
}

/// Directions of the published matrices against the published table of alternatives, 25 parts.
#[test]
fn what_must_be_out_first_follows_from_the_published_matrices() {
    let mut checked = 0;
    for assembly in assemblies() {
        let blocking = blocking(&assembly);
        for (part, blockers) in table(&assembly.name).blockers.iter().enumerate() {
            let ours: BTreeSet<_> = blocking.alternatives(PartIdx(part)).into_iter().collect();
            let published: BTreeSet<_> = blockers.iter().map(|set| letters(set)).collect();
            assert_eq!(ours, published, "{} part {part}", assembly.name);
            checked += 1;
        }
    }
    assert_eq!(checked, 25);
}

/// From the matrices straight to the fewest removals, as counted by exhaustive search outside this
/// project.
#[test]
fn plans_from_the_matrices_take_the_fewest_removals() {
    for assembly in assemblies() {
        let blocking = blocking(&assembly);
        let names: Vec<String> = (0..assembly.x.len()).map(|part| part.to_string()).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let mut problem = Problem { parts: parts(&names), ..Problem::default() };
        for part in 0..names.len() {
            for set in blocking.alternatives(PartIdx(part)) {
                let needs: Vec<usize> = set.iter().map(|need| need.0).collect();
                problem.removals.push(removal(part, &needs, 1.0));
            }
        }
        for (part, fewest) in table(&assembly.name).fewest.iter().enumerate() {
            let plan = plan(&problem, &[target(&[&[part]])], &PLAIN).expect("it comes out");
            assert_eq!(plan.steps.len(), *fewest, "{} part {part}", assembly.name);
        }
    }
}

fn cuboid(low: [f64; 3], high: [f64; 3]) -> Cuboid {
    Cuboid { low: low.map(Metre::from_si), high: high.map(Metre::from_si) }
}

fn names_of(side: &Side) -> Vec<usize> {
    side.parts.iter().map(|part| part.0).collect()
}

/// Worked by hand: a board (0) on the floor with a crate (1) on it; a shelf (2) 50 cm above; a drawer (3)
/// inside the crate. The room is 2 m long, 1 m wide, 2 m high; a hand wants 11 cm.
#[test]
fn boxes_block_the_way_they_are_run_into_and_no_other() {
    let board = cuboid([0.0, -0.5, 0.0], [1.0, 0.5, 0.02]);
    let crated = cuboid([0.2, -0.3, 0.02], [0.8, 0.3, 0.42]);
    let shelf = cuboid([0.0, -0.5, 0.92], [1.0, 0.5, 0.94]);
    let drawer = cuboid([0.25, -0.2, 0.1], [0.7, 0.2, 0.3]);
    let room = cuboid([0.0, -0.5, 0.0], [2.0, 0.5, 2.0]);
    let boxes = [Some(board), Some(crated), Some(shelf), Some(drawer)];
    let blocking = Blocking::of(&boxes, Some(&room), 0.11);
    let side = |part, direction| blocking.side(PartIdx(part), direction);
    // The board is 2 cm thick, so it moves a hand's room of 11 cm up and runs into the crate and into
    // the drawer 8 cm above it, not into the shelf; down, left, right and back is the wall; forward
    // it has its own metre of room.
    assert_eq!(names_of(side(0, Direction::Up)), [1, 3]);
    for direction in [Direction::Down, Direction::Left, Direction::Right, Direction::Back] {
        assert!(side(0, direction).wall, "{direction:?}");
    }
    assert!(side(0, Direction::Forward).is_free(&BTreeSet::new()));
    assert_eq!(blocking.alternatives(PartIdx(0)), [BTreeSet::new()]);
    // The crate is 40 cm high and the shelf 50 cm above it: free to go up; the board is below it.
    assert!(side(1, Direction::Up).is_free(&BTreeSet::new()));
    assert_eq!(names_of(side(1, Direction::Down)), [0]);
    // The drawer reaches into the crate: its box says nothing about it.
    assert!(!Direction::ALL.iter().any(|d| names_of(side(3, *d)).contains(&1)));
    assert_eq!(names_of(side(3, Direction::Down)), [0], "the board stays below the drawer");
    // A thing without a box blocks nothing.
    let without = Blocking::of(&[Some(board), None, Some(shelf)], Some(&room), 0.11);
    assert!(without.side(PartIdx(0), Direction::Up).is_free(&BTreeSet::new()));
}

/// Hand-worked: the crate may touch the board, and a board a millimetre away still touches.
#[test]
fn touching_boxes_block_and_boxes_side_by_side_do_not() {
    let low = cuboid([0.0, 0.0, 0.0], [1.0, 1.0, 0.5]);
    let on_top = cuboid([0.0, 0.0, 0.5], [1.0, 1.0, 1.0]);
    let beside = cuboid([1.0, 0.0, 0.0], [2.0, 1.0, 0.5]);
    let blocking = Blocking::of(&[Some(low), Some(on_top), Some(beside)], None, 0.11);
    let side = |part, direction| names_of(blocking.side(PartIdx(part), direction));
    assert_eq!(side(0, Direction::Up), [1]);
    assert_eq!(side(1, Direction::Down), [0]);
    assert_eq!(side(0, Direction::Forward), [2]);
    assert!(side(1, Direction::Forward).is_empty() && side(2, Direction::Up).is_empty());
    assert!(side(0, Direction::Left).is_empty());
}
