//! Short texts as numbers, so that looking one up compares no strings.

/// A text of at most 15 bytes as one number that no other text has; none for longer ones.
pub fn short(text: &str) -> Option<(u64, u64)> {
    let bytes = text.as_bytes();
    let length = bytes.len();
    let (low, high) = match length {
        0..=3 => (bytes.iter().rev().fold(0, |sum, &byte| (sum << 8) | u64::from(byte)), 0),
        // Two readings that may lie over each other: where they do, they say the same.
        4..=7 => {
            let last = u64::from(u32::from_le_bytes(*bytes.last_chunk::<4>()?));
            (u64::from(u32::from_le_bytes(*bytes.first_chunk::<4>()?)) | (last << ((length - 4) * 8)), 0)
        }
        8 => (u64::from_le_bytes(*bytes.first_chunk::<8>()?), 0),
        9..=15 => {
            let last = u64::from_le_bytes(*bytes.last_chunk::<8>()?);
            (u64::from_le_bytes(*bytes.first_chunk::<8>()?), last >> ((16 - length) * 8))
        }
        _ => return None,
    };
    Some((low, high | ((length as u64) << 56)))
}

#[cfg(test)]
mod tests {
    use super::short;

    #[test]
    fn no_two_texts_share_a_number() {
        let long = "abcdefghijklmnop";
        let mut seen = std::collections::HashSet::new();
        for start in 0..long.len() {
            for end in start..=long.len() {
                let text = &long[start..end];
                match short(text) {
                    Some(number) => assert!(end == start || seen.insert(number), "{text}"),
                    None => assert_eq!(text.len(), 16),
                }
            }
        }
        assert_ne!(short("a"), short("a\0"));
        assert_eq!(short("ab"), Some((0x6261, 2 << 56)));
    }
}
