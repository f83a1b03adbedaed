//! temp
mod fixture;
#[test]
fn write_it() {
    for (n, p) in [("a4", report::Paper::A4), ("letter", report::Paper::Letter)] {
        let o = report::Options { paper: p, dated: Some("25 November 2026".to_owned()) };
        let t = std::time::Instant::now();
        let b = report::pdf(&fixture::heron(), &o).unwrap();
        println!("{n} {:?}", t.elapsed());
        std::fs::write(format!("/tmp/heron-{n}.pdf"), b).unwrap();
    }
    let mut r = fixture::heron();
    let first = r.findings[0].clone();
    r.findings.extend(vec![first; 9]);
    r.cautions.extend(r.cautions.clone());
    let t = std::time::Instant::now();
    std::fs::write("/tmp/heron-crowd.pdf", report::pdf(&r, &Default::default()).unwrap()).unwrap();
    println!("crowd {:?}", t.elapsed());
    let pattern = [r.findings[0].clone(), r.findings[3].clone()];
    r.findings = pattern.iter().cycle().take(400).cloned().collect();
    let t = std::time::Instant::now();
    report::pdf(&r, &Default::default()).unwrap();
    println!("many {:?}", t.elapsed());
}
