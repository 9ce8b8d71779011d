//! What is to be said of the tags of a batch: that one stands on several records of one day, or on instruments that are
//! not alike.

mod doubled;
mod unlike;

use std::borrow::Cow;

use purfle_lang::book::{Book, LookId};
use purfle_lang::saying::Saying;
use serde::Serialize;

use self::doubled::{Doubled, DoubledView};
pub use self::unlike::lasting_looks;
use self::unlike::{Unlike, UnlikeView};
use crate::record::{Entry, Record};

/// The most tags that are kept in mind; a batch with more is not looked through to its end.
const MOST_TAGS: usize = 20_000;

/// The most tags that a sentence names, and the most records of one.
const MOST_NAMED: usize = 5;

/// What a record says that its tag is held against.
#[derive(Debug, Clone)]
pub struct Visit {
    tag: Box<str>,
    day: Option<i64>,
    record: Box<str>,
    /// Whether the same instrument was inspected again since; such a record counts for little.
    seen_again: bool,
    /// What it says of the looks that stay as they are.
    lasting: Vec<(LookId, usize)>,
}

impl Visit {
    /// What a record says; none where it has no tag.
    pub fn of(lasting: &[LookId], record: &Record) -> Option<Self> {
        let lasting = record.entries.iter().filter_map(|entry| match entry {
            Entry::Look(look, _, saying) if lasting.contains(look) => match **saying {
                Saying::OneOf(ref choices) if choices.len() == 1 => Some((*look, choices[0])),
                _ => None,
            },
            _ => None,
        });
        Some(Self {
            tag: record.tag.as_deref()?.into(),
            day: record.inspected_on,
            record: record.id.as_str().into(),
            seen_again: record.seen_again.is_some(),
            lasting: lasting.collect(),
        })
    }
}

/// The tags of a batch, gathered record by record.
#[derive(Default)]
pub struct Tags {
    doubled: Doubled,
    unlike: Unlike,
}

impl Tags {
    /// Gathers one record more, and says what its tag contradicts of what was gathered before; empty where nothing.
    pub fn add(&mut self, book: &Book, visit: &Visit) -> String {
        let mut note: Vec<String> = Vec::new();
        if !visit.seen_again
            && let Some(first) = self.doubled.add(&visit.tag, visit.day, &visit.record)
        {
            note.push(format!("the same tag and day as {first}"));
        }
        for &(look, choice) in &visit.lasting {
            if let Some((there, first)) = self.unlike.add(&visit.tag, look, choice, &visit.record) {
                let (here, there) = (choice_name(book, look, choice), choice_name(book, look, there));
                note.push(format!("{} is {here}, and {there} at {first} of the same tag", book.look_path(look)));
            }
        }
        note.join("; ")
    }

    /// What is to be said of them, a paragraph each.
    pub fn words(&self, book: &Book) -> Vec<String> {
        self.doubled.words().into_iter().chain(self.unlike.words(book)).collect()
    }

    /// The same as values; none where nothing is to be said.
    pub fn view<'a>(&'a self, book: &'a Book) -> Option<TagsView<'a>> {
        let view = TagsView { same_day: self.doubled.view(), unlike: self.unlike.view(book) };
        (!view.same_day.is_empty() || !view.unlike.is_empty()).then_some(view)
    }
}

/// What is to be said of the tags of a batch, for programs.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TagsView<'a> {
    same_day: Vec<DoubledView<'a>>,
    unlike: Vec<UnlikeView<'a>>,
}

/// A choice by its name.
fn choice_name(book: &Book, look: LookId, choice: usize) -> &str {
    book[look].choices().get(choice).map_or("", |choice| choice.name.as_str())
}

/// A paragraph about several tags: how many there are, each of the first few, and what to do.
fn paragraph_of(count: usize, stand: &str, mut named: Vec<String>, what_to_do: &str) -> Option<String> {
    let tags = match count {
        0 => return None,
        1 => Cow::from("One tag stands"),
        count => Cow::from(format!("{count} tags stand")),
    };
    if count > named.len() {
        named.push(format!("and {} more", count - named.len()));
    }
    Some(format!("{tags} on {stand}: {}. {what_to_do}", named.join("; ")))
}
