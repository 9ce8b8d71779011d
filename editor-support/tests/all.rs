//! Tests of the editor support that need the whole of it.
