//! How long parts really took to come out and go back.

use diag::Diagnostic;
use model::{Origin, PartId, RemovalId, Took};
use units::Dimension;

use crate::fact_text::{Stated, stated};
use crate::names;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::Entry;

const EXAMPLE: &str = "write `splash: measured 26 min out, 50 min back by RK on 2026-05-02`";

impl Reader<'_> {
    pub(crate) fn took(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let Some(words) = self.text_of(&line.value) else { continue };
            if let Some(took) = self.job(name, words) {
                self.vehicle.took.push(took);
            }
        }
    }

    /// `splash: measured 26 min out, 50 min back by RK on 2026-05-02`, with the way behind the part
    /// where there are several: `splash, unscrew it from behind: 15 min out`.
    fn job(&mut self, name: &str, words: Words<'_>) -> Option<Took> {
        let Some((what, times)) = words.split_once(":") else {
            let message = "a job starts with the part that was taken out";
            self.report(Diagnostic::error("took-line", message, words.span()).help(EXAMPLE));
            return None;
        };
        let (part, how) = match what.split_once(",") {
            Some((part, how)) => (part.trim(), Some(how.trim())),
            None => (what.trim(), None),
        };
        let part = self.part_named(part)?;
        let removals = self.way_taken(part, what.trim(), how)?;
        let bare = self.bare.clone();
        let Some(Stated { value, origin, .. }) = stated(times, &bare) else {
            let message = "a job whose minutes are not known teaches nothing";
            self.report(Diagnostic::error("took-line", message, times.span()).help("leave it out"));
            return None;
        };
        if !origin.is_evidence() {
            let message = "minutes that were assumed are no job that was done";
            let fault = Diagnostic::error("took-line", message, times.span());
            self.report(fault.help("write an estimate in the part: `out = \"20 min\"`"));
            return None;
        }
        self.minutes_taken(name, part, removals, value, origin)
    }

    fn minutes_taken(
        &mut self,
        name: &str,
        part: PartId,
        removals: Vec<RemovalId>,
        value: Words<'_>,
        origin: Origin,
    ) -> Option<Took> {
        let (mut out_min, mut back_min) = (None, None);
        for piece in self.pieces(value, ",")? {
            let (minutes, side) = match (piece.split_once(" out"), piece.split_once(" back")) {
                (Some((minutes, rest)), None) if rest.text.is_empty() => (minutes, &mut out_min),
                (None, Some((minutes, rest))) if rest.text.is_empty() => (minutes, &mut back_min),
                _ => {
                    let message = "say whether these are the minutes out or back";
                    self.report(
                        Diagnostic::error("took-line", message, piece.span()).help(EXAMPLE),
                    );
                    return None;
                }
            };
            let number = self.number(minutes, Dimension::Minutes)?;
            if side.is_some() || number <= 0.0 {
                let (message, help) = if number <= 0.0 {
                    ("nothing takes no time", "write the minutes it took")
                } else {
                    ("this side is said twice", "one job has one time out and one time back")
                };
                self.report(Diagnostic::error("took-line", message, piece.span()).help(help));
                return None;
            }
            *side = Some(number);
        }
        Some(Took { name: name.to_owned(), part, removals, out_min, back_min, origin })
    }

    /// The way a part was taken out: the only one, or the one that is named.
    fn way_taken(
        &mut self,
        part: PartId,
        what: Words<'_>,
        how: Option<Words<'_>>,
    ) -> Option<Vec<RemovalId>> {
        let ways = self.vehicle.parts[part].removals.clone();
        let label = |id: &RemovalId| self.vehicle.removals[*id].label.as_str();
        let mut labels: Vec<&str> = ways.iter().map(label).collect();
        labels.dedup();
        let quoted = labels.iter().map(|label| format!("`{label}`")).collect::<Vec<_>>().join(", ");
        let fault = match (how, labels.as_slice()) {
            (_, []) => {
                let message =
                    "no way of taking this part out is known, so there is no estimate to mend";
                Diagnostic::error("took-way", message, what.span())
                    .help("give the part its `fixings` or `out` under `[parts]`")
            }
            (None, [_]) => return Some(ways),
            (None, _) => {
                Diagnostic::error("took-way", "this part comes out several ways", what.span())
                    .help(format!("write the one that was taken behind the part: {quoted}"))
            }
            (Some(how), _) => {
                let taken: Vec<RemovalId> =
                    ways.iter().filter(|id| label(id) == how.text).copied().collect();
                if !taken.is_empty() {
                    return Some(taken);
                }
                let message = format!("the part has no way `{}`", names::shown(how.text));
                Diagnostic::error("took-way", message, how.span())
                    .help(format!("its ways are: {quoted}"))
            }
        };
        self.report(fault);
        None
    }
}
