//! The trial: seeded faults in invented vehicles, a technician who knows the truth only through
//! instruments, and several ways of working that meet the same cases.
//!
//! | file | what it holds |
//! |---|---|
//! | `ground.rs` | a vehicle under trial |
//! | `cases.rs` | what is wrong, and what the owner says |
//! | `world.rs` | the vehicle as it truly is |
//! | `technician.rs` | readings, words and minutes as they turn out |
//! | `doors.rs` | what lies in front, and what opening takes |
//! | `desk.rs` | what is believed, and the question that follows |
//! | `policy.rs` | ways of working, ours among them |
//! | `episode.rs` | a case from complaint to proof |
//! | `exact.rs` | small questions against the proven best plan |
//! | `agreement.rs` | predictions under the truth against what is read |
//! | `measures.rs` | means, percentiles, intervals, calibration |
//! | `report.rs`, `plot.rs` | the page and its figure |
//! | `main.rs`, `run.rs` | the program: threads, files, the clock |

mod agreement;
mod cases;
mod desk;
mod doors;
mod episode;
mod exact;
mod ground;
mod measures;
mod plot;
mod policy;
mod report;
mod technician;
mod world;

pub use agreement::{Agreement, agreement};
pub use cases::{Case, Complaint, across, draw};
pub use desk::{Belief, Desk, Hypothesis, Question, Test};
pub use doors::{Doors, Open, Opened};
pub use episode::{Outcome, Watch, first_question, told, work};
pub use exact::Small;
pub use ground::Ground;
pub use measures::{BINS, Bin, bins, calibration_error, interval, mean, percentile};
pub use policy::{
    Choice, Chooser, Deed, Policy, Standing, TOLD, View, all, choosers, information_bit,
};
pub use report::{Line, Report, SmallLine};
pub use technician::{MINUTES_SPREAD, Meter, STRAY_SHARE, Shown, Technician};
pub use world::{LOAD_SPREAD, RESISTANCE_SPREAD, REST_SPREAD_V, TrueFault, World, key};
