//! The judge, asked through a rulebook with the condition as the signs of its one finding.

use std::sync::Arc;

use purfle::judge::Judge;
use purfle::plan::Plan;
use purfle::record::{Entry, Record};
use purfle_lang::book::{FindingId, RecordPath, StateWord};
use purfle_lang::resolve::resolve;
use purfle_lang::saying::parse;
use purfle_lang::span::FileId;
use purfle_lang::syntax;

use super::condition::{Condition, Kind, LOOKS, Row, Test, choices};
use super::judged::{Judged, State};

/// Writes a rulebook, reads it, and judges a record by it.
pub struct ByRulebook;

impl Judged for ByRulebook {
    fn state(&self, condition: &Condition, row: &Row) -> State {
        let text = rulebook(condition);
        let parsed = syntax::parse(FileId(0), &text);
        assert!(parsed.diagnostics.is_empty(), "{text}\n{:?}", parsed.diagnostics);
        let resolved = resolve(&[parsed.tree]);
        let book = Arc::new(resolved.book.unwrap_or_else(|| panic!("{text}\n{:?}", resolved.diagnostics)));
        let part = book.find_part("thing").unwrap();
        let mut record = Record { id: "tried".to_owned(), ..Record::default() };
        for (look, value) in LOOKS.iter().zip(row.0) {
            let Some(value) = value else { continue };
            let id = book.find_look(part, look.name).unwrap();
            let saying = parse(&book[id], look.values[value], None, book.money).unwrap();
            record.entries.push(Entry::Look(id, RecordPath::Single, Arc::new(saying)));
        }
        let outcome = Judge::new(Arc::new(Plan::new(book))).judge(&record).unwrap();
        let tried = |finding: FindingId| finding.index() == 0;
        let state = outcome.findings.iter().find(|judged| tried(judged.finding)).map(|judged| judged.state);
        match state {
            Some(StateWord::Found) => State::Found,
            Some(_) => State::Open,
            None if outcome.not_ruled_out.iter().any(|judged| tried(judged.finding)) => State::Open,
            None => State::Clear,
        }
    }
}

fn rulebook(condition: &Condition) -> String {
    let looks: Vec<String> = LOOKS
        .iter()
        .map(|look| {
            let kind = match look.kind {
                Kind::YesNo => "yes or no".to_owned(),
                Kind::OneOf => format!("one of {}", look.values.join(", ")),
                Kind::Measured => format!("measured in mm from {} to {}", look.values[0], look.values[look.values.len() - 1]),
            };
            format!("  look {} \"{}?\" {kind}\n", look.name, look.name)
        })
        .collect();
    format!(
        "rulebook tried \"Tried\"\n  edition 1\n  keeper \"nobody\"\n  money USD\n\n\
         urgency\n  step fine \"Fine\"\n  step book \"Book\" within 30 days\n\n\
         hands\n  hand luthier \"A luthier\" 60 USD per h\n\n\
         tiers\n  tier any-price \"Any price\" beyond\n\n\
         part thing \"Thing\"\n{}\n\
         finding tried \"Tried\"\n  on thing\n  signs {}\n  urgency book\n  hands luthier\n  cost nothing\n  basis \"common practice\"\n",
        looks.concat(),
        condition.signs()
    )
}

impl Condition {
    /// As the rest of a `signs` clause. `at least N of` stands with bullets, so only outermost.
    pub fn signs(&self) -> String {
        match self {
            Condition::AtLeast(count, inner) => {
                let bullets: Vec<String> = inner.iter().map(|one| format!("\n    - {}", one.inline())).collect();
                format!("at least {count} of{}", bullets.concat())
            }
            condition => condition.inline(),
        }
    }

    fn inline(&self) -> String {
        let joined = |inner: &[Condition], word: &str| {
            let inner: Vec<String> = inner.iter().map(Condition::inline).collect();
            format!("({})", inner.join(word))
        };
        match self {
            Condition::Test(test) => test.signs(),
            Condition::Not(inner) => format!("not ({})", inner.inline()),
            Condition::All(inner) => joined(inner, " and "),
            Condition::Any(inner) => joined(inner, " or "),
            Condition::AtLeast(count, inner) => {
                let some: Vec<String> = choices(*count, inner).iter().map(|some| joined(some, " and ")).collect();
                format!("({})", some.join(" or "))
            }
        }
    }
}

impl Test {
    fn signs(&self) -> String {
        let list = |look: &usize, values: &[usize]| {
            let values: Vec<&str> = values.iter().map(|&value| LOOKS[*look].values[value]).collect();
            values.join(", ")
        };
        match self {
            Test::Yes(look) => LOOKS[*look].name.to_owned(),
            Test::No(look) => format!("{} is no", LOOKS[*look].name),
            Test::OneOf(look, values) => format!("{} is one of {}", LOOKS[*look].name, list(look, values)),
            Test::NotOneOf(look, values) => format!("not {} is one of {}", LOOKS[*look].name, list(look, values)),
            Test::Compared(look, word, limit) => format!("{} is {word} {limit} mm", LOOKS[*look].name),
        }
    }
}
