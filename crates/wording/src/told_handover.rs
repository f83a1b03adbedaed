//! What goes with a review into the pack, told in a language and a system of units.

use analysis::HandoverView;

use crate::Teller;

impl Teller {
    /// The hand-over in the language and units.
    pub fn handover(&self, handover: &HandoverView) -> HandoverView {
        let mut told = handover.clone();
        for step in &mut told.isolation.steps {
            self.names(&mut step.prove);
            self.access(step.access.as_mut());
        }
        for row in &mut told.unseen {
            self.place(&mut row.place);
            self.access(row.access.as_mut());
        }
        for photo in &mut told.photos {
            photo.of.iter_mut().for_each(|place| self.place(place));
        }
        told
    }
}
