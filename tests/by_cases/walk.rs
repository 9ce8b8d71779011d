//! Going through everything a book asks: its conditions, the values they compare, and the looks those read.

use purfle_lang::book::{Book, Condition, Count, LookAt, LookId, PartId, TableKey, Test, Value};

/// Every condition of a book that stands by itself, wherever it is written.
pub fn conditions(book: &Book) -> Vec<&Condition> {
    let parts = book
        .parts
        .iter()
        .flat_map(|part| part.only_when.iter().chain(part.fixed_places().iter().filter_map(|place| place.only_when.as_ref())));
    let looks = book.looks.iter().filter_map(|look| look.only_when.as_ref());
    let findings = book.findings.iter().flat_map(|finding| {
        let lines = finding.urgency.iter().filter_map(|line| line.when.as_ref());
        std::iter::once(&finding.signs).chain(&finding.unless).chain(lines)
    });
    let raises = book.raises.iter().map(|raise| &raise.when);
    let counsels = book.counsels.iter().map(|counsel| &counsel.when);
    let aids = book.aids.iter().filter_map(|aid| aid.who.as_ref());
    parts.chain(looks).chain(findings).chain(raises).chain(counsels).chain(aids).collect()
}

/// A condition and everything nested in it.
pub fn nested<'a>(condition: &'a Condition, visit: &mut dyn FnMut(&'a Condition)) {
    visit(condition);
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
            inner.iter().for_each(|condition| nested(condition, visit));
        }
        Condition::Not(inner) => nested(inner, visit),
        Condition::Places { with, .. } => nested(with, visit),
        Condition::Test(..) | Condition::Found(..) => {}
    }
}

/// The most places a condition counts of `part` anywhere in the book; one where nothing counts them.
pub fn most_counted(book: &Book, part: PartId) -> u32 {
    let mut most = 1;
    for condition in conditions(book) {
        nested(condition, &mut |inner| {
            if let Condition::Places { count: Count::AtLeast(count), part: counted, .. } = inner
                && *counted == part
            {
                most = most.max(*count);
            }
        });
    }
    most
}

/// Every pair of values that one condition compares.
pub fn compared<'a>(condition: &'a Condition, visit: &mut dyn FnMut(&'a Value, &'a Value)) {
    nested(condition, &mut |inner| match inner {
        Condition::Test(Test::Compare(_, left, right), _) => visit(left, right),
        Condition::Test(Test::Between(value, low, high), _) => {
            visit(value, low);
            visit(value, high);
        }
        _ => {}
    });
}

/// Every look a condition reads, tables and reckonings followed.
pub fn read_by(book: &Book, condition: &Condition, visit: &mut dyn FnMut(LookAt)) {
    nested(condition, &mut |inner| {
        let Condition::Test(test, _) = inner else { return };
        match test {
            Test::IsOneOf { look, .. } | Test::HasAny { look, .. } | Test::NoDate { look, .. } => visit(*look),
            Test::Compare(_, left, right) => {
                read_in(book, left, visit);
                read_in(book, right, visit);
            }
            Test::Between(value, low, high) => [value, low, high].into_iter().for_each(|v| read_in(book, v, visit)),
            Test::PlaceIs { .. } | Test::TotalUrgency { .. } | Test::TotalTier { .. } => {}
        }
    });
}

/// Every look a value is worked out from.
pub fn read_in(book: &Book, value: &Value, visit: &mut dyn FnMut(LookAt)) {
    match value {
        Value::Look(look) | Value::Last(look) => visit(*look),
        Value::Table(table) => {
            for key in &book[*table].keys {
                if let TableKey::Look(look) = key {
                    visit(*look);
                }
            }
            book[*table].rows.iter().for_each(|row| read_in(book, &row.value, visit));
        }
        Value::Reckon(reckon) => read_in(book, &book[*reckon].value, visit),
        Value::Arithmetic(_, left, right)
        | Value::Lower(left, right)
        | Value::Higher(left, right)
        | Value::DaysFrom(left, right) => {
            read_in(book, left, visit);
            read_in(book, right, visit);
        }
        Value::Negative(inner) => read_in(book, inner, visit),
        Value::Formula(_, values) => values.iter().for_each(|value| read_in(book, value, visit)),
        Value::Number(_) | Value::Range(..) | Value::Date(_) | Value::InspectedOn | Value::TotalCost => {}
    }
}

/// Whether a total stands somewhere in a value.
pub fn has_total(value: &Value) -> bool {
    match value {
        Value::TotalCost => true,
        Value::Arithmetic(_, left, right) | Value::Lower(left, right) | Value::Higher(left, right) => {
            has_total(left) || has_total(right)
        }
        Value::Negative(inner) => has_total(inner),
        _ => false,
    }
}

/// The amounts of bench steps and the prices of goods.
pub fn amounts(book: &Book) -> Vec<&Value> {
    let steps = book.works.iter().map(|work| &work.amount);
    let goods = book.findings.iter().flat_map(|finding| {
        let ways = finding.ways.iter().map(|way| &way.cost);
        std::iter::once(&finding.cost).chain(ways).flat_map(|cost| cost.goods.iter().map(|goods| &goods.price))
    });
    steps.chain(goods).collect()
}

/// Every look that anything but its own record reads.
pub fn all_read(book: &Book) -> Vec<bool> {
    let mut read = vec![false; book.looks.len()];
    let mut mark = |look: LookId| read[look.index()] = true;
    conditions(book).into_iter().for_each(|condition| read_by(book, condition, &mut |at| mark(at.look)));
    amounts(book).into_iter().for_each(|value| read_in(book, value, &mut |at| mark(at.look)));
    for aid in &book.aids {
        aid.needs.iter().copied().for_each(&mut mark);
        aid.not_beyond.iter().for_each(|(_, look)| mark(*look));
    }
    for look in &book.looks {
        if let Some(purfle_lang::book::Good::Range(value)) = &look.good {
            read_in(book, value, &mut |at| mark(at.look));
        }
    }
    read
}
