//! What work and goods come to: money in whole cents, minutes with their spread, what an authorisation
//! still covers. Knows no vehicle, no repair and no rates of its own.
//!
//! | module | what is there |
//! |---|---|
//! | `amount` | minutes, quantities and tax to money: each rounded once |
//! | `bill` | lines, their sum, tax, total; how the total is spread |
//! | `tail` | the lognormal shape of times, beside the sum of three-point times |
//! | `cover` | how far a total may go beyond what was agreed to |

mod amount;
mod bill;
mod cover;
mod tail;

pub use amount::{Tax, goods, labour, with_currency};
pub use bill::{Bill, Fault, Item, Line, Spreads, bill, spreads};
pub use cover::{Cap, Covered, covered};
pub use tail::Lognormal;
