//! The vehicles of the trial, its cases spread over threads, and the partial results on disk, from
//! which a run that was stopped goes on.

use std::collections::BTreeSet;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::Instant;

use anyhow::{Context as _, Result, ensure};
use testkit::{Size, vehicle};
use trial::{
    Desk, Doors, Ground, Line, Report, Small, SmallLine, Watch, all, choosers, draw, key, work,
};

/// What was asked for on the command line.
pub(crate) struct Asked {
    pub(crate) seed: u64,
    pub(crate) cases: usize,
    pub(crate) jobs: usize,
    /// Other seeds than those that are reported: for setting figures of policies.
    pub(crate) is_tuning: bool,
    pub(crate) root: PathBuf,
    /// What an earlier run left is dropped.
    pub(crate) is_fresh: bool,
    /// No further cases: the report of those that are there.
    pub(crate) only_reports: bool,
    /// Only vehicles with this in their name.
    pub(crate) only: String,
    /// Every deed is told on the terminal.
    pub(crate) tells: bool,
    /// Nothing is worked: predictions under the truth are held against readings.
    pub(crate) agrees: bool,
    /// Only ways of working with this in their name; no report is made of some.
    pub(crate) policy: String,
    /// Where page and figure are written, if they are.
    pub(crate) keep: Option<PathBuf>,
}

impl Asked {
    fn kind(&self) -> &'static str {
        if self.is_tuning { "tuning" } else { "reported" }
    }

    fn seed_of(&self, ground: &Ground, case: usize) -> u64 {
        key(&format!("{} {} {} {case}", self.kind(), self.seed, ground.name))
    }
}

/// Records that have circuits and states.
const RECORDS: [&str; 4] = ["bracken", "dunlin", "plover", "tarn"];
/// Invented vehicles: seed, wires, parts.
const INVENTED: [(u64, usize, usize); 5] =
    [(100, 30, 12), (101, 48, 24), (102, 70, 36), (103, 100, 48), (104, 150, 60)];
/// Cases worked in one go; what the benches keep is dropped after them.
const CHUNK: usize = 12;
/// Of these cases one in so many gives a small question for the exact plan.
const SMALL_EVERY: usize = 5;

struct StopWatch {
    began: Instant,
    tells: bool,
}

impl Watch for StopWatch {
    fn now_ms(&self) -> f64 {
        self.began.elapsed().as_secs_f64() * 1e3
    }

    fn hears(&self, words: &dyn Fn() -> String) {
        if self.tells {
            println!("{}", words());
        }
    }
}

pub(crate) fn run(asked: &Asked) -> Result<()> {
    let mut grounds = grounds(&asked.root)?;
    grounds.retain(|ground| ground.name.contains(&asked.only));
    ensure!(!grounds.is_empty(), "no vehicle has `{}` in its name", asked.only);
    if asked.agrees {
        agreements(asked, &grounds);
        return Ok(());
    }
    let folder = asked.root.join("target/trial");
    fs::create_dir_all(&folder).with_context(|| format!("cannot make {}", folder.display()))?;
    let kind = asked.kind();
    let path = folder.join(format!("{kind}-{}.jsonl", asked.seed));
    if asked.is_fresh && path.exists() {
        fs::remove_file(&path)?;
    }
    let known = read(&path)?;
    let done: BTreeSet<(String, usize)> =
        known.iter().map(|line| (line.vehicle.clone(), line.case)).collect();
    let per_vehicle = asked.cases.div_ceil(grounds.len());
    let mut chunks = chunks(grounds.len(), per_vehicle);
    if asked.only_reports {
        chunks.clear();
    }
    println!(
        "{} vehicles, {per_vehicle} cases each; partial results: {}",
        grounds.len(),
        path.display()
    );
    let file = fs::OpenOptions::new().create(true).append(true).open(&path)?;
    let shared = Mutex::new((file, chunks.into_iter()));
    std::thread::scope(|scope| {
        for _ in 0..asked.jobs {
            scope.spawn(|| worker(asked, &grounds, &done, &shared));
        }
    });
    let lines: Vec<Line> = read(&path)?.into_iter().filter(|l| l.case < per_vehicle).collect();
    ensure!(!lines.is_empty(), "no vehicle gave a case");
    match asked.policy.is_empty() {
        true => report(asked, &lines),
        false => Ok(()),
    }
}

fn report(asked: &Asked, lines: &[Line]) -> Result<()> {
    let tuning = if asked.is_tuning { " --tuning" } else { "" };
    let command =
        format!("cargo xtask trial --seed {} --cases {}{tuning}", asked.seed, asked.cases);
    let report = Report::of(lines, &command, asked.seed);
    println!("\n{}", report.summary());
    if let Some(docs) = &asked.keep {
        fs::write(docs.join("trial.md"), report.page())?;
        fs::write(docs.join("figures/trial.svg"), report.figure())?;
        println!("written: docs/trial.md, docs/figures/trial.svg");
    }
    Ok(())
}

fn grounds(root: &Path) -> Result<Vec<Ground>> {
    let mut grounds = Vec::new();
    for name in RECORDS {
        let path = root.join(format!("records/{name}/{name}.toml"));
        let text = fs::read_to_string(&path).with_context(|| format!("no {}", path.display()))?;
        grounds.extend(Ground::new(name, &text));
    }
    for (seed, wires, parts) in INVENTED {
        let text = vehicle(seed, Size { wires, parts });
        grounds.extend(Ground::new(&format!("invented {seed}, {wires} wires"), &text));
    }
    Ok(grounds)
}

/// Vehicle and range of cases; the vehicles take turns, so that a run that is stopped has seen all.
fn chunks(vehicles: usize, cases: usize) -> Vec<(usize, std::ops::Range<usize>)> {
    (0..cases.div_ceil(CHUNK))
        .flat_map(|chunk| {
            let range = chunk * CHUNK..((chunk + 1) * CHUNK).min(cases);
            (0..vehicles).map(move |vehicle| (vehicle, range.clone()))
        })
        .collect()
}

type Shared = Mutex<(fs::File, std::vec::IntoIter<(usize, std::ops::Range<usize>)>)>;

fn worker(asked: &Asked, grounds: &[Ground], done: &BTreeSet<(String, usize)>, shared: &Shared) {
    loop {
        let next = shared.lock().expect("no worker panics while it holds it").1.next();
        let Some((vehicle, cases)) = next else { return };
        let ground = &grounds[vehicle];
        let mut desk = Desk::new(ground);
        let doors = Doors::new(&ground.vehicle, &ground.catalog);
        for case in cases.filter(|case| !done.contains(&(ground.name.clone(), *case))) {
            let Some(line) = one(asked, ground, &mut desk, &doors, case) else { continue };
            let text = serde_json::to_string(&line).expect("a line is plain data");
            let mut held = shared.lock().expect("no worker panics while it holds it");
            if let Err(error) = writeln!(held.0, "{text}") {
                eprintln!("cannot write a partial result: {error}");
            }
        }
    }
}

/// One case under every policy.
fn one(
    asked: &Asked,
    ground: &Ground,
    desk: &mut Desk<'_>,
    doors: &Doors<'_>,
    case: usize,
) -> Option<Line> {
    let drawn = draw(ground, asked.seed_of(ground, case))?;
    let watch = StopWatch { began: Instant::now(), tells: asked.tells };
    watch.hears(&|| {
        let words =
            |f: &trial::TrueFault| format!("{} [{:.3}]", ground.suspects[f.suspect].words, f.size);
        let faults: Vec<String> = drawn.faults.iter().map(words).collect();
        let says = |c: &trial::Complaint| {
            let (device, state) =
                (&ground.vehicle.devices[c.device], &ground.vehicle.states[c.state]);
            format!("{} {} in {}", device.name, c.word.word(), state.name)
        };
        let complaints: Vec<String> = drawn.complaints.iter().map(says).collect();
        format!("\n{} case {case}: {}\n  {}", ground.name, faults.join("; "), complaints.join("; "))
    });
    let mut outcomes: Vec<(String, trial::Outcome)> = all()
        .iter()
        .filter(|policy| policy.name().contains(&asked.policy))
        .map(|policy| {
            let outcome = work(ground, desk, doors, &drawn, policy.as_ref(), &watch);
            (policy.name().to_owned(), outcome)
        })
        .collect();
    outcomes.push((trial::TOLD.to_owned(), trial::told(ground, doors, &drawn)));
    let small = (asked.policy.is_empty() && case.is_multiple_of(SMALL_EVERY))
        .then(|| small(ground, desk, doors, &drawn))
        .flatten();
    let faults = drawn.faults.len();
    Some(Line { vehicle: ground.name.clone(), case, faults, outcomes, small })
}

/// The question after the complaint, cut down, under every policy and by the exact plan.
fn small(
    ground: &Ground,
    desk: &mut Desk<'_>,
    doors: &Doors<'_>,
    case: &trial::Case,
) -> Option<SmallLine> {
    let (belief, question) = trial::first_question(ground, desk, doors, case);
    let small = Small::of(&belief, &question, doors)?;
    let best = small.best(doors)?;
    let expected = choosers()
        .iter()
        .map(|policy| (policy.name().to_owned(), small.expected(doors, policy.as_ref())))
        .collect();
    Some(SmallLine { best, expected })
}

fn read(path: &Path) -> Result<Vec<Line>> {
    if !path.exists() {
        return Ok(Vec::new());
    }
    let text = fs::read_to_string(path)?;
    // A last line that was cut off when the run was stopped is taken again.
    Ok(text.lines().filter_map(|line| serde_json::from_str(line).ok()).collect())
}

/// Predictions under the truth against readings, vehicle by vehicle.
fn agreements(asked: &Asked, grounds: &[Ground]) {
    let per_vehicle = asked.cases.div_ceil(grounds.len());
    for ground in grounds {
        let mut benches =
            diagnose::Benches::new(&ground.vehicle, &ground.catalog, &ground.suspects);
        let mut all = trial::Agreement::default();
        for case in 0..per_vehicle {
            if let Some(drawn) = draw(ground, asked.seed_of(ground, case)) {
                all.add(trial::agreement(ground, &mut benches, &drawn));
            }
        }
        let trial::Agreement { readings, far, words, others } = all;
        let name = &ground.name;
        println!(
            "{name:<24} {far:>6} of {readings} readings far off, {others:>4} of {words} words"
        );
    }
}
