//! Questions in which costs add, drawn at random, with the answers, one JSON line each: every conductor
//! can be opened at a cost of its own, nothing is in the way, no lug is bare. The cheapest set is then a
//! minimum cut, which a general program can find too (`tests/reference.py`).
//!
//! `cuts [SEEDS]`
#![expect(clippy::print_stdout, reason = "an example reports on standard output")]

use access::{Breakage, Costing, Effort, Permitted, Problem};
use dead::{Action, Ground, Net, Start, Touch, Way, cheapest};
use fastrand::Rng;

fn main() {
    let seeds = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(200);
    (0..seeds).for_each(report);
}

fn report(seed: u64) {
    let mut rng = Rng::with_seed(seed);
    let net = net(&mut rng);
    let costing = Costing {
        value_of_a_minute: 1.0,
        allow: Permitted::Anything,
        if_unpriced: Breakage { probability: 0.5, cost_minor: 0 },
    };
    let problem = Problem::default();
    let ground = Ground { problem: &problem, costing: &costing, also: &[], effort: Effort::USUAL };
    let ways: Vec<String> = net
        .ways
        .iter()
        .zip(&net.actions)
        .map(|(way, action)| format!("[{},{},{},{}]", way.a, way.b, way.one_way, action.minutes))
        .collect();
    let starts: Vec<usize> = net.starts.iter().flat_map(|start| start.points.clone()).collect();
    let answer = match cheapest(&net, &ground) {
        Ok(answer) => format!(
            r#""cost":{},"stuck":{},"proved":{}"#,
            answer.cost_minor,
            !answer.stay_live.is_empty(),
            answer.proof == access::Proof::Optimal
        ),
        Err(_) => r#""cost":null,"stuck":false,"proved":false"#.to_owned(),
    };
    println!(
        r#"{{"seed":{seed},"points":{},"ways":[{}],"starts":{starts:?},"area":{:?},{answer}}}"#,
        net.points,
        ways.join(","),
        net.area
    );
}

/// 6 to 40 points, up to three sources, up to three points of a work area that are no source.
fn net(rng: &mut Rng) -> Net {
    let points = rng.usize(6..=40);
    let ways: Vec<Way> = (0..rng.usize(points..=points * 2))
        .map(|_| Way {
            a: rng.usize(..points),
            b: rng.usize(..points),
            one_way: rng.u8(..100) < 20,
            doubtful: rng.u8(..100) < 20,
        })
        .collect();
    let starts: Vec<Start> = (0..rng.usize(1..=3))
        .map(|_| Start { points: vec![rng.usize(..points / 2)], ..Start::default() })
        .collect();
    let actions = (0..ways.len())
        .map(|way| Action {
            name: format!("open {way}"),
            cuts: vec![way],
            stops: Vec::new(),
            loaded_by: Vec::new(),
            calms: Vec::new(),
            minutes: f64::from(rng.u32(1..=20)),
            back_min: 0.0,
            risk_min: 0.0,
            reach: vec![Vec::new()],
            touch: Touch::Covered,
            at: Vec::new(),
        })
        .collect();
    let area = (0..rng.usize(1..=3)).map(|_| rng.usize(points / 2..points)).collect();
    Net { points, ways, starts, actions, area }
}
