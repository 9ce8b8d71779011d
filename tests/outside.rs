//! Checks against something this project did not make: tables, standards, other people's libraries. Each file is
//! named for its source.

mod unified_code_for_units;
mod wood_handbook;
