//! Checks against something this project did not make: tables, standards, other people's libraries. Each file is
//! named for its source.

mod biodivine_lib_bdd;
mod general_decimal_arithmetic;
mod iso_4217;
mod json_schema;
mod knapsack_instances;
mod microlp;
mod rfc_3339;
mod sarif;
mod shop_cases;
mod sqlite;
mod unified_code_for_units;
mod wood_handbook;
