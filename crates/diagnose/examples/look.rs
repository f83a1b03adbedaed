//! scratch
use diagnose::*;
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let catalog = catalog::Catalog::embedded();
    let record = record::read(&std::fs::read_to_string(path).unwrap(), &catalog);
    let v = &record.vehicle;
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
    let mut p = Predictor::new(v, &catalog, &seen.states());
    let r = rank(&list, &mut p, &seen, &catalog);
    println!(
        "{} explanations in {:?}; not in record {:.4}",
        r.explanations.len(),
        t.elapsed(),
        r.not_in_record
    );
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
