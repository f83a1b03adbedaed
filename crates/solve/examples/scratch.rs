#![allow(missing_docs, clippy::all)]
use circuit::*;
use solve::*;
#[path = "support/van.rs"]
mod van;
fn main() {
    if std::env::var("TR").is_ok() {
        let mut c = van::van(8, 11);
        let id = c.branches().find(|(_, b)| b.name == "house internal").unwrap().0;
        if let Element::Resistor { ohm, .. } = &mut c.branch_mut(id).element {
            *ohm = 10.0;
        }
        println!("{:?}", operating_point(&c, &Options { guards: Some(vec![false]) }).is_ok());
        return;
    }
    let mut fails = 0;
    let mut n = 0;
    let t = std::time::Instant::now();
    let mut byname = std::collections::BTreeMap::<String, u32>::new();
    let mut worst = 0;
    for seed in 0..60u64 {
        let base = van::van(8, seed);
        let rs: Vec<_> = base
            .branches()
            .filter(|(_, b)| matches!(b.element, Element::Resistor { .. }))
            .map(|(i, _)| i)
            .collect();
        for r in rs {
            for d in [-7.0, -2.0, -1.0, 0.0, 1.0, 7.5f64] {
                let mut c = base.clone();
                if let Element::Resistor { ohm, .. } = &mut c.branch_mut(r).element {
                    *ohm = 10f64.powf(d);
                }
                n += 1;
                match settle(&c) {
                    Outcome::Trouble(t) => {
                        fails += 1;
                        *byname
                            .entry(format!(
                                "{} {d} {}",
                                c.branch(r).name,
                                t.to_string().chars().take(30).collect::<String>()
                            ))
                            .or_default() += 1;
                        if fails < 4 {
                            println!("{seed} {} {d} {t}", c.branch(r).name);
                            for on in [true, false] {
                                println!(
                                    " {on} {:?}",
                                    operating_point(&c, &Options { guards: Some(vec![on]) })
                                        .map(|p| p.iterations)
                                );
                            }
                            for (_, b) in c.branches() {
                                match b.element {
                                    Element::Resistor { .. } => {}
                                    _ => println!("   {} {:?}", b.name, b.element),
                                }
                            }
                        }
                    }
                    Outcome::Settled(p) => {
                        worst = worst.max(p.iterations); *byname.entry(format!("iters {:03} col {}",(p.iterations.min(60)),p.collapsed.len())).or_default()+=1;
                    }
                    _ => {}
                }
            }
        }
    }
    println!("{fails} of {n} in {:?} worst it {worst}", t.elapsed());
    for (k, v) in byname {
        println!("{v} {k}");
    }
}
