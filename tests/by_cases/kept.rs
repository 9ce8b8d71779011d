//! What an example expects, held against the cases.

use purfle::outcome::At;
use purfle_lang::book::{
    Book, Example, Expectation, ExpectedRange, FindingId, LookId, PlayedWord, RecordPath, StateWord, StepId,
};
use purfle_lang::number::{Number, round_scaled};

use super::matters::What;
use super::verdict::{ByCases, Span, Verdict};

/// One line for each expectation of an example that the cases do not bear out.
pub fn not_kept(book: &Book, example: &Example, verdict: &Verdict) -> Vec<String> {
    let refused = example.expects.iter().any(|(expectation, _)| matches!(expectation, Expectation::Refused));
    let cases = match verdict {
        Verdict::TooMany => return vec!["too many cases".to_owned()],
        Verdict::Refused if refused => return Vec::new(),
        Verdict::Refused => return vec!["refused".to_owned()],
        Verdict::Outcome(_) if refused => return vec!["not refused".to_owned()],
        Verdict::Outcome(cases) => cases,
    };
    let kept = Kept { book, example, cases };
    let misses = example.expects.iter().filter(|(expectation, _)| !kept.holds(expectation));
    misses.map(|(expectation, _)| format!("{expectation:?}")).collect()
}

struct Kept<'a> {
    book: &'a Book,
    example: &'a Example,
    cases: &'a ByCases,
}

impl Kept<'_> {
    fn holds(&self, expectation: &Expectation) -> bool {
        let cases = self.cases;
        match expectation {
            Expectation::Finding { state, finding, place, at } => self.finding(*state, *finding, *place, *at),
            Expectation::NothingElse => {
                let expected = |finding: FindingId| {
                    self.example.expects.iter().any(|(other, _)| {
                        matches!(other, Expectation::Finding { state: StateWord::Found, finding: named, .. } if *named == finding)
                    })
                };
                cases.findings.iter().all(|((finding, _), tally)| tally.holds < cases.cases || expected(*finding))
            }
            Expectation::Urgency(range) => same(range, cases.urgency),
            Expectation::Played(played) => {
                let worst = cases.apart.iter().map(|(_, played)| *played).chain([cases.played]);
                worst.max_by_key(|played| match played {
                    PlayedWord::Yes => 0,
                    PlayedWord::Open => 1,
                    PlayedWord::No => 2,
                }) == Some(*played)
            }
            Expectation::Cost(range) => same(range, self.printed(cases.cost.span)),
            Expectation::Left(range) => same(range, self.printed(cases.left.span)),
            Expectation::Tier(range) => {
                let sums = self.printed(cases.cost.span);
                same(range, Span { from: self.book.tier_of(sums.from), to: self.book.tier_of(sums.to) })
            }
            Expectation::Hands(range) => same(range, cases.hands),
            Expectation::Looks(look, place) => self.asks(*look, *place),
            Expectation::LooksNot(look, place) => !self.asks(*look, *place),
            Expectation::Counsel(counsel, state) => cases.counsel[counsel.index()].0 == *state,
            Expectation::Aid(aid, word) => cases.aid[aid.index()].state == *word,
            // The calendar is the interpreter's own; the comparison of outcomes looks at it.
            Expectation::Due(_) => true,
            Expectation::Refused => false,
        }
    }

    fn finding(
        &self,
        state: StateWord,
        finding: FindingId,
        place: Option<RecordPath>,
        at: Option<ExpectedRange<StepId>>,
    ) -> bool {
        let here = self.cases.findings.iter().filter(|((found, spot), _)| {
            let there = match (place, spot) {
                (None, _) | (Some(RecordPath::Single), At::Part) => true,
                (Some(place), At::Place(path)) => *path == place,
                _ => false,
            };
            *found == finding && there
        });
        let mut tallies = here.map(|(_, tally)| tally);
        match state {
            StateWord::Clear => tallies.next().is_none(),
            StateWord::Found => tallies.any(|tally| {
                let step = at.is_none_or(|range| tally.urgency.is_some_and(|urgency| same(&range, urgency)));
                tally.holds == self.cases.cases && step
            }),
            StateWord::Open | StateWord::Suspected => tallies.any(|tally| tally.holds < self.cases.cases),
        }
    }

    fn asks(&self, look: LookId, place: Option<RecordPath>) -> bool {
        self.cases.matters.iter().any(|one| match one.what {
            What::Look(asked, at) => asked == look && place.is_none_or(|place| At::Place(place) == at),
            What::Unnamed(_) => false,
        })
    }

    fn printed(&self, sum: Span<Number>) -> Span<Number> {
        let places = self.book.money.minor_places();
        let printed = |sum: Number| Number::new(round_scaled(sum, places), 10_i128.pow(places));
        Span { from: printed(sum.from), to: printed(sum.to) }
    }
}

fn same<T: PartialEq>(expected: &ExpectedRange<T>, came: Span<T>) -> bool {
    expected.from == came.from && expected.to == came.to
}
