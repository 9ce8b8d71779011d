//! What weighing came to, for people.

mod counted;
mod house;
mod proven;

use crate::report::{Ink, Paint, paragraph, paragraph_in, plain, shown};
use crate::weigh::view::{BookView, ClauseView, ItemView, WeighedView};

/// The whole report; nothing but how a house stands where it does not run on the new edition.
pub fn report(view: &WeighedView, compared: bool, paint: Paint) -> String {
    let mut text = String::new();
    paragraph(&mut text, "Old  ", &book(&view.old));
    paragraph(&mut text, "New  ", &book(&view.new));
    if let Some(house) = &view.house {
        house::report(&mut text, house, &view.old.rulebook, compared, paint);
    }
    if compared {
        proven::report(&mut text, view.proven.as_ref(), paint);
        if let Some(counted) = &view.counted {
            counted::report(&mut text, counted, paint);
        }
        by_name(&mut text, &view.items, paint);
    }
    text
}

fn book(book: &BookView) -> String {
    format!("{} {}  ({})", shown(&book.rulebook), shown(&book.edition), shown(&book.file))
}

/// What was added, dropped and changed, and last what is no more than words.
fn by_name(text: &mut String, items: &[ItemView], paint: Paint) {
    heading(text, "By name", paint);
    if items.is_empty() {
        paragraph(text, "", "Item by item the two say the same.");
        return;
    }
    let of = |wanted: &str| items.iter().filter(|item| item.change == wanted && !item.only_words).collect::<Vec<_>>();
    let (added, dropped, changed) = (of("added"), of("dropped"), of("changed"));
    let words: Vec<&ItemView> = items.iter().filter(|item| item.only_words).collect();
    let counts = format!("{} added, {} dropped, {} changed", added.len(), dropped.len(), changed.len());
    let more = match words.len() {
        0 => ".".to_owned(),
        1 => "; in 1 more only words changed, which changes no outcome.".to_owned(),
        many => format!("; in {many} more only words changed, which changes no outcome."),
    };
    paragraph(text, "", &format!("{counts}{more}"));
    for (title, items) in [("Added", &added), ("Dropped", &dropped)] {
        if !items.is_empty() {
            text.push('\n');
            paragraph(text, "", &format!("{title}:"));
        }
        for item in items.iter() {
            paragraph_in(text, "  ", "      ", &named(item));
            reasons(text, item);
        }
    }
    if !changed.is_empty() {
        text.push('\n');
        paragraph(text, "", "Changed:");
    }
    for item in &changed {
        whole(text, item);
    }
    if !words.is_empty() {
        text.push('\n');
        paragraph(text, "", "Only words changed, which changes no outcome:");
    }
    for item in &words {
        whole(text, item);
    }
}

/// A heading with a line below it.
pub(super) fn heading(text: &mut String, title: &str, paint: Paint) {
    text.push('\n');
    text.push_str(&paint.ink(Ink::Heading, title));
    text.push('\n');
    text.push_str(&"-".repeat(title.len()));
    text.push('\n');
}

/// `finding soft-bag "It travels in a thin bag"`, with the item it is within where it is within one.
fn named(item: &ItemView) -> String {
    let line = item.line.as_deref().unwrap_or_default();
    match item.name.rsplit_once('.') {
        Some((owner, _)) => format!("{} (in {})", plain(line), shown(owner)),
        None => plain(line).into_owned(),
    }
}

/// An item that changed, with its clauses.
fn whole(text: &mut String, item: &ItemView) {
    let name = if item.name.is_empty() { String::new() } else { format!(" {}", shown(&item.name)) };
    paragraph(text, "  ", &format!("{}{name}", item.kind));
    for clause in &item.clauses {
        lines(text, clause);
    }
    reasons(text, item);
}

/// The old words of a clause above the new ones.
fn lines(text: &mut String, ClauseView { clause, was, now, .. }: &ClauseView) {
    for (title, lines) in [("    was  ", was), ("    now  ", now)] {
        let mut lead = title;
        for line in lines {
            paragraph(text, lead, &with_word(clause, &plain(line)));
            lead = "         ";
        }
        if lines.is_empty() {
            paragraph(text, title, &format!("(no {clause})"));
        }
    }
}

/// A piece of an item's own line with what it is called before it; a clause begins with its word already.
fn with_word(word: &str, line: &str) -> String {
    let first = |text: &str| text.split_whitespace().next().map(str::to_owned);
    match word {
        "kind of answer" | "order" | "kind" => line.to_owned(),
        _ if first(word) == first(line) => line.to_owned(),
        _ => format!("{word} {line}"),
    }
}

fn reasons(text: &mut String, item: &ItemView) {
    for reason in &item.reasons {
        let because = format!("{} ({})", plain(&reason.because), shown(&reason.rulebook));
        paragraph(text, "    because  ", &because);
    }
}
