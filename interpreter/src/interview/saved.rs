//! An interview as it is kept in a file between two sittings: a record that every command reads.

use serde::ser::{Serialize, SerializeMap, Serializer};

/// The answers, and what was passed over. As JSON they are one record, in which a field that was passed over is `null`: not
/// looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Saved {
    /// The fields that were answered, each with its text.
    pub answers: Vec<(String, String)>,
    /// The fields that were passed over.
    pub passed: Vec<String>,
}

impl Serialize for Saved {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.answers.len() + self.passed.len()))?;
        for (name, value) in &self.answers {
            map.serialize_entry(name, value)?;
        }
        for name in &self.passed {
            map.serialize_entry(name, &None::<()>)?;
        }
        map.end()
    }
}
