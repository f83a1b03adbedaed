//! How bad a defect is: consequence times likelihood, with the reason, as a check's page says it.
//!
//! A page lists, under `## How bad it is`, one line for each signal word its failures may have:
//! `- WARNING: grave x possible. Why.`

use model::{Consequence, Likelihood, Signal};

/// The reasoning behind a signal word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Grade {
    /// The signal word.
    pub signal: Signal,
    /// What happens at worst.
    pub consequence: Consequence,
    /// How readily it happens.
    pub likelihood: Likelihood,
    /// Why.
    pub because: &'static str,
}

const HEADING: &str = "## How bad it is";

impl Grade {
    /// The grades on a page. A line that does not read as one is left out; a test sees to it that
    /// there is none.
    pub(crate) fn all_on(page: &'static str) -> Vec<Grade> {
        let lines = page.lines().skip_while(|line| *line != HEADING).skip(1);
        lines.take_while(|line| !line.starts_with('#')).filter_map(Grade::read).collect()
    }

    fn read(line: &'static str) -> Option<Grade> {
        let (signal, rest) = line.strip_prefix("- ")?.split_once(": ")?;
        let (product, because) = rest.split_once(". ")?;
        let (consequence, likelihood) = product.split_once(" x ")?;
        Some(Grade {
            signal: Signal::ALL.into_iter().find(|word| word.word() == signal)?,
            consequence: Consequence::ALL.into_iter().find(|word| word.word() == consequence)?,
            likelihood: Likelihood::ALL.into_iter().find(|word| word.word() == likelihood)?,
            because,
        })
    }

    /// True when the signal word is what consequence and likelihood give.
    pub fn adds_up(&self) -> bool {
        Signal::of(self.consequence, self.likelihood) == self.signal
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "# title\n\nHazard.\n\n## How bad it is\n\n- DANGER: grave x expected. It burns.\n- NOTICE: grave x possible. Never.\n\n## Next\n\n- WARNING: grave x possible. Not here.\n";

    #[test]
    fn a_page_gives_its_grades_and_no_others() {
        let grades = Grade::all_on(PAGE);
        assert_eq!(grades.len(), 2);
        assert_eq!(grades[0].because, "It burns.");
        assert!(grades[0].adds_up());
        assert!(!grades[1].adds_up(), "what may kill is more than a notice");
    }

    #[test]
    fn every_grade_of_every_check_adds_up_and_gives_its_reason() {
        for check in crate::all() {
            let (_, section) = check.page.split_once(HEADING).unwrap_or_else(|| {
                panic!("{}: no `{HEADING}`", check.slug);
            });
            let section = section.split("\n## ").next().unwrap_or_default();
            let lines = section.lines().filter(|line| line.starts_with("- ")).count();
            let grades = check.grades();
            assert!(!grades.is_empty() && grades.len() == lines, "{}: {section}", check.slug);
            for grade in grades {
                assert!(grade.adds_up(), "{}: {grade:?}", check.slug);
                assert!(grade.because.len() > 15, "{}: {grade:?}", check.slug);
            }
        }
    }
}
