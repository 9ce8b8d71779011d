//! The rules and the questions as SMT-LIB 2 text.

use std::fmt::Write;

use purfle_lang::search::{CellSet, Region, Side, VariableId};

use crate::rules::Rules;

/// The looks as bit vectors, each rule and impossible box as a name for its condition, and one question by itself, so
/// that all is read and made ready. In the solver's own logic for finite domains, in which it is quickest with these.
pub fn preamble(rules: &Rules) -> String {
    let mut text = String::from("(set-logic QF_FD)\n");
    for variable in 0..rules.space.variables() as VariableId {
        let bits = bits(rules, variable);
        let last = rules.space.whole(variable).count_ones() - 1;
        let _ = writeln!(text, "(declare-const x{variable} (_ BitVec {bits}))\n(assert (bvule x{variable} (_ bv{last} {bits})))");
    }
    for (name, regions) in [("r", &rules.boxes), ("n", &rules.impossible)] {
        for (at, region) in regions.iter().enumerate() {
            let _ = writeln!(text, "(declare-const {name}{at} Bool)\n(assert (= {name}{at} {}))", condition(rules, region));
        }
    }
    text.push_str("(check-sat)\n");
    text
}

/// A question: whether there is a case in all of these and in none of those, each a name and a number.
pub fn question(inside: &[(char, usize)], outside: impl IntoIterator<Item = (char, usize)>) -> String {
    let mut text = String::from("(check-sat-assuming (");
    for (name, at) in inside {
        let _ = write!(text, " {name}{at}");
    }
    for (name, at) in outside {
        let _ = write!(text, " (not {name}{at})");
    }
    text.push_str("))\n");
    text
}

/// How many bits hold a cell of a look.
fn bits(rules: &Rules, variable: VariableId) -> u32 {
    let last = rules.space.whole(variable).count_ones() - 1;
    (u32::BITS - last.leading_zeros()).max(1)
}

fn condition(rules: &Rules, region: &Region) -> String {
    let sides: Vec<String> = region.sides().iter().map(|side| one_side(rules, side)).collect();
    format!("(and true {})", sides.join(" "))
}

/// One side: its runs of cells, each between two limits.
fn one_side(rules: &Rules, side: &Side) -> String {
    let Side { variable, cells } = *side;
    let bits = bits(rules, variable);
    let count = rules.space.whole(variable).count_ones();
    let mut runs = Vec::new();
    let mut left = cells;
    while left != 0 {
        let from = left.trailing_zeros();
        let length = (left >> from).trailing_ones();
        let to = from + length - 1;
        left &= if from + length == CellSet::BITS { 0 } else { CellSet::MAX << (from + length) };
        let at_least = (from > 0).then(|| format!("(bvuge x{variable} (_ bv{from} {bits}))"));
        let at_most = (to + 1 < count).then(|| format!("(bvule x{variable} (_ bv{to} {bits}))"));
        runs.push(match (at_least, at_most) {
            _ if from == to => format!("(= x{variable} (_ bv{from} {bits}))"),
            (Some(at_least), Some(at_most)) => format!("(and {at_least} {at_most})"),
            (Some(limit), None) | (None, Some(limit)) => limit,
            (None, None) => "true".to_owned(),
        });
    }
    format!("(or false {})", runs.join(" "))
}
