//! Reports out: the terminal's triage report, JSON, CSV, workbooks and pages, each made from outcomes and a book.
//!
//! Workers turn each outcome into text at once; whoever collects keeps only a few figures of each, so that a batch
//! may be as long as it likes.

mod allot;
mod batch;
mod brief;
mod cautions;
mod csv;
mod figures;
mod html;
mod json;
mod layout;
mod noted;
mod page;
mod row;
mod slip;
mod spool;
mod tags;
#[cfg(test)]
mod tests;
mod text;
mod triage;
mod view;
mod xlsx;

pub use allot::{AllotAs, AllotReport, without_names, write as write_allot};
pub use brief::{Brief, Gravity};
pub use cautions::STANDING;
pub use csv::cell as write_cell;
pub use figures::{minor, money, money_range, place_name, place_words, sum, unaided_words};
pub use json::{aid_name, played, state_name, write as write_json};
pub use layout::{Ink, Paint, paragraph, paragraph_in, sides};
pub use slip::{first_lines, rulebook_line, sealed};
pub use text::{plain, shown, steers};
pub use triage::{As, Rendered, Renderer, Settings, Totals, Triage, fault_words, refused_words};
pub use view::{Said, saying_words, step_words};
