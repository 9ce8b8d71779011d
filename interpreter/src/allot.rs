//! Sharing a repair fund over a batch: which instruments are helped, in which way, and with how much from which fund.
//!
//! ```text
//! records → instruments, each with what funds offer → the best plan → what more money would buy, other orders
//! ```
//!
//! Records are judged by the rulebook, and by it with other ways of findings put first (`ways`); what the funds then
//! say become offers in whole minor units (`instrument`). The plan is the optimum's (`optimum`), which knows of neither.

mod budget;
mod further;
mod gather;
mod instrument;
pub mod optimum;
mod orders;
mod plan;
mod ways;

pub use budget::{BadBudget, Budget, budget};
pub use further::{Further, Reach, Rung, Width};
pub use gather::{Batch, gather};
pub use instrument::{Instrument, Offer, Standing};
pub use orders::{Order, OrderKind};
pub use plan::{Allotted, Total, allot};
pub use ways::MOST_WAYS;
