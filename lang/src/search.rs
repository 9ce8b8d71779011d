//! Questions about cases: is there one in this box that meets these conditions and lies in none of those boxes?
//!
//! A *space* has variables with a few cells each, a *case* takes one cell of every variable, and a box ([`Region`])
//! allows some cells to the variables it mentions. Nothing here knows of rulebooks.
//!
//! - [`Question`]: a case, as ordinary as can be, or a proof that there is none and what it rests on, or "not
//!   decided", which is never passed off as "none". Never, covered by others, shadowed and gap are all questions.
//! - [`Overlaps`]: which of many boxes have a case in common.
//! - [`gaps`]: everything a table of boxes leaves uncovered, counted.
//!
//! All is worked out in a fixed order: the same input gives the same answer.

mod alike;
mod bits;
mod boxes;
mod conditions;
mod forbidden;
mod gates;
mod halving;
mod needed;
mod ordinary;
mod overlap;
mod question;
mod region;
mod solve;
mod space;
mod table;
mod unions;
mod written;

#[cfg(test)]
mod tests;

use crate::finite::node::{Answer, Atom, AtomId, InstanceId, MOST_CELLS, Node};

pub use crate::finite::node::{CellSet, VariableId};
pub use bits::Bits;
pub use conditions::Conditions;
pub use halving::{Gaps, gaps};
pub use overlap::Overlaps;
pub use question::{Avoided, Question, USUAL_LIMIT, Verdict};
pub use region::{Region, Side};
pub use space::{Case, Space};
pub use written::Written;
