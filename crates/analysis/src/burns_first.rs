//! What a short circuit does to wires, as far as a repair may make it worse: a wire that is ruined before
//! anything opens, or whose fuse cannot break the current.

use std::collections::BTreeMap;

use protect::Word;

use crate::case::Case;

/// The worst verdict of each wire, by its name.
pub(crate) struct Burns(BTreeMap<String, (Word, String)>);

impl Burns {
    /// A wire that burns first, or is not broken, in another record and did not in this one.
    pub(crate) fn raised_in(&self, after: &Burns) -> Option<String> {
        let bad = after.0.iter().filter(|(_, (word, _))| *word <= Word::CannotBreak);
        let new = bad
            .into_iter()
            .find(|(wire, (word, _))| self.0.get(*wire).is_none_or(|(before, _)| before > word));
        new.map(|(wire, (word, why))| {
            format!("in a short circuit wire {wire} {}: {why}", word.words().to_lowercase())
        })
    }
}

impl Case {
    /// What a short circuit does to each wire, short runs ahead of the first fuse left out.
    pub(crate) fn burns(&self) -> Burns {
        let study = protect::study(self.vehicle(), &self.catalog, protect::Stand::Any);
        let mut worst: BTreeMap<String, (Word, String)> = BTreeMap::new();
        for row in study.rows.iter().filter(|row| row.short_run.is_none()) {
            let name = self.vehicle().wires[row.wire].name.clone();
            let verdict = (row.verdict.word, row.verdict.why.clone());
            let known = worst.entry(name).or_insert_with(|| verdict.clone());
            if verdict.0 < known.0 {
                *known = verdict;
            }
        }
        Burns(worst)
    }
}
