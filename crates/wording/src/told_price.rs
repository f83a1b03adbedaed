//! Repairs and their price, told in a language and a system of units. Names of repairs, of people and of
//! what stands in the record stay.

use analysis::{MendList, PriceView};

use crate::Teller;

impl Teller {
    /// What a pack shows of a price, in the language and units: its lines, the goods, what is outside of
    /// what was agreed to.
    pub fn price(&self, price: &PriceView) -> PriceView {
        let mut told = price.clone();
        for line in &mut told.asked.lines {
            // How many, then what.
            line.what = match line.what.split_once(" × ") {
                Some((count, what)) => format!("{count} × {}", self.sentence(what)),
                None => self.sentence(&line.what),
            };
        }
        for row in &mut told.materials {
            row.what = self.sentence(&row.what);
        }
        told.flags.iter_mut().for_each(|flag| *flag = self.sentence(flag));
        told
    }

    /// What is done in each repair, and what it takes, in the language and units.
    pub fn mends(&self, mends: &MendList) -> MendList {
        let mut told = mends.clone();
        for offer in &mut told.offers {
            offer.title = self.sentence(&offer.title);
            for part in &mut offer.parts {
                part.what = self.sentence(&part.what);
            }
            for caution in &mut offer.cautions {
                caution.words = self.sentence(&caution.words);
            }
        }
        for chosen in &mut told.chosen {
            chosen.words = self.written(&chosen.words);
        }
        told
    }
}
