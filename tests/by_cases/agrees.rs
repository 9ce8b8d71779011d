//! What the interpreter's outcome says otherwise than the cases do.
//!
//! Where the outcome says it is exact, both must be equal. Where it says it only encloses, it must enclose. Where the
//! samples do not stand for every case, the outcome must enclose what they show.

use purfle::outcome::{AidOutcome, At, Judged, Outcome, Range, Sum};
use purfle::record::Record;
use purfle_lang::book::{AidWord, Book, FindingId, PlayedWord, StateWord, StepId, TierId, Within};
use purfle_lang::number::{Number, round_scaled};

use super::asked;
use super::verdict::{ByCases, Cost, Span, Tally};

/// One line for everything that differs. A counsel that is left open though all cases agree on it is only counted, into
/// `open`: the interpreter holds a counsel against the totals as if these did not hang on the looks it reads.
pub fn differences(book: &Book, record: &Record, cases: &ByCases, outcome: &Outcome, open: &mut usize) -> Vec<String> {
    let mut found = Found { book, cases, lines: Vec::new() };
    found.whole(outcome);
    found.tiers(outcome);
    found.due(record, outcome);
    found.states(outcome);
    found.counsels(outcome, open);
    for (at, fund) in outcome.aid.iter().enumerate() {
        found.fund(at, fund);
    }
    if outcome.aid.len() != cases.aid.len() {
        found.say(format!("{} funds instead of {}", outcome.aid.len(), cases.aid.len()));
    }
    found.lines.extend(asked::not_asked(book, cases, outcome));
    found.lines
}

struct Found<'a> {
    book: &'a Book,
    cases: &'a ByCases,
    lines: Vec<String>,
}

impl Found<'_> {
    fn say(&mut self, line: String) {
        self.lines.push(line);
    }

    /// `exact`: the outcome says both ends are reached; `complete`: the samples reach both ends.
    fn span<T: Ord + Copy + std::fmt::Debug>(&mut self, what: &str, came: Range<T>, cases: Span<T>, exact: bool, complete: bool) {
        let encloses = came.from <= cases.from && came.to >= cases.to;
        let equal = came.from == cases.from && came.to == cases.to;
        if !encloses || (exact && complete && !equal) {
            self.say(format!(
                "{what}: {:?} to {:?} (exact: {exact}), by cases {:?} to {:?} (complete: {complete})",
                came.from, came.to, cases.from, cases.to
            ));
        }
    }

    fn sum(&mut self, what: &str, came: Sum, cases: &Cost) {
        if cases.unpriced {
            return;
        }
        let complete = self.cases.complete_cost;
        self.span(what, Range { from: Money(came.from), to: Money(came.to) }, money(cases.span), came.exact, complete);
        let (some, every) = cases.and_more;
        if (every && !came.and_more) || (complete && came.exact && !some && came.and_more) {
            self.say(format!("{what}: and more is {}, by cases in some {some}, in every {every}", came.and_more));
        }
    }

    fn played(&mut self, what: &str, came: PlayedWord, cases: PlayedWord, exact: bool) {
        let looser = came == PlayedWord::Open && (!exact || !self.cases.complete);
        let unseen = cases != PlayedWord::Open && came == PlayedWord::Open;
        if came != cases && !(looser && unseen) {
            self.say(format!("{what}: {came:?} (exact: {exact}), by cases {cases:?}"));
        }
    }

    fn whole(&mut self, outcome: &Outcome) {
        let exact = outcome.urgency_exact;
        let cases = self.cases;
        self.span("urgency", outcome.urgency, cases.urgency, exact, cases.complete);
        self.span("hands", outcome.hands, cases.hands, exact, cases.complete);
        self.played("played", outcome.played, cases.played, exact);
        for (part, played) in &cases.apart {
            let came = outcome.apart.iter().find(|(apart, _)| apart == part).map_or(PlayedWord::Yes, |(_, played)| *played);
            self.played(&self.book[*part].name, came, *played, exact);
        }
        if !(outcome.urgency.from <= outcome.suspected && outcome.suspected <= outcome.urgency.to) {
            self.say(format!("suspected urgency {:?} lies outside {:?}", outcome.suspected, outcome.urgency));
        }
        self.sum("cost", outcome.cost, &cases.cost);
        self.sum("cost if left", outcome.left, &cases.left);
    }

    fn tiers(&mut self, outcome: &Outcome) {
        for (what, sum, tier) in [("tier", outcome.cost, outcome.tier), ("tier if left", outcome.left, outcome.left_tier)] {
            let (from, to) = (self.tier(sum.from), self.tier(sum.to));
            if (tier.from, tier.to) != (from, to) {
                self.say(format!("{what}: {tier:?}, the printed sums lie in {from:?} to {to:?}"));
            }
        }
    }

    fn tier(&self, sum: Number) -> TierId {
        let places = self.book.money.minor_places();
        let printed = Number::new(round_scaled(sum, places), 10_i128.pow(places));
        let at = self.book.tiers.iter().position(|tier| tier.up_to.is_none_or(|most| printed <= most));
        TierId::from_index(at.unwrap_or(0))
    }

    fn due(&mut self, record: &Record, outcome: &Outcome) {
        let day = |step: StepId| match (record.inspected_on, self.book[step].within) {
            (None, _) | (_, Within::Whenever) => None,
            (Some(day), Within::AtOnce) => Some(day),
            (Some(day), Within::Duration(duration)) => duration.after(day),
        };
        let expected = Range { from: day(outcome.urgency.to), to: day(outcome.urgency.from) };
        if outcome.due != expected {
            self.say(format!("due: {:?} instead of {expected:?}", outcome.due));
        }
    }

    fn states(&mut self, outcome: &Outcome) {
        let listed: Vec<&Judged> = outcome.findings.iter().chain(&outcome.not_ruled_out).collect();
        for judged in &listed {
            if listed.iter().filter(|other| (other.finding, other.at) == (judged.finding, judged.at)).count() > 1 {
                self.say(format!("{} at {:?} stands more than once", self.name(judged.finding), judged.at));
            }
            match self.cases.findings.get(&(judged.finding, judged.at)) {
                Some(tally) => self.judged(judged, tally),
                None if judged.state == StateWord::Found || self.sure() => {
                    self.say(format!("{} at {:?}: {:?}, by cases clear", self.name(judged.finding), judged.at, judged.state));
                }
                None => {}
            }
        }
        for ((finding, at), tally) in &self.cases.findings {
            if !listed.iter().any(|judged| (judged.finding, judged.at) == (*finding, *at)) {
                let state = if tally.holds == self.cases.cases { "found" } else { "open" };
                self.lines.push(format!("{} at {at:?}: clear, by cases {state}", self.book[*finding].name));
            }
        }
    }

    /// Whether the samples stand for all there is, and nothing compares looks with looks.
    fn sure(&self) -> bool {
        self.cases.complete && !self.cases.linked
    }

    fn name(&self, finding: FindingId) -> String {
        self.book[finding].name.clone()
    }

    fn judged(&mut self, judged: &Judged, tally: &Tally) {
        let name = format!("{} at {:?}", self.name(judged.finding), judged.at);
        let found = tally.holds == self.cases.cases;
        let agrees = match judged.state {
            StateWord::Found => found,
            _ => !found || !self.sure(),
        };
        if !agrees {
            self.say(format!("{name}: {:?}, by cases it holds in {} of {}", judged.state, tally.holds, self.cases.cases));
        }
        if let Some(urgency) = tally.urgency {
            self.span(&format!("urgency of {name}"), judged.urgency, urgency, self.sure(), self.cases.complete);
        }
        if let Some(cost) = &tally.cost {
            self.sum(&format!("cost of {name}"), judged.cost, cost);
        }
        // Of what nobody looked at, the chain is not reckoned.
        if judged.state == StateWord::Open {
            return;
        }
        if let Some(left) = &tally.left {
            self.sum(&format!("cost if left of {name}"), judged.left, left);
        }
        if let (Some(Some(by_cases)), Some(came)) = (tally.extra, judged.expected_extra) {
            let came = Range { from: Money(came.from), to: Money(came.to) };
            let complete = self.cases.complete_cost && self.sure();
            self.span(&format!("expected extra of {name}"), came, money(by_cases), complete, complete);
        }
        if matches!(tally.extra, Some(None)) && judged.expected_extra.is_some() {
            self.say(format!("expected extra of {name}, and by cases there is none"));
        }
        if let (Some(over), Some(under)) = (judged.yields_to, &tally.under)
            && !under.contains(&over)
        {
            self.say(format!("{name} is listed under {}, by cases not always", self.book[over].name));
        }
        if judged.at == At::Part && judged.state == StateWord::Found && judged.yields_to.is_none() {
            let sure = tally.under.iter().flatten().find(|over| self.book[**over].on == self.book[judged.finding].on);
            if let Some(over) = sure
                && !self.book[*over].each
                && self.sure()
            {
                self.say(format!("{name} is not listed under {}", self.book[*over].name));
            }
        }
    }

    fn counsels(&mut self, outcome: &Outcome, open: &mut usize) {
        for (at, (state, settled)) in self.cases.counsel.iter().enumerate() {
            let came = outcome.counsel.iter().find(|(counsel, _)| counsel.index() == at);
            let came = came.map_or(StateWord::Clear, |(_, state)| *state);
            let looser = came == StateWord::Open;
            *open += usize::from(looser && came != *state && *settled && self.sure());
            if came != *state && !looser {
                self.say(format!("counsel {}: {came:?}, by cases {state:?}", self.book.counsels[at].name));
            }
        }
    }

    fn fund(&mut self, at: usize, came: &AidOutcome) {
        let cases = &self.cases.aid[at];
        let looser = came.state == AidWord::Open && !(came.exact && self.sure() && self.cases.complete_cost);
        if came.state != cases.state && !looser {
            self.say(format!("fund: {:?} (exact: {}), by cases {:?}", came.state, came.exact, cases.state));
        }
        let complete = self.cases.complete_cost && self.cases.complete;
        let range = Range { from: Money(came.pays.from), to: Money(came.pays.to) };
        self.span("the fund pays", range, money(cases.pays), came.exact, complete);
        if came.missing != cases.missing {
            self.say(format!("the fund misses {:?}, by cases {:?}", came.missing, cases.missing));
        }
    }
}

/// A sum that shows itself as a fraction.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Money(Number);

impl std::fmt::Debug for Money {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.0)
    }
}

fn money(span: Span<Number>) -> Span<Money> {
    Span { from: Money(span.from), to: Money(span.to) }
}
