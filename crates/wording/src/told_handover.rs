//! What goes with a review into the pack, told in a language and a system of units.

use analysis::{HandoverView, MendView, NoticedRow, ProofRow};

use crate::Teller;

impl Teller {
    /// The hand-over in the language and units.
    pub fn handover(&self, handover: &HandoverView) -> HandoverView {
        let mut told = handover.clone();
        for step in &mut told.isolation.steps {
            self.names(&mut step.prove);
            self.access(step.access.as_mut());
        }
        for device in &mut told.devices {
            device.kind = self.perhaps(&device.kind);
            device.behind = self.perhaps(&device.behind);
        }
        for row in &mut told.unseen {
            self.place(&mut row.place);
            self.access(row.access.as_mut());
        }
        for photo in &mut told.photos {
            photo.of.iter_mut().for_each(|place| self.place(place));
        }
        told.mends.iter_mut().filter(|mend| mend.name.is_empty()).for_each(|mend| self.claim(mend));
        told.proofs.iter_mut().for_each(|row| self.proof(row));
        for step in &mut told.switched_off {
            step.what = self.sentence(&step.what);
        }
        for mend in &mut told.mends {
            mend.words = self.written(&mend.words);
            mend.why = self.perhaps(&mend.why);
        }
        told
    }

    /// What was noticed, with what the sums give.
    pub fn noticed(&self, rows: &[NoticedRow]) -> Vec<NoticedRow> {
        let told = |row: &NoticedRow| NoticedRow {
            words: self.written(&row.words),
            computed: self.pieces(&row.computed),
            ..row.clone()
        };
        rows.iter().map(told).collect()
    }

    /// Words side by side, each told by itself: figures, then what the equipment does.
    fn pieces(&self, words: &str) -> String {
        let told = |part: &str| {
            let pieces = part.split(", ").map(|piece| self.perhaps(piece));
            pieces.collect::<Vec<_>>().join(", ")
        };
        words.split("; ").map(told).collect::<Vec<_>>().join("; ")
    }

    /// What somebody says was put right: the title of a finding, its place, and who says so.
    fn claim(&self, mend: &mut MendView) {
        if let Some(place) = mend.words.strip_prefix("put right: ") {
            mend.words = self.sentence(&format!("put right: {}", self.name(place)));
        } else if let Some((finding, place)) = mend.words.rsplit_once(", ") {
            mend.words = format!("{}, {}", self.sentence(finding), self.name(place));
        }
        mend.why = self.sentence(&mend.why);
    }

    fn proof(&self, row: &mut ProofRow) {
        for words in [
            &mut row.what,
            &mut row.points,
            &mut row.instrument,
            &mut row.limit,
            &mut row.decides,
            &mut row.words,
        ] {
            if !words.is_empty() {
                *words = self.sentence(words);
            }
        }
        row.expected = match row.asks == "look" {
            true => self.sentence(&row.expected),
            false => self.quantity(&row.expected),
        };
        if row.state.is_empty() {
            row.state_words = self.sentence(&row.state_words);
        }
        for caution in &mut row.cautions {
            caution.words = self.sentence(&caution.words);
        }
    }
}
