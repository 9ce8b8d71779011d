//! The inspection sheet: what a rulebook asks, laid out for whoever looks.

mod drawing;
mod paper;
mod scope;
mod view;

pub use paper::html;
pub use scope::Scope;
pub use view::{Answer, Sheet, SheetBox, SheetLook, SheetPart, SheetPlace};
