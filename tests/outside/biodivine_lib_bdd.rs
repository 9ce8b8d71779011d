//! biodivine-lib-bdd 0.6: <https://crates.io/crates/biodivine-lib-bdd>, "basic binary decision diagrams" from the
//! Sybila laboratory at Masaryk University.
//!
//! Its diagrams decide the same questions as our search in a wholly different way: each look becomes a few bits, each
//! rule a diagram, and what is left over is counted on the diagram. Verdicts, and the number of cases that no rule
//! covers, must be equal on random rules too many for going through every case.

mod conditions;
mod diagrams;
mod rules;
