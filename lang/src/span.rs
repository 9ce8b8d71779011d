//! Where something stands: a file of the parent chain and a range of bytes in it.

/// Which text of a chain a span points into: 0 is the rulebook itself, 1 its parent, and so on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct FileId(pub u16);

impl FileId {
    /// The rulebook itself.
    pub const OWN: FileId = FileId(0);
}

/// A half-open range of bytes in one text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Span {
    /// The text.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// A span over `start..end` of `file`.
    pub fn new(file: FileId, start: usize, end: usize) -> Self {
        let clamp = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Self { file, start: clamp(start), end: clamp(end.max(start)) }
    }

    /// The byte range, for slicing the text.
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }

    /// The smallest span that covers both; `self` alone when they lie in different texts.
    pub fn to(self, other: Span) -> Span {
        if self.file != other.file {
            return self;
        }
        Span { file: self.file, start: self.start.min(other.start), end: self.end.max(other.end) }
    }
}

/// A value and where it was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Where it stands.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// Joins a value to its place.
    pub fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }
}
