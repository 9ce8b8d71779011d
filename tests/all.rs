//! The one test binary: each module below holds the tests of one subject.

mod outside;
mod sayings;
