//! A desk where records are taken in as text and judged: rulebook, record and outcome by their names.

use std::path::Path;
use std::sync::Arc;

use purfle::judge::Judge;
use purfle::load::load;
use purfle::outcome::{AidOutcome, At, Judged, Outcome, Said, Sum};
use purfle::plan::Plan;
use purfle::record::Record;
use purfle::records::{Input, Run};
use purfle_lang::book::{Book, Finding, HandId, StateWord, StepId};
use purfle_lang::number::{Number, parse_decimal};
use purfle_lang::unit::{format_date, parse_date};
use serde_json::Value;

/// A desk with one rulebook on it.
pub struct Desk {
    book: Arc<Book>,
}

/// What came out for one record.
pub struct Slip {
    book: Arc<Book>,
    /// The outcome.
    pub outcome: Outcome,
}

/// The sum as an exact number.
pub fn usd(text: &str) -> Number {
    parse_decimal(text).expect("a sum")
}

impl Desk {
    /// A desk with the standard rulebook.
    pub fn standard() -> Self {
        Self::with("../rulebooks/first-look.purfle")
    }

    /// A desk with the rulebook of this path, taken from this crate's folder.
    pub fn with(path: &str) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
        let loaded = load(&path.to_string_lossy()).expect("a rulebook");
        let errors: Vec<&str> = loaded.diagnostics.iter().filter(|told| told.is_error()).map(|told| told.says.as_str()).collect();
        Self { book: Arc::new(loaded.book.unwrap_or_else(|| panic!("{errors:#?}"))) }
    }

    /// Takes in a record as it would lie in a file and judges it.
    pub fn judge(&self, mut record: Value) -> Slip {
        record["record"] = "case".into();
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("case.json");
        std::fs::write(&file, record.to_string()).expect("a file");
        let inputs = [Input::new(&file.to_string_lossy(), false).expect("a file of records")];
        let plan = Arc::new(Plan::new(Arc::clone(&self.book)));
        let make = || {
            let mut judge = Judge::new(Arc::clone(&plan));
            move |record: &mut Record| {
                let outcome = judge.judge(record).unwrap_or_else(|impossible| panic!("{impossible:?}"));
                Ok(outcome)
            }
        };
        let mut all = Vec::new();
        let run = Run { book: &self.book, inputs: &inputs, threads: 1, likeness: None };
        run.each(make, |answer| {
            all.push(answer.unwrap_or_else(|refused| panic!("{refused:#?}")));
            Ok(())
        })
        .expect("a run to its end");
        let outcome = all.pop().expect("one outcome");
        assert!(all.is_empty(), "one record, one outcome");
        Slip { book: Arc::clone(&self.book), outcome }
    }
}

impl Slip {
    /// A finding of this name that was found or suspected.
    fn judged(&self, name: &str) -> (usize, &Judged) {
        let named = |(_, judged): &(usize, &Judged)| self.book[judged.finding].name == name;
        let all: Vec<&str> = self.outcome.findings.iter().map(|judged| self.book[judged.finding].name.as_str()).collect();
        self.outcome.findings.iter().enumerate().find(named).unwrap_or_else(|| panic!("{name} is not among {all:?}"))
    }

    /// The finding of this name, which must be found for certain.
    pub fn found(&self, name: &str) -> &Judged {
        let (_, judged) = self.judged(name);
        assert_eq!(judged.state, StateWord::Found, "{name}");
        judged
    }

    /// The names of everything that is found for certain, each once, in the alphabet's order.
    pub fn all_found(&self) -> Vec<&str> {
        let found = self.outcome.findings.iter().filter(|judged| judged.state == StateWord::Found);
        let mut names: Vec<&str> = found.map(|judged| self.book[judged.finding].name.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        names
    }

    /// What the rulebook says of a finding that was found.
    pub fn of(&self, name: &str) -> &Finding {
        &self.book[self.found(name).finding]
    }

    /// The price of one way of mending a finding.
    pub fn way(&self, name: &str, way: &str) -> Sum {
        let (_, judged) = self.judged(name);
        let ways = &self.book[judged.finding].ways;
        let place = ways.iter().position(|known| known.name == way).unwrap_or_else(|| panic!("{name} has no way {way}"));
        judged.ways[place]
    }

    /// What the rulebook says of one way of mending a finding.
    pub fn way_tells(&self, name: &str, way: &str) -> String {
        let ways = &self.of(name).ways;
        ways.iter().find(|known| known.name == way).map(|known| known.tell.join(" ")).expect("a way")
    }

    /// The step that is certain, and the gravest that is possible.
    pub fn urgency(&self) -> (&str, &str) {
        let step = |id: StepId| self.book[id].name.as_str();
        (step(self.outcome.urgency.from), step(self.outcome.urgency.to))
    }

    /// The least and the most skilled hands needed.
    pub fn hands(&self) -> (&str, &str) {
        let hand = |id: Option<HandId>| id.map_or("nobody", |id| self.book[id].name.as_str());
        (hand(self.outcome.hands.from), hand(self.outcome.hands.to))
    }

    /// The sayings that stand before anything else.
    pub fn first(&self) -> String {
        let lines = self.outcome.first.iter().flat_map(|said| match said {
            Said::Finding(id) => &self.book[*id].first,
            Said::Counsel(id) => &self.book[*id].first,
        });
        lines.cloned().collect::<Vec<_>>().join(" ")
    }

    /// Whether a counsel is found, open or clear.
    pub fn counsel(&self, name: &str) -> StateWord {
        let known = self.book.counsels.iter().any(|counsel| counsel.name == name);
        assert!(known, "no counsel {name}");
        let said = self.outcome.counsel.iter().find(|(id, _)| self.book[*id].name == name);
        said.map_or(StateWord::Clear, |(_, state)| *state)
    }

    /// What the rulebook's only fund says.
    pub fn fund(&self) -> &AidOutcome {
        let [only] = self.outcome.aid.as_slice() else { panic!("one fund") };
        only
    }

    /// The look to take first.
    pub fn next_look(&self) -> String {
        let next = self.outcome.looks.first().expect("a look to take");
        assert_eq!(next.at, At::Part);
        self.book.look_path(next.look)
    }

    /// The day to look again.
    pub fn again(&self) -> Option<String> {
        self.outcome.again.map(format_date)
    }

    /// How many days from one day to that on which to look again.
    pub fn again_after(&self, day: &str) -> i64 {
        self.outcome.again.expect("a day") - parse_date(day).expect("a day")
    }
}
