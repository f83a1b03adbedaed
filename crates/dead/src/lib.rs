//! The dead plan: the cheapest set of opening actions that separates a work area from everything that
//! may feed it, proven cheapest, and the order in which it is done and proven.
//!
//! **Hazard.** A plan is no proof. What it calls dead is dead once an instrument, checked on a known
//! source before and after, has said so at the point of work. What nobody knows to be open is treated
//! as conducting, what nobody knows to be empty as feeding.
//!
//! | file | what it holds |
//! |---|---|
//! | `net.rs` | the question: what may conduct and feed, what has to be dead, what can be done |
//! | `spread.rs` | how energy spreads over it |
//! | `search.rs` | the cheapest set, and why nothing is cheaper |
//! | `vehicle.rs`, `series.rs` | what a hand can do in a vehicle |
//! | `area.rs` | what belongs to a work area |

mod area;
mod net;
mod search;
mod series;
mod spread;
mod vehicle;

pub use area::{Area, EVERYTHING, area};
pub use net::{Action, BadNet, Net, Start, Touch, Way};
pub use search::{Answer, Ground, NoAnswer, cheapest};
pub use vehicle::{Act, ActKey, Asked, Loads, Sort, Stored, Wiring, ask, joints_on};

/// How energy spreads over a net, made ready once and asked many times.
pub struct Reach<'n> {
    net: &'n Net,
    spread: spread::Spread<'n>,
}

impl<'n> Reach<'n> {
    /// Makes a net ready.
    pub fn new(net: &'n Net) -> Reach<'n> {
        Reach { net, spread: spread::Spread::new(net) }
    }

    /// Which points are energised once these actions are done.
    pub fn after(&self, done: &[usize]) -> Vec<bool> {
        self.spread.energised(&self.done(done, vec![false; self.net.starts.len()]))
    }

    /// Whether one pole energises any of these points then.
    pub fn touches(&self, start: usize, done: &[usize], points: &[usize]) -> bool {
        let done = self.done(done, self.net.all_but(&[start]));
        self.spread.path(&done, points, |_| false).is_some()
    }

    fn done(&self, done: &[usize], gone: Vec<bool>) -> spread::Done {
        let mut actions = vec![false; self.net.actions.len()];
        done.iter().for_each(|action| actions[*action] = true);
        spread::Done { actions, gone }
    }
}

/// Which points are energised once these actions are done.
pub fn energised(net: &Net, done: &[usize]) -> Vec<bool> {
    let actions = (0..net.actions.len()).map(|action| done.contains(&action)).collect();
    let gone = vec![false; net.starts.len()];
    spread::Spread::new(net).energised(&spread::Done { actions, gone })
}

/// Whether an action would break current it is not made for, once these are done.
pub fn breaks_current(net: &Net, done: &[usize], action: usize) -> bool {
    let loaded_by = &net.actions[action].loaded_by;
    if loaded_by.is_empty() {
        return false;
    }
    let actions = (0..net.actions.len()).map(|action| done.contains(&action)).collect();
    let (current, gone) = (net.of_current(), net.all_but(loaded_by));
    let drives = spread::Spread::new(&current).energised(&spread::Done { actions, gone });
    net.breaks_at(action).into_iter().any(|point| drives[point])
}
