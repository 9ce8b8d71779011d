//! What a handbook is made of: chapters, sections, entries and what stands in them. Nothing is laid out here, and every
//! form of the handbook is made from it, so that none says less than another.

use super::drawing::Drawing;

/// A whole handbook.
#[derive(Debug)]
pub struct Handbook {
    /// The language of the rulebook's texts.
    pub language: String,
    /// The rulebook's title.
    pub title: String,
    /// Its name, edition and keeper, and what else is said of it as a whole.
    pub under: Vec<Line>,
    /// What it prints on every slip.
    pub notices: Vec<String>,
    /// Its chapters.
    pub chapters: Vec<Chapter>,
}

/// A chapter.
#[derive(Debug)]
pub struct Chapter {
    /// Its heading.
    pub head: Head,
    /// What stands before its sections.
    pub blocks: Vec<Block>,
    /// Its sections.
    pub sections: Vec<Section>,
}

/// A section of a chapter.
#[derive(Debug)]
pub struct Section {
    /// Its heading.
    pub head: Head,
    /// What stands before its entries.
    pub blocks: Vec<Block>,
    /// Its entries.
    pub entries: Vec<Entry>,
}

/// An entry of a section, such as a finding.
#[derive(Debug)]
pub struct Entry {
    /// Its heading.
    pub head: Head,
    /// What is said of it.
    pub blocks: Vec<Block>,
}

/// A heading.
#[derive(Debug, Clone)]
pub struct Head {
    /// Where links to it lead, and the number it goes by.
    pub place: Place,
    /// Its words.
    pub title: String,
    /// The name it has in the rulebook.
    pub name: Option<String>,
}

/// Where something stands in the handbook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The anchor that links lead to; letters, digits and hyphens.
    pub anchor: String,
    /// The number that it is found by on paper; empty where it has none.
    pub number: String,
}

impl Place {
    /// A place with a number.
    pub fn new(anchor: impl Into<String>, number: impl Into<String>) -> Self {
        Self { anchor: anchor.into(), number: number.into() }
    }
}

/// What stands under a heading.
#[derive(Debug)]
pub enum Block {
    /// A paragraph.
    Paragraph(Line),
    /// A list.
    List(Vec<Item>),
    /// What is said of something, fact by fact.
    Facts(Vec<Fact>),
    /// A table.
    Table(Table),
    /// A picture of what leads to what; it only repeats what stands beside it.
    Drawing(Drawing),
}

/// A fact: what it is about, and what is said.
#[derive(Debug)]
pub struct Fact {
    /// What it is about.
    pub label: &'static str,
    /// What introduces the items, such as "any of these:".
    pub lead: Option<Line>,
    /// What is said.
    pub items: Vec<Item>,
}

/// A member of a list, with what belongs below it.
#[derive(Debug)]
pub struct Item {
    /// What it says.
    pub line: Line,
    /// A list below it.
    pub below: Vec<Line>,
}

/// A table.
#[derive(Debug, Default)]
pub struct Table {
    /// What it shows.
    pub caption: String,
    /// The headings of its columns.
    pub head: Vec<String>,
    /// Its rows; the first cell of each is its heading.
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Debug)]
pub struct Row {
    /// Where links to it lead; empty where none does.
    pub anchor: String,
    /// A cell for each column, each of one line or several.
    pub cells: Vec<Vec<Line>>,
}

/// A line of text.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Line(pub Vec<Run>);

/// A piece of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Run {
    /// Words.
    Words(String),
    /// Words that are to be seen first.
    Strong(String),
    /// A name as records and rulebooks write it.
    Name(String),
    /// Something that stands elsewhere in the handbook.
    Link(Place, String),
    /// A house change, by its number alone.
    Mark(Place),
}

impl Line {
    /// Words alone.
    pub fn words(words: impl Into<String>) -> Self {
        Self(vec![Run::Words(words.into())])
    }

    /// Adds words.
    pub fn say(mut self, words: impl AsRef<str>) -> Self {
        match self.0.last_mut() {
            Some(Run::Words(before)) => before.push_str(words.as_ref()),
            _ => self.0.push(Run::Words(words.as_ref().to_owned())),
        }
        self
    }

    /// Adds words that are to be seen first.
    pub fn strong(mut self, words: impl Into<String>) -> Self {
        self.0.push(Run::Strong(words.into()));
        self
    }

    /// Adds a name.
    pub fn name(mut self, name: impl Into<String>) -> Self {
        self.0.push(Run::Name(name.into()));
        self
    }

    /// Adds a link.
    pub fn link(mut self, place: Place, words: impl Into<String>) -> Self {
        self.0.push(Run::Link(place, words.into()));
        self
    }

    /// Adds another line.
    pub fn then(mut self, other: Line) -> Self {
        for run in other.0 {
            match run {
                Run::Words(words) => self = self.say(words),
                other => self.0.push(other),
            }
        }
        self
    }

    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Lines with a joint between each two.
    pub fn joined(lines: impl IntoIterator<Item = Line>, joint: &str) -> Self {
        lines.into_iter().fold(Line::default(), |all, line| if all.is_empty() { line } else { all.say(joint).then(line) })
    }
}

impl Item {
    /// A line with nothing below it.
    pub fn of(line: Line) -> Self {
        Self { line, below: Vec::new() }
    }
}

impl Fact {
    /// A fact of one line.
    pub fn of(label: &'static str, line: Line) -> Self {
        Self { label, lead: None, items: vec![Item::of(line)] }
    }

    /// A fact of several lines; none where there are none.
    pub fn lines(label: &'static str, lines: impl IntoIterator<Item = Line>) -> Option<Self> {
        let items: Vec<Item> = lines.into_iter().map(Item::of).collect();
        (!items.is_empty()).then_some(Self { label, lead: None, items })
    }

    /// A fact of several texts of the rulebook.
    pub fn texts(label: &'static str, texts: &[String]) -> Option<Self> {
        Self::lines(label, texts.iter().map(Line::words))
    }

    /// Whether it is laid out as a list.
    pub fn is_list(&self) -> bool {
        self.lead.is_some() || self.items.len() > 1
    }
}

impl Head {
    /// A heading without a number or a name.
    pub fn plain(anchor: &str, title: impl Into<String>) -> Self {
        Self { place: Place::new(anchor, ""), title: title.into(), name: None }
    }
}
