//! The heads of a chain: names, editions and money that must fit, and what a rulebook takes over from its parent.

use super::Merged;
use crate::book::Parent;
use crate::diagnostic::Diagnostic;
use crate::seal::{Seal, seals};
use crate::span::Span;
use crate::syntax::tree::{BuildsOn, Clause, Entry, Name, Says, Text, Tree};

/// Clauses of a head that a rulebook takes over where it says nothing itself.
const TAKEN_OVER: [&str; 3] = ["money", "language", "least charge"];

/// Checks the heads against each other and fills in what concerns the whole chain.
pub(super) fn heads(merged: &mut Merged, chain: &[Tree]) {
    for at in 1..chain.len() {
        let (children, parents) = chain.split_at(at);
        if let (Some(child), Some(parent)) = (children.last(), parents.first()) {
            fits(merged, child, parent, parents);
        }
    }
    let mut own = chain.first().and_then(Tree::rulebook).cloned();
    for parent in chain.iter().skip(1) {
        merged.parents.push(Parent {
            name: parent.rulebook().map_or("", Entry::name_text).to_owned(),
            edition: parent.edition().map_or(String::new(), |edition| edition.value.clone()),
            seal: Seal::default(),
        });
        if let (Some(own), Some(parent)) = (own.as_mut(), parent.rulebook()) {
            // Money that differs is told of; the parent's makes sense of all that is written in it.
            if parent.has("money") {
                own.clauses.retain(|clause| clause.word != "money");
            }
            for word in TAKEN_OVER {
                if !own.has(word) {
                    own.clauses.extend(parent.all(word).cloned());
                }
            }
        }
    }
    merged.rulebook = own;
    for tree in chain.iter().rev() {
        let clauses = tree.rulebook().into_iter().flat_map(|head| &head.clauses);
        merged.notices.extend(clauses.filter_map(|clause| match &clause.says {
            Says::Notice(notice) => Some(notice.clone()),
            _ => None,
        }));
    }
}

/// `parents` is the parent and those that it is built on.
fn fits(merged: &mut Merged, child: &Tree, parent: &Tree, parents: &[Tree]) {
    let Some(builds_on) = child.builds_on() else { return };
    let name = &builds_on.name;
    if parent.rulebook().is_none() {
        let says = format!("The text found for {} does not say which rulebook it is.", name.value);
        merged.diagnostics.push(
            Diagnostic::error("no-rulebook", name.span, says)
                .help(format!(
                    "Begin that text with `rulebook {} \"title\"`, and give it an `edition` and its `money`.",
                    name.value
                ))
                .place(Span::new(parent.file, 0, 0), "its beginning"),
        );
        return;
    }
    let parents_name = parent.rulebook().and_then(|head| head.name.as_ref());
    if let Some(real) = parents_name.filter(|real| real.value != name.value) {
        merged.diagnostics.push(
            Diagnostic::error(
                "parent-differs",
                name.span,
                format!("This rulebook builds on {}, and the text found for it is {}.", name.value, real.value),
            )
            .help("Name the rulebook that is meant, or give its file: `builds on NAME edition E from \"file\"`.")
            .place(real.span, "the name of the rulebook found"),
        );
        return;
    }
    if let Some(real) = parent.edition().filter(|real| real.value != builds_on.edition.value) {
        let (written, found) = (&builds_on.edition.value, &real.value);
        merged.diagnostics.push(
            Diagnostic::error(
                "edition-differs",
                builds_on.edition.span,
                format!("This rulebook was written against edition {written} of {}, and edition {found} is here.", name.value),
            )
            .label(format!("edition {found} is here"))
            .help(format!(
                "Compare this rulebook, still built on edition {written}, with edition {found} of {}: `purfle weigh` says which \
                 changes here still apply. Then write `edition {found}`.",
                name.value
            ))
            .place(real.span, "the edition found")
            .fix(format!("Build on edition {found}"), false, builds_on.edition.span, found.clone()),
        );
    }
    if let Some(written) = &builds_on.seal {
        merged.diagnostics.extend(sealed(written, builds_on, parents));
    }
    if let (Some(own), Some(theirs)) = (money(child), money(parent))
        && own.value != theirs.value
    {
        merged.diagnostics.push(
            Diagnostic::error(
                "money-differs",
                own.span,
                format!("This rulebook reckons in {}, and the one it builds on in {}.", own.value, theirs.value),
            )
            .label(own.value.clone())
            .help(format!("Write `money {}`, and the prices in it: they are never converted.", theirs.value))
            .place(theirs.span, "the money of the rulebook it builds on")
            .fix(format!("Write `{}`", theirs.value), false, own.span, theirs.value.clone()),
        );
    }
}

/// What there is to say of a seal that somebody wrote.
fn sealed(written: &Text, builds_on: &BuildsOn, parents: &[Tree]) -> Option<Diagnostic> {
    let name = &builds_on.name.value;
    let Some(expected) = Seal::read(&written.value) else {
        let says = format!("\"{}\" is no seal.", written.value);
        return Some(
            Diagnostic::error("bad-seal", written.span, says)
                .label("twenty digits from 0 to f, in groups of four")
                .help(format!("Take the seal that `purfle seal` prints for {name}, or leave it out.")),
        );
    };
    // What cannot be read says nothing that could be sealed, and another edition is told of by itself.
    let parent = parents.first()?;
    let unread = parents.iter().any(|tree| tree.lost || tree.items.iter().any(|item| item.entry.lost()));
    let found = seals(parents).first().copied()?;
    if unread || found == expected || parent.edition().is_some_and(|real| real.value != builds_on.edition.value) {
        return None;
    }
    let edition = &builds_on.edition.value;
    let says =
        format!("The rulebook {name} {edition} does not say what it said when this rulebook was written: its seal differs.");
    Some(
        Diagnostic::error("seal-differs", written.span, says)
            .label(format!("the seal of what is here is {found}"))
            .help(format!(
                "Ask whoever keeps {name} for the text with this seal, or compare the two with `purfle weigh` and write the seal of \
                 the one that is here."
            ))
            .fix(format!("Write the seal of the {name} that is here"), false, written.span, format!("\"{found}\"")),
    )
}

fn money(tree: &Tree) -> Option<&Name> {
    tree.rulebook()?.clauses.iter().find_map(|clause| match clause {
        Clause { says: Says::Money(money), .. } => Some(money),
        _ => None,
    })
}
