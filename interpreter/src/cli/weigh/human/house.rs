//! How a house stands to a new edition of what it is built on, for people.

use super::heading;
use crate::report::{Paint, paragraph, paragraph_in, plain, shown};
use crate::weigh::view::{HouseItemView, HouseView};

/// What clashes first, then what may go, then how many still apply.
pub fn report(text: &mut String, view: &HouseView, house: &str, compared: bool, paint: Paint) {
    heading(text, "The house on the new edition", paint);
    let (builds_on, was, now) = (shown(&view.builds_on), shown(&view.was), shown(&view.now));
    paragraph(text, "", &format!("{} was written against edition {was} of {builds_on}; weighed is edition {now}.", shown(house)));
    let of = |stand: &str| view.items.iter().filter(|item| item.stand == stand).collect::<Vec<_>>();
    let (clash, idle, applies) = (of("clash"), of("idle"), of("applies"));
    paragraph(
        text,
        "",
        &format!(
            "Of its changes: {} as before, {} without effect any more, {} to be looked at.",
            applies.len(),
            idle.len(),
            clash.len()
        ),
    );
    listed(text, "To be looked at:", &clash);
    listed(text, "These change nothing any more, and may go:", &idle);
    let noted: Vec<&HouseItemView> = applies.into_iter().filter(|item| !item.why.is_empty()).collect();
    listed(text, "These still apply, and the new edition touched the same:", &noted);
    if !view.errors.is_empty() {
        text.push('\n');
        let then = if compared {
            "which are to be mended; what follows takes the house without these lines"
        } else {
            "so nothing more can be compared until these are mended"
        };
        paragraph(text, "", &format!("On the new edition the house has errors, {then}:"));
        for error in &view.errors {
            paragraph(text, "  - ", &plain(error));
        }
        paragraph(text, "", &format!("`--move-to {now}` writes the house with a comment above each place to look at."));
    }
}

fn listed(text: &mut String, title: &str, items: &[&HouseItemView]) {
    if items.is_empty() {
        return;
    }
    text.push('\n');
    paragraph(text, "", title);
    for item in items {
        let doing = if item.doing.is_empty() { String::new() } else { format!("{} ", item.doing) };
        let name = if item.name.is_empty() { String::new() } else { format!(" {}", shown(&item.name)) };
        paragraph_in(text, "  ", "      ", &format!("{doing}{}{name}: {}", item.kind, plain(&item.why)));
    }
}
