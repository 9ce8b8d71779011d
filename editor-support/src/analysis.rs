//! What is known of a rulebook at one moment: an immutable value made from a chain of texts.
