//! The one test binary: each module below holds the tests of one subject.

mod again;
mod allotted;
mod by_cases;
mod corpus;
mod grammars;
mod layout;
mod many_faults;
mod outside;
mod pages;
mod proved;
mod random;
mod reference;
mod sayings;
mod supplied;
mod tidy;
mod traced;
mod weighed;
mod wording;
mod written;
