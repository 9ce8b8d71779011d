//! Tables, and what is worked out.

use purfle_lang::book::{LookKind, PartId, ReckonId, RowKey, TableId, TableKey};
use purfle_lang::resolve::noted::Target;
use purfle_lang::unit::Dimension;

use super::super::document::{Block, Chapter, Fact, Head, Line, Row, Section, Table};
use super::super::maker::Maker;

/// The chapter; none where there is neither.
pub fn chapter(maker: &Maker<'_>) -> Option<Chapter> {
    let tables = (0..maker.book.tables.len()).map(|at| table(maker, TableId::from_index(at)));
    let worked = (0..maker.book.reckons.len()).map(|at| reckon(maker, ReckonId::from_index(at)));
    let sections: Vec<Section> = tables.chain(worked).collect();
    (!sections.is_empty()).then(|| Chapter {
        head: Head::plain("tables", "Tables, and what is worked out"),
        blocks: vec![Block::Paragraph(Line::words("Of a table the row counts that says most exactly what the record shows."))],
        sections,
    })
}

fn table(maker: &Maker<'_>, id: TableId) -> Section {
    let table = &maker.book[id];
    let target = Target::Table(id);
    let words = maker.wording(None);
    let mut head: Vec<String> = table
        .keys
        .iter()
        .map(|key| match key {
            TableKey::Look(at) => maker.book[at.look].question.clone(),
            TableKey::Place(part) => format!("Place: {}", maker.book[*part].words),
        })
        .collect();
    head.push("Value".to_owned());
    let key = |key: &TableKey, row: RowKey| match (key, row) {
        (_, RowKey::Any) => "all the rest".to_owned(),
        (TableKey::Look(at), RowKey::Is(choice)) => match maker.book[at.look].kind {
            LookKind::YesNo => if choice == 0 { "no" } else { "yes" }.to_owned(),
            _ => maker.book[at.look].choices().get(choice).map_or_else(String::new, |choice| choice.words.clone()),
        },
        (TableKey::Place(part), RowKey::Is(place)) => place_words(maker, *part, place),
    };
    let rows = table.rows.iter().map(|row| {
        let keys = table.keys.iter().zip(&row.keys).map(|(at, row)| vec![Line::words(key(at, *row))]);
        let value = vec![maker.line(words.value(&row.value, table.dimension))];
        Row { anchor: String::new(), cells: keys.chain([value]).collect() }
    });
    let facts = [used_by(maker, target), Fact::lines("House rules", maker.house(target, &table.origin))];
    let facts = Block::Facts(facts.into_iter().flatten().collect());
    let table_block = Block::Table(Table { caption: String::new(), head, rows: rows.collect() });
    Section { head: maker.head(target, &table.words, &table.name), blocks: vec![table_block, facts], entries: Vec::new() }
}

fn place_words(maker: &Maker<'_>, part: PartId, place: usize) -> String {
    maker.book[part].fixed_places().get(place).map_or_else(String::new, |place| place.words.clone())
}

fn reckon(maker: &Maker<'_>, id: ReckonId) -> Section {
    let reckon = &maker.book[id];
    let target = Target::Reckon(id);
    let value = maker.line(maker.wording(None).value(&reckon.value, reckon.dimension));
    let mut facts = vec![Fact::of("Worked out as", value)];
    if reckon.dimension == Dimension::PERCENT || reckon.dimension == Dimension::LENGTH {
        facts.extend(source(&reckon.value).map(|source| Fact::of("Source", Line::words(source))));
    }
    facts.extend(used_by(maker, target));
    facts.extend(Fact::lines("House rules", maker.house(target, &reckon.origin)));
    Section { head: maker.head(target, &reckon.words, &reckon.name), blocks: vec![Block::Facts(facts)], entries: Vec::new() }
}

/// What a table or something worked out is used by.
fn used_by(maker: &Maker<'_>, target: Target) -> Option<Fact> {
    let users = maker.uses.get(&target).map(Vec::as_slice).unwrap_or_default();
    let looks = users.iter().filter_map(|user| match user {
        Target::Look(look) => Some(maker.line(maker.wording(None).look(*look))),
        _ => None,
    });
    let numbers = maker.numbers(users.iter().copied().filter(|user| !matches!(user, Target::Look(_))));
    let all = Line::joined(looks.chain((!numbers.is_empty()).then_some(numbers)), "; ");
    Some(Fact::of("Used by", if all.is_empty() { Line::words("nothing") } else { all }))
}

/// Where the formula of the trade in a value is published.
fn source(value: &purfle_lang::book::Value) -> Option<&'static str> {
    use purfle_lang::book::{Formula, Value};
    match value {
        Value::Formula(Formula::WoodMoisture, _) => Some(
            "The Hailwood-Horrobin equation as fitted in the Wood Handbook, FPL-GTR-190 (2010), chapter 4, with the constants \
             for degrees Celsius of W. T. Simpson, FPL-RN-0268 (1998).",
        ),
        Value::Formula(Formula::WoodMovement, _) => Some("The Wood Handbook, FPL-GTR-190 (2010), chapter 13."),
        Value::Arithmetic(_, one, other) | Value::Lower(one, other) | Value::Higher(one, other) => {
            source(one).or_else(|| source(other))
        }
        Value::Negative(inner) => source(inner),
        _ => None,
    }
}
