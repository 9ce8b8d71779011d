//! The one test binary: each module below holds the tests of one subject.

mod corpus;
mod outside;
mod sayings;
