//! A bar of a picture: how far it surely goes, and how far it may.

/// Both in thousandths of the picture's width.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bar {
    /// How far it surely goes.
    pub sure: i128,
    /// How far it may go.
    pub to: i128,
    /// Whether that is only made by what nobody looked at.
    pub open: bool,
}

impl Bar {
    /// A bar on a scale that ends at `most`. What is there at all can be seen.
    pub fn of(from: i128, to: i128, most: i128) -> Self {
        let most = most.max(1);
        let long = |end: i128| match end.clamp(0, most) {
            0 => 0,
            end => (end.saturating_mul(1000) / most).max(4),
        };
        Self { sure: long(from), to: long(to), open: false }
    }

    /// How much longer it may be than it surely is.
    pub fn more(&self) -> i128 {
        self.to - self.sure
    }
}

#[cfg(test)]
mod tests {
    use super::Bar;

    #[test]
    fn bars_keep_to_their_scale() {
        assert_eq!(Bar::of(50, 100, 200), Bar { sure: 250, to: 500, open: false });
        assert_eq!(Bar::of(0, 1, 1_000_000), Bar { sure: 0, to: 4, open: false });
        assert_eq!(Bar::of(0, 0, 0), Bar { sure: 0, to: 0, open: false });
        assert_eq!(Bar::of(-5, i128::MAX, 10), Bar { sure: 0, to: 1000, open: false });
    }
}
