//! Words by which people begin a line before they know the language, and what they mean here.

use super::tree::Kind;

/// Words that begin no item, and the item word that is meant.
const ITEMS: [(&str, &str); 36] = [
    ("rule", "finding"),
    ("rules", "finding"),
    ("issue", "finding"),
    ("problem", "finding"),
    ("fault", "finding"),
    ("defect", "finding"),
    ("damage", "finding"),
    ("condition", "finding"),
    ("component", "part"),
    ("piece", "part"),
    ("section", "part"),
    ("item", "part"),
    ("step", "urgency"),
    ("severity", "urgency"),
    ("priority", "urgency"),
    ("hand", "hands"),
    ("tier", "tiers"),
    ("task", "work"),
    ("job", "work"),
    ("repair", "work"),
    ("labor", "work"),
    ("labour", "work"),
    ("lookup", "table"),
    ("calculate", "reckon"),
    ("formula", "reckon"),
    ("compute", "reckon"),
    ("advice", "counsel"),
    ("recommend", "counsel"),
    ("fund", "aid"),
    ("test", "example"),
    ("case", "example"),
    ("change", "alter"),
    ("modify", "alter"),
    ("remove", "without"),
    ("delete", "without"),
    ("drop", "without"),
];

/// Words that begin no clause, the kinds of entry in which they are met, and the clause word that is meant.
const CLAUSES: [(&str, &[Kind], &str); 34] = [
    ("if", &[Kind::Finding], "signs"),
    ("when", &[Kind::Finding], "signs"),
    ("where", &[Kind::Finding], "signs"),
    ("condition", &[Kind::Finding], "signs"),
    ("unless", &[Kind::Raise, Kind::Counsel], "when"),
    ("if", &[Kind::Raise, Kind::Counsel], "when"),
    ("except", &[Kind::Finding], "unless"),
    ("severity", &[Kind::Finding], "urgency"),
    ("priority", &[Kind::Finding], "urgency"),
    ("level", &[Kind::Finding], "urgency"),
    ("who", &[Kind::Finding], "hands"),
    ("part", &[Kind::Finding], "on"),
    ("parts", &[Kind::Finding], "goods"),
    ("price", &[Kind::Finding], "goods"),
    ("material", &[Kind::Finding], "goods"),
    ("materials", &[Kind::Finding], "goods"),
    ("repair", &[Kind::Finding], "work"),
    ("labor", &[Kind::Finding], "work"),
    ("labour", &[Kind::Finding], "work"),
    ("becomes", &[Kind::Finding], "left"),
    ("source", &[Kind::Finding, Kind::Counsel], "basis"),
    ("reason", &[Kind::Finding, Kind::Counsel], "basis"),
    ("note", &[Kind::Finding, Kind::Counsel], "tell"),
    ("advice", &[Kind::Finding, Kind::Counsel], "tell"),
    ("message", &[Kind::Finding, Kind::Counsel], "tell"),
    ("warning", &[Kind::Finding, Kind::Part, Kind::Context], "care"),
    ("check", &[Kind::Part, Kind::Context], "look"),
    ("question", &[Kind::Part, Kind::Context], "look"),
    ("ask", &[Kind::Part, Kind::Context], "look"),
    ("normal", &[Kind::Part, Kind::Context], "good"),
    ("minimum", &[Kind::Rulebook], "least"),
    ("currency", &[Kind::Rulebook], "money"),
    ("version", &[Kind::Rulebook], "edition"),
    ("author", &[Kind::Rulebook], "keeper"),
];

/// Words in an example that stand for what comes out.
const EXPECTED: [&str; 6] = ["expect", "expects", "expected", "then", "result", "outcome"];

/// The item word that is meant by another one.
pub(super) fn item(word: &str) -> Option<&'static str> {
    let word = word.to_lowercase();
    ITEMS.iter().find(|(written, _)| *written == word).map(|(_, meant)| *meant)
}

/// The clause word that is meant by another one in a kind of entry.
pub(super) fn clause(kind: Kind, word: &str) -> Option<&'static str> {
    let word = word.to_lowercase();
    if kind == Kind::Example && EXPECTED.contains(&word.as_str()) {
        return Some("finds");
    }
    CLAUSES.iter().find(|(written, kinds, _)| *written == word && kinds.contains(&kind)).map(|(_, _, meant)| *meant)
}

#[cfg(test)]
mod tests {
    use super::super::shape;
    use super::*;

    #[test]
    fn what_is_meant_is_there_and_what_is_written_is_not() {
        let items = || shape::ITEMS.iter().map(|kind| kind.word()).chain(["alter", "without"]);
        for (written, meant) in ITEMS {
            assert!(items().any(|word| word == meant) && items().all(|word| word != written), "{written}: {meant}");
        }
        for (written, kinds, meant) in CLAUSES {
            for kind in kinds {
                assert!(shape::clause(*kind, meant).is_some() && shape::clause(*kind, written).is_none(), "{kind:?} {written}");
            }
        }
        for word in EXPECTED {
            assert!(shape::clause(Kind::Example, word).is_none(), "{word}");
        }
    }
}
