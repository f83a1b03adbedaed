//! The linear programme of a node, with the way from its numbers to those of actions and landmarks,
//! and the search for landmarks that it lacks.

use std::rc::Rc;

use crate::exact::dual::{Pool, spend};
use crate::exact::flow::neglected;
use crate::exact::net::{NONE, Net};
use crate::exact::simplex::Programme;
use crate::exact::{Choice, Price};

/// How many new landmarks are looked for after each solution of the programme.
const LANDMARKS_AT_ONCE: usize = 24;
/// A round that closes less than this part of the gap to the best plan is a slow one.
const SLOW: f64 = 0.03;
/// Multiplications that take as long as a look at an action (measured roughly).
const WORK_PER_LOOK: u64 = 64;

/// The programme of a node.
#[derive(Clone)]
pub(crate) struct Relaxed {
    programme: Programme,
    /// The actions in the programme.
    open: Vec<usize>,
    /// By action: its number in the programme, or [`NONE`].
    number: Vec<usize>,
    /// By action in the programme: what it has been told of.
    told: Vec<Choice>,
    scale: f64,
}

/// How far to go on.
pub(crate) struct Limits<'l> {
    /// From this price on nothing better can be found here.
    pub(crate) room: Price,
    /// Slow rounds in a row before giving up.
    pub(crate) patience: u32,
    /// Looks left.
    pub(crate) looks: &'l mut u64,
}

impl Relaxed {
    /// The programme of the given actions with the landmarks that have a price.
    pub(crate) fn new(
        net: &Net,
        choices: &[Choice],
        open: Vec<usize>,
        pool: &Pool,
        prices: &[(usize, Price)],
    ) -> Self {
        let scale = open.iter().map(|action| net.price[*action]).max().unwrap_or(1) as f64;
        let costs: Vec<f64> = open.iter().map(|a| net.price[*a] as f64 / scale).collect();
        let mut number = vec![NONE; net.actions()];
        for (index, action) in open.iter().enumerate() {
            number[*action] = index;
        }
        let told = vec![Choice::Open; open.len()];
        let mut new = Self { programme: Programme::new(&costs), open, number, told, scale };
        for &(row, _) in prices {
            new.add(row, pool, choices);
        }
        new
    }

    /// Numbers it holds, a measure of its size.
    pub(crate) fn numbers(&self) -> usize {
        self.programme.len() * self.programme.len()
    }

    /// The programme after further choices.
    pub(crate) fn after(&self, choices: &[Choice]) -> Self {
        let mut next = self.clone();
        next.programme.work = 0;
        next.programme.forget_idle();
        let news = |next: &Self, choice| -> Vec<usize> {
            let is_news = |index: &usize| {
                next.told[*index] == Choice::Open && choices[next.open[*index]] == choice
            };
            (0..next.open.len()).filter(is_news).collect()
        };
        for index in news(&next, Choice::Out) {
            next.told[index] = Choice::Out;
            next.programme.leave_out(index);
        }
        for index in news(&next, Choice::In) {
            next.told[index] = Choice::In;
            next.programme.pay_for(index);
        }
        next
    }

    /// Finds the best prices, looks for landmarks the relaxed plan neglects, and goes on with them
    /// until there are none, or it gets slow, or the looks are used up.
    pub(crate) fn improve(
        &mut self,
        net: &Net,
        choices: &[Choice],
        pool: &mut Pool,
        limits: Limits,
    ) {
        let Limits { room, patience, looks } = limits;
        let (mut slow, mut last) = (0, f64::NEG_INFINITY);
        while slow < patience {
            self.programme.solve(2_000.min(*looks / self.open.len() as u64));
            let work = std::mem::take(&mut self.programme.work) / WORK_PER_LOOK;
            let sum: f64 = self.programme.prices().map(|(_, price)| price * self.scale).sum();
            if !spend(looks, work) || sum >= room as f64 || !self.programme.is_sound() {
                return;
            }
            slow = if sum - last < SLOW * (room as f64 - sum) { slow + 1 } else { 0 };
            last = sum;
            let mut added = 0;
            for row in neglected(net, &self.share(choices), LANDMARKS_AT_ONCE) {
                let row = pool.number(row);
                added += u64::from(self.add(row, pool, choices));
            }
            if added == 0 || !spend(looks, (added + 1) * 4 * net.actions() as u64) {
                return;
            }
        }
    }

    /// By action: its share in the relaxed plan; 1 for what is in or free, 0 for what is out.
    pub(crate) fn share(&self, choices: &[Choice]) -> Vec<f64> {
        let share = choices.iter().enumerate().map(|(action, choice)| match choice {
            Choice::Out => 0.0,
            Choice::Open if self.number[action] != NONE => {
                self.programme.share[self.number[action]].max(0.0)
            }
            Choice::Open | Choice::In => 1.0,
        });
        share.collect()
    }

    /// The landmarks' prices in whole units.
    pub(crate) fn prices(&self) -> Vec<(usize, Price)> {
        let whole = |(row, price): (usize, f64)| (row, (price * self.scale).floor() as Price);
        self.programme.prices().map(whole).filter(|(_, price)| *price > 0).collect()
    }

    /// Adds a landmark; `false` when it is known already or met by what is in.
    fn add(&mut self, row: usize, pool: &Pool, choices: &[Choice]) -> bool {
        let members = &pool.rows[row];
        if members.iter().any(|action| choices[*action] == Choice::In) {
            return false;
        }
        let own = members.iter().map(|action| self.number[*action]).filter(|n| *n != NONE);
        self.programme.add(row, Rc::from(own.collect::<Vec<_>>()))
    }
}
