//! Parts so tied together that what a record costs can only be enclosed.

use std::sync::Arc;

use purfle_lang::book::{Book, PartId, Value};
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::evaluate::{InHand, inputs_of};
use purfle_lang::number::Number;
use purfle_lang::span::Span;

use crate::judge::Judge;
use crate::plan::Plan;
use crate::record::{Entry, Record};

/// Whether the costs of a record of which nothing was looked at are only enclosed; the parts whose being good would
/// settle them are named. A price by measure encloses them as well, and is not meant: nothing hangs together there.
pub fn tied(book: &Book, judge: &mut Judge) -> Option<Diagnostic> {
    if exact(judge, Vec::new()) {
        return None;
    }
    let mut plain;
    let judge = match with_plain_prices(book) {
        None => judge,
        Some(book) => {
            plain = Judge::new(Arc::new(Plan::new(Arc::new(book))));
            plain.warm_up().ok()?;
            &mut plain
        }
    };
    if exact(judge, Vec::new()) {
        return None;
    }
    let parts = (0..book.parts.len()).map(PartId::from_index).filter(|part| !book[*part].looks.is_empty());
    let tied: Vec<PartId> = parts.filter(|part| exact(judge, vec![Entry::Good(*part, None)])).collect();
    let first = tied.first().copied().or_else(|| (!book.parts.is_empty()).then(|| PartId::from_index(0)))?;
    let names: Vec<String> = tied.iter().map(|part| format!("`{}`", book[*part].name)).collect();
    let says = match names.as_slice() {
        [] => "Where nobody has looked, what a visit costs can only be enclosed: too much hangs together.".to_owned(),
        names => format!(
            "Where nobody has looked at {}, what a visit costs can only be enclosed: too much hangs together there.",
            names.join(" or ")
        ),
    };
    let diagnostic =
        tied.iter().skip(1).fold(Diagnostic::warning("tied-together", place(book, first), says), |diagnostic, part| {
            diagnostic.place(place(book, *part), "as tied")
        });
    Some(diagnostic.help("Let fewer findings read the same looks; reports mark such sums \"at the outside\" until then."))
}

/// The book with a sum in the place of every price that is worked out from numbers of a record; none where there is no such
/// price.
fn with_plain_prices(book: &Book) -> Option<Book> {
    let measured = |value: &Value| {
        let (mut numbers, mut keys) = (Vec::new(), Vec::new());
        inputs_of(book, value, &InHand::nothing(), &mut numbers, &mut keys);
        !numbers.is_empty()
    };
    let mut plain = book.clone();
    let works = plain.works.iter_mut().map(|work| &mut work.amount);
    let costs = plain
        .findings
        .iter_mut()
        .flat_map(|finding| std::iter::once(&mut finding.cost).chain(finding.ways.iter_mut().map(|way| &mut way.cost)));
    let prices = works.chain(costs.flat_map(|cost| cost.goods.iter_mut().map(|goods| &mut goods.price)));
    let mut any = false;
    for price in prices.filter(|price| measured(price)) {
        *price = Value::Number(Number::from_integer(1));
        any = true;
    }
    any.then_some(plain)
}

fn place(book: &Book, part: PartId) -> Span {
    let origin = &book[part].origin;
    origin.own().unwrap_or(origin.span)
}

/// Whether the costs of a record that says this and no more are exact.
fn exact(judge: &mut Judge, entries: Vec<Entry>) -> bool {
    let record = Record { entries, ..Record::default() };
    judge.is_exact(&record)
}

#[cfg(test)]
mod tests {
    use crate::load::load_text;

    const HEAD: &str = "rulebook tried \"Tried\"\n  edition 1\n  money USD\n\nurgency\n  step fine \"Fine\"\n  step book \"Book\"\n\n\
         hands\n  hand luthier \"A luthier\"  60 USD per h\n\ntiers\n  tier job \"Any job\" beyond\n\n\
         part feet \"Feet\"\n  look left \"Left?\" measured in mm from 0 to 20\n  look right \"Right?\" measured in mm from 0 to 20\n";

    fn finding(name: &str, signs: &str, cost: &str) -> String {
        format!(
            "\nfinding {name} \"It\"\n  on feet\n  signs {signs}\n  urgency book\n  hands luthier\n  {cost}\n  basis \"common practice\"\n"
        )
    }

    fn is_told(findings: &str) -> bool {
        let mut loaded = load_text("tried.purfle", format!("{HEAD}{findings}"));
        loaded.prove();
        assert_eq!(loaded.errors(), 0, "{:?}", loaded.diagnostics);
        loaded.diagnostics.iter().any(|diagnostic| diagnostic.slug == "tied-together")
    }

    #[test]
    fn a_price_by_measure_ties_nothing_together() {
        let price = "goods \"Shim\" left / 1 mm * 10 USD";
        assert!(!is_told(&finding("high", "left is above 2 mm", price)));
        let tied = finding("high", "left + right is above 20 mm", "goods \"Shim\" 5 USD")
            + &finding("uneven", "left - right is above 3 mm", "goods \"Foot\" 9 USD");
        assert!(is_told(&tied));
        assert!(is_told(&(tied + &finding("far", "left is above 2 mm", price))));
    }
}
