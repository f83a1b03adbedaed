//! Lower bounds in whole numbers: a price for each landmark, such that no action is charged more
//! than it costs. The sum of the prices is what every plan costs at least.
//!
//! Whatever prices come in, from a parent or from floating-point sums, what goes out is proved.

use std::collections::BTreeMap;

use crate::exact::labels::{Join, labels, zone};
use crate::exact::net::Net;
use crate::exact::{Choice, NEVER, Price};

/// All landmarks found so far. Each holds for every plan, whatever has been decided.
#[derive(Default)]
pub(crate) struct Pool {
    pub(crate) rows: Vec<Vec<usize>>,
    known: BTreeMap<Vec<usize>, usize>,
}

impl Pool {
    /// The number of a landmark, new or known.
    pub(crate) fn number(&mut self, row: Vec<usize>) -> usize {
        *self.known.entry(row).or_insert_with_key(|row| {
            self.rows.push(row.clone());
            self.rows.len() - 1
        })
    }
}

/// Prices of landmarks and what they leave of the prices of actions.
pub(crate) struct Dual {
    /// Landmarks with their prices, none below 0.
    pub(crate) prices: Vec<(usize, Price)>,
    /// By action: what is left of its price; 0 for what is in, [`NEVER`] for what is out.
    pub(crate) left: Vec<Price>,
    /// What open actions of any plan cost at least; [`NEVER`] when there is no plan.
    pub(crate) least: Price,
}

impl Dual {
    /// Takes over as much of the given prices as can be justified.
    pub(crate) fn new(
        net: &Net,
        pool: &Pool,
        choices: &[Choice],
        given: &[(usize, Price)],
    ) -> Self {
        let left = net.price.iter().zip(choices).map(|(price, choice)| match choice {
            Choice::Open => *price,
            Choice::In => 0,
            Choice::Out => NEVER,
        });
        let mut dual = Self { prices: Vec::new(), left: left.collect(), least: 0 };
        for &(number, price) in given {
            let row = &pool.rows[number];
            if row.iter().any(|action| choices[*action] == Choice::In) {
                continue;
            }
            dual.charge(row, number, price.min(dual.room(row)));
        }
        dual
    }

    /// Raises prices as far as they go, then finds landmarks that can still be charged for.
    /// Takes from `looks` what it looks at, and stops when that is used up.
    pub(crate) fn raise(&mut self, net: &Net, pool: &mut Pool, looks: &mut u64) {
        for index in 0..self.prices.len() {
            let number = self.prices[index].0;
            let room = self.room(&pool.rows[number]);
            if room >= NEVER - 1 {
                self.least = NEVER; // every action of the landmark is out
                return;
            }
            if room > 0 {
                self.take(&pool.rows[number], room);
                self.prices[index].1 += room;
            }
        }
        while spend(looks, net.actions() as u64) {
            let labels = labels(net, &self.left, Join::Dearest);
            match labels.value[net.goal] {
                NEVER => self.least = NEVER,
                0 => {}
                _ => {
                    let row = net.landmark(&zone(net, &self.left, &labels));
                    let room = self.room(&row);
                    if room > 0 {
                        let number = pool.number(row);
                        self.charge(&pool.rows[number], number, room);
                        continue;
                    }
                }
            }
            return;
        }
    }

    /// What can still be charged for a landmark.
    fn room(&self, row: &[usize]) -> Price {
        row.iter().map(|action| self.left[*action]).min().unwrap_or(0).min(NEVER - 1)
    }

    fn charge(&mut self, row: &[usize], number: usize, price: Price) {
        if price > 0 {
            self.take(row, price);
            self.prices.push((number, price));
        }
    }

    fn take(&mut self, row: &[usize], price: Price) {
        for &action in row {
            if self.left[action] < NEVER {
                self.left[action] -= price;
            }
        }
        self.least += price;
    }
}

/// Takes `amount` from an allowance; `false` when it is not there.
pub(crate) fn spend(looks: &mut u64, amount: u64) -> bool {
    let enough = *looks >= amount;
    *looks = looks.saturating_sub(amount);
    enough
}
