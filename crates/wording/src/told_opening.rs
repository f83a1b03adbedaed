//! A way in told in a language and a system of units.

use analysis::{FixingView, Opening, OpeningStep, PutBack};

use crate::Teller;

impl Teller {
    /// A way in, and the way back, in the language and units.
    pub fn opening(&self, opening: &Opening) -> Opening {
        let mut told = opening.clone();
        for target in &mut told.targets {
            target.words = self.perhaps(&target.words);
        }
        for ready in &mut told.ready {
            ready.kind = self.sentence(&ready.kind);
            ready.name = self.perhaps(&ready.name);
        }
        told.steps.iter_mut().for_each(|step| self.opening_step(step));
        for bag in &mut told.bags {
            self.fixings(&mut bag.fixings);
        }
        told.already_out.iter_mut().chain(&mut told.back).for_each(|back| self.put_back(back));
        for supply in &mut told.supplies {
            supply.words = self.perhaps(&supply.words);
        }
        self.access(told.cost.as_mut());
        told.proof = self.sentence(&told.proof);
        told
    }

    fn opening_step(&self, step: &mut OpeningStep) {
        step.how = self.perhaps(&step.how);
        self.fixings(&mut step.fixings);
        self.each(&mut step.tools);
        step.position = self.perhaps(&step.position);
        step.people_because = self.perhaps(&step.people_because);
        step.minutes_from = self.perhaps(&step.minutes_from);
        step.damage = self.perhaps(&step.damage);
        step.because = self.perhaps(&step.because);
        step.otherwise = self.perhaps(&step.otherwise);
    }

    fn put_back(&self, back: &mut PutBack) {
        self.fixings(&mut back.fixings);
        self.each(&mut back.tools);
        self.each(&mut back.new);
    }

    fn fixings(&self, fixings: &mut [FixingView]) {
        for fixing in fixings {
            fixing.words = self.perhaps(&fixing.words);
            fixing.torque = self.quantity(&fixing.torque);
        }
    }

    /// Words that may be the program's or the record's.
    fn each(&self, words: &mut [String]) {
        words.iter_mut().for_each(|word| *word = self.perhaps(word));
    }
}
