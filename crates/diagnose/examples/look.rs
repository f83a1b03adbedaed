//! scratch
use diagnose::*;
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let catalog = catalog::Catalog::embedded();
    let record = record::read(&std::fs::read_to_string(path).unwrap(), &catalog);
    let v = &record.vehicle;
    let list = suspects(v, &catalog);
    if std::env::args().nth(2).is_some() {
        let mut b = Benches::new(v, &catalog, &list);
        for (id, st) in v.states.iter() {
            b.add(id);
            let mut last: Vec<(solve::variants::Why, usize)> = vec![];
            let mut by: std::collections::BTreeMap<String, (usize, usize, f64)> = Default::default();
            for (k, s) in list.iter().enumerate() {
                let kind = format!("{:?}", s.fault).split(['(', ' ']).next().unwrap().to_string();
                for size in &s.sizes {
                    let t = std::time::Instant::now();
                    let _ = b.answer(id, &[(k, *size)]);
                    let el = t.elapsed().as_secs_f64();
                    let now = b.counts().iter().find(|c| c.0 == id).unwrap().1.full.clone();
                    let n: usize = now.iter().map(|x| x.1).sum::<usize>() - last.iter().map(|x| x.1).sum::<usize>();
                    last = now;
                    let e = by.entry(if kind == "Series" { format!("{kind} {size:.2}") } else { kind.clone() }).or_default();
                    e.0 += 1; e.1 += usize::from(n > 0); e.2 += el;
                }
            }
            println!("{} {:#?}", st.name, by);
        }
        return;
    }
    {
        let list = suspects(v, &catalog);
        let mut b = Benches::new(v, &catalog, &list);
        let seen = observations(v, &catalog);
        for t in &seen.taken { b.add(t.state); let a = b.answer(t.state, &[]).unwrap(); println!("{} {:?} {} {:?}", t.name, b.values(t.state, t.points, &a), a.is_answered(), b.prediction(t.state, t.points, 0.0)); }
    }
    let t = std::time::Instant::now();
    let list = suspects(v, &catalog);
    let seen = observations(v, &catalog);
    println!(
        "{} suspects, {} readings, {} noticed, impossible {:?}",
        list.len(),
        seen.taken.len(),
        seen.noticed.len(),
        seen.impossible
    );
    println!("prior sum {}", list.iter().map(|s| s.prior).sum::<f64>());
    let mut b = Benches::new(v, &catalog, &list);
    let r = rank(&mut b, &seen, &catalog);
    println!("pairs {:?} two {:.3}", r.pairs, r.two);
    let t2 = std::time::Instant::now();
    let r = rank(&mut b, &seen, &catalog);
    println!("again {:?}", t2.elapsed());
    println!(
        "{} explanations in {:?}; not in record {:.4}",
        r.explanations.len(),
        t.elapsed(),
        r.not_in_record
    );
    for (s, c) in b.counts() { println!("state {} {:?}", v.states[s].name, c); }
    for e in r.explanations.iter().filter(|e| e.faults.len()==1 && list[e.faults[0].0].fault == Fault::AsBuilt) { println!("base {:?} {:?}", e.distance, e.each); }
    for t in &seen.taken { println!("{} {:?} shown {}", t.name, t.points, t.reading.shown); }
    for e in r.explanations.iter().take(12) {
        let w: Vec<String> =
            e.faults.iter().map(|(a, s)| format!("{} [{s:.3}]", list[*a].words)).collect();
        println!(
            "{:.4} {}\n     dist {:?} shows {:?}",
            e.weight,
            w.join(" + "),
            e.distance.iter().map(|d| (d * 10.).round() / 10.).collect::<Vec<_>>(),
            e.predicted.shows
        );
    }
    let mut m: Vec<(f64, usize)> = r.part.iter().copied().zip(0..).collect();
    m.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (w, a) in m.iter().take(8) {
        println!("part {:.3} {}", w, list[*a].words);
    }
}
