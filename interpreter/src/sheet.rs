//! The inspection sheet: what a rulebook asks, laid out for whoever looks.

mod columns;
mod drawing;
mod paper;
mod schema;
mod scope;
mod table;
mod view;
mod workbook;

pub use columns::{Column, Takes, columns};
pub use paper::html;
pub use schema::schema;
pub use scope::Scope;
pub use table::table;
pub use view::{Answer, Sheet, SheetBox, SheetLook, SheetPart, SheetPlace};
pub use workbook::workbook;
