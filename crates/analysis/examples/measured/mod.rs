//! Time and memory as the system counts them for this process: on a machine that is shared, the clock
//! counts the others' work too. Where the system does not tell (it is Linux that does), the clock.

use std::fs::read_to_string;
use std::time::Instant;

/// Runs something; what it gave, and the processor time of this thread, ms.
pub(crate) fn timed<T>(run: impl FnOnce() -> T) -> (T, f64) {
    let (clock, before) = (Instant::now(), processor_ms());
    let given = run();
    let spent = before.zip(processor_ms()).map(|(before, after)| after - before);
    (given, spent.unwrap_or_else(|| clock.elapsed().as_secs_f64() * 1e3))
}

fn processor_ms() -> Option<f64> {
    let text = read_to_string("/proc/thread-self/schedstat").ok()?;
    let ns: f64 = text.split_whitespace().next()?.parse().ok()?;
    Some(ns / 1e6)
}

/// Most memory this process held so far, MB.
#[allow(dead_code, reason = "not every example tells it")]
pub(crate) fn peak_mb() -> Option<f64> {
    let text = read_to_string("/proc/self/status").ok()?;
    let line = text.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kb: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kb / 1e3)
}
