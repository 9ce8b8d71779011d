//! The sheet as CSV: the heading, under which each instrument gets a row.

use super::Scope;
use super::columns::columns;
use crate::report::write_cell;

/// The heading row.
pub fn table(scope: &Scope<'_>) -> String {
    let mut row = String::new();
    for (at, column) in columns(scope).iter().enumerate() {
        if at > 0 {
            row.push(',');
        }
        write_cell(&mut row, &column.heading);
    }
    row.push_str("\r\n");
    row
}
