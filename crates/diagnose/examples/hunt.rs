//! scratch
use diagnose::*;
use model::*;
fn main() {
    let args: Vec<String> = std::env::args().collect();
    let catalog = catalog::Catalog::embedded();
    let record = record::read(&std::fs::read_to_string(&args[1]).unwrap(), &catalog);
    let mut v = record.vehicle.clone();
    v.readings.clear();
    v.symptoms.clear();
    v.history = Default::default();
    let orig = v.clone();
    let list = suspects(&orig, &catalog);
    let truth: Vec<(usize, f64)> = args[4..].chunks(2).map(|c| (list.iter().position(|s| s.words.contains(&c[0])).expect("suspect"), c[1].parse().unwrap())).collect();
    for t in &truth { println!("TRUTH {} [{}]", list[t.0].words, t.1); }
    let mut b = Benches::new(&orig, &catalog, &list);
    let dev = orig.devices.find(|d| d.name == args[2]).unwrap().0;
    let st = orig.states.find(|s| s.name == args[3]).unwrap().0;
    b.add(st);
    let a = b.answer(st, &truth).unwrap();
    let sh = b.shows(st, dev, &a).unwrap();
    let a0 = b.answer(st, &[]).unwrap();
    println!("complaint {:?} (healthy {:?})", sh, b.shows(st, dev, &a0));
    let sym = |d, s, sh| Symptom { words: "x".into(), device: Some(d), state: Some(s), shows: Fact::known(sh, Origin::Told { by: None, on: None }), after_s: None };
    v.symptoms.push(sym(dev, st, sh));
    let q = access::vehicle::problem(&orig, &catalog);
    let costing = access::vehicle::costing(catalog.stand_ins.workshop_hour.cents(), catalog.stand_ins.broken_part.cents(), access::Permitted::Anything);
    let mut done = vec![];
    let mut total = 0.0;
    for step in 0..12 {
        let t = std::time::Instant::now();
        let seen = observations(&v, &catalog);
        let r = rank(&mut b, &seen, &catalog);
        let t1 = t.elapsed();
        let t = std::time::Instant::now();
        let asked = Asked { catalog: &catalog, seen: &seen, ranking: &r, furniture: &q.problem, costing: costing.clone(), now: Some(st), done: &done };
        let adv = advise(&mut b, &asked);
        println!("-- step {step}: rank {t1:?} advise {:?}; {} expl, pairs {:?}, two {:.3} outside {:.3}; {} groups, rest {:.3}, {} checks, exact {}", t.elapsed(), r.explanations.len(), r.pairs, r.two, r.not_in_record, adv.groups.len(), adv.rest, adv.checks.len(), adv.is_exact);
        for e in r.explanations.iter().take(4) { println!("   {:.3} {}", e.weight, e.faults.iter().map(|f| format!("{} [{:.3}]", list[f.0].words, f.1)).collect::<Vec<_>>().join(" + ")); }
        let name = |s: &Step| match s {
            Step::Check(k) => { let c = &adv.checks[*k]; let w = match c.check.what { What::Read(ReadingPoints::Between(a, b)) => format!("V {} {}", orig.terminal_name(a), orig.terminal_name(b)), What::Read(ReadingPoints::In(w)) => format!("A {}", orig.wires[w].name), What::Read(ReadingPoints::Over(j)) => format!("mV over {}", orig.joint_name(j)), What::Look(j) => format!("look {}", orig.joint_name(j)), What::Watch(d) => format!("watch {}", orig.devices[d].name), x => format!("{x:?}") }; format!("{w} in {:?} ({:.1}+{:.1} min, {:.2} bit, {} kinds)", c.check.state.map(|s| orig.states[s].name.clone()), c.check.minutes, c.opening_min, c.gain_bit, c.outcomes.kinds.len()) }
            Step::Repair(g) => format!("REPAIR {:?} p={:.3}", adv.groups[*g].cures.iter().map(|c| format!("{} {}", orig.place_name(c.0), c.1)).collect::<Vec<_>>(), adv.groups[*g].weight),
            Step::SearchEverything => "SEARCH".into(),
        };
        for s in adv.steps.iter().take(3) { println!("   {:.1} min: {}", s.minutes, name(&s.step)); }
        println!("   without checks {:.1}; proof {:?}", adv.without_checks, adv.proof.as_ref().map(|p| (p.check.what, p.expected.clone(), p.shows)));
        match adv.steps.first().map(|s| s.step) {
            Some(Step::Check(k)) => {
                let c = &adv.checks[k];
                total += c.minutes();
                done.push((c.check.what, c.check.state));
                match c.check.what {
                    What::Read(p) => {
                        let s = c.check.state.unwrap();
                        let a = b.answer(s, &truth).unwrap();
                        let value = b.values(s, p, &a)[0];
                        println!("   => {value:.4}");
                        let dimension = if matches!(p, ReadingPoints::In(_) | ReadingPoints::On(_)) { units::Dimension::Current } else { units::Dimension::Voltage };
                        let note = if c.check.method == catalog::Method::Drop && value.abs() < 0.4 { "millivolt" } else { "multimeter" };
                        v.readings.push(model::Reading { name: format!("r{step}"), state: s, points: p, value, dimension, spread: None, note: note.into() });
                    }
                    What::Watch(d) => { let s = c.check.state.unwrap(); let a = b.answer(s, &truth).unwrap(); let sh = b.shows(s, d, &a).unwrap(); println!("   => {sh:?}"); let mut y = sym(d, s, sh); y.shows = Fact::known(sh, Origin::seen()); v.symptoms.push(y); }
                    What::Look(j) => { let bad = truth.iter().any(|t| list[t.0].place == Place::Joint(j)); println!("   => bad {bad}"); v.joints[j].condition = Fact::known(if bad { Condition::Loose } else { Condition::Good }, Origin::seen()); }
                }
            }
            Some(s) => { println!("DONE after {total:.1} min: {}", name(&s)); break; }
            None => break,
        }
    }
}
