//! The tables that are remembered, by numbers that tell of themselves whether there is anything to look up.

use std::ops::{Index, IndexMut};

use super::table::Table;

/// The number of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TableId(u32);

/// The bit that marks tables of rooms to which nothing can come. Most rooms of a record are so, and are passed over by it.
const QUIET: u32 = 1 << 31;

impl TableId {
    /// Whether nothing can hold whatever the context, and nothing is ruled out by it.
    pub fn is_quiet(self) -> bool {
        self.0 & QUIET != 0
    }

    fn place(self) -> usize {
        (self.0 & !QUIET) as usize
    }
}

/// Tables by number.
#[derive(Debug, Default)]
pub struct Tables(Vec<Table>);

impl Tables {
    /// Adds a table.
    pub fn push(&mut self, table: Table) -> TableId {
        let id = TableId(self.0.len() as u32 | if table.quiet { QUIET } else { 0 });
        self.0.push(table);
        id
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }
}

impl Index<TableId> for Tables {
    type Output = Table;

    fn index(&self, id: TableId) -> &Table {
        &self.0[id.place()]
    }
}

impl IndexMut<TableId> for Tables {
    fn index_mut(&mut self, id: TableId) -> &mut Table {
        &mut self.0[id.place()]
    }
}
