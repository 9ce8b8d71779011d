//! How a claim is told: names in a sentence, and the record that shows it with the example it could become.

use super::sites::Site;
use super::world::World;
use crate::book::{Comparison, Condition, FindingId, LookId, LookKind, Origin, RecordEntry, RecordPath, Test, Value};
use crate::diagnostic::{Diagnostic, Edit, Fix, Label};
use crate::finite::node::Node;
use crate::number::Number;
use crate::saying::{allowed, entries, place_suffix};
use crate::span::{FileId, Span};

impl World<'_> {
    /// Where an item is mended: where the rulebook itself wrote or altered it, else where a parent did.
    pub fn place_of(&self, origin: &Origin) -> Span {
        origin.own().unwrap_or(origin.span)
    }

    /// A claim about a line of a parent's finding that the rulebook itself altered is told at the `alter`: that is where it
    /// can be mended, and quieted.
    pub fn told_here(&self, mut diagnostic: Diagnostic) -> Diagnostic {
        if diagnostic.span.file == FileId::OWN {
            return diagnostic;
        }
        let line = diagnostic.span;
        let has = |at: usize| {
            let lines = self.book.findings[at].urgency.iter().map(|line| line.span);
            let unless = self.book.findings[at].unless.iter().filter_map(whole);
            lines.chain(self.signs[at].iter().map(|site| site.span)).chain(unless).any(|span| span == line)
        };
        let altered = (0..self.book.findings.len()).find(|at| has(*at)).and_then(|at| self.book.findings[at].origin.own());
        if let Some(altered) = altered {
            diagnostic.span = altered;
            let label = std::mem::replace(&mut diagnostic.label, "altered here".to_owned());
            let says = if label.is_empty() { "this line".to_owned() } else { label };
            diagnostic.places.insert(0, Label { span: line, says });
            diagnostic.help = "Write the lines of that clause anew in this `alter`, as they are meant here.".to_owned();
        }
        diagnostic
    }

    /// The verb of a claim that a case shows: what looks alone do not decide, and nobody could have measured, only may be.
    pub fn can(&self, case: &[u8], claim: &Node) -> &'static str {
        let plain = self.reads(claim).iter().all(|variable| self.slot(*variable).is_some() && !self.derived(*variable));
        if plain || self.record(case, claim).is_some() { "can" } else { "may" }
    }

    /// Adds the record that shows a claim, and the fix that writes it down as an example: `standings` are those that it
    /// finds. Nothing is added where looks alone do not decide the claim.
    pub fn shown(&self, diagnostic: Diagnostic, words: &str, case: &[u8], claim: &Node, standings: &[usize]) -> Diagnostic {
        let Some(record) = self.record(case, claim) else { return diagnostic };
        let finds: Vec<String> = standings.iter().map(|at| self.finds(*at, case)).collect();
        self.with_example(diagnostic, words, &record, &finds)
    }

    /// The same for a record and what it is expected to come to, a clause each.
    pub fn with_example(&self, diagnostic: Diagnostic, words: &str, record: &[RecordEntry], expected: &[String]) -> Diagnostic {
        if record.is_empty() {
            return diagnostic;
        }
        let record = entries(self.book, record);
        let mut text = format!("\nexample \"{words}\"\n  record {record}\n");
        for clause in expected {
            text.push_str(&format!("  {clause}\n"));
        }
        let end = Span::new(FileId(0), self.end, self.end);
        let fix = Fix {
            title: "Add this record as an example".to_owned(),
            safe: false,
            edits: vec![Edit { span: end, text: if self.ends_open { format!("\n{text}") } else { text } }],
        };
        let mut diagnostic = diagnostic.witness(record, expected.join(", "));
        diagnostic.fixes.push(fix);
        diagnostic
    }

    /// `finds peg-slips on E`
    pub fn finds(&self, standing: usize, case: &[u8]) -> String {
        let standing = &self.standings[standing];
        let finding = &self.book[standing.finding];
        let place = match self.place(finding.on, standing.spot, case) {
            RecordPath::Single => String::new(),
            path if finding.each => format!(" on {}", &place_suffix(self.book, finding.on, path)[1..]),
            _ => String::new(),
        };
        format!("finds {}{place}", finding.name)
    }

    /// The name of a finding, in the marks of a sentence.
    pub fn named(&self, finding: FindingId) -> String {
        format!("`{}`", self.book[finding].name)
    }
}

/// `a`, `a and b`, `a, b and c`; after a few, how many more there are.
pub fn listed(names: &[String]) -> String {
    const MOST: usize = 4;
    match names {
        [] => String::new(),
        [one] => one.clone(),
        names if names.len() > MOST => format!("{} and {} more", names[..MOST].join(", "), names.len() - MOST),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

/// Where a condition stands, from its first test to its last.
pub fn whole(condition: &Condition) -> Option<Span> {
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
            inner.iter().filter_map(whole).reduce(Span::to)
        }
        Condition::Not(inner) => whole(inner),
        Condition::Test(_, span) | Condition::Found(_, span) | Condition::Places { span, .. } => Some(*span),
    }
}

/// For a test of one look against limits that alone make it come out always (or, with `met` false, never) as it is
/// written: how far the look goes.
pub fn limit(world: &World, site: &Site, met: bool) -> Option<String> {
    let (at, decided) = match site.test.as_ref()? {
        Test::Compare(comparison, Value::Look(at), limit) => (at, by_limit(*comparison, range(world, at.look)?, ends(limit)?)),
        Test::Compare(comparison, limit, Value::Look(at)) => {
            (at, by_limit(turned(*comparison), range(world, at.look)?, ends(limit)?))
        }
        Test::Between(Value::Look(at), low, high) => {
            let range = range(world, at.look)?;
            let sides = [by_limit(Comparison::AtLeast, range, ends(low)?), by_limit(Comparison::AtMost, range, ends(high)?)];
            let decided = match sides {
                [Some(true), Some(true)] => Some(true),
                [Some(false), _] | [_, Some(false)] => Some(false),
                _ => None,
            };
            (at, decided)
        }
        _ => return None,
    };
    let look = &world.book[at.look];
    let goes = match look.kind {
        LookKind::Counted { from, to } => format!("{from} to {to}"),
        _ => allowed(look, world.book.money),
    };
    (decided? == (met != site.not)).then(|| format!("`{}` goes from {goes}", world.book.look_path(at.look)))
}

fn range(world: &World, look: LookId) -> Option<(Number, Number)> {
    let whole = |count: i64| Number::from_integer(i128::from(count));
    match world.book[look].kind {
        LookKind::Measured { from, to, .. } | LookKind::Priced { from, to } => Some((from, to)),
        LookKind::Counted { from, to } => Some((whole(from), whole(to))),
        _ => None,
    }
}

fn ends(limit: &Value) -> Option<(Number, Number)> {
    match limit {
        Value::Number(number) => Some((*number, *number)),
        Value::Range(low, high) => Some((*low, *high)),
        _ => None,
    }
}

fn turned(comparison: Comparison) -> Comparison {
    match comparison {
        Comparison::Above => Comparison::Below,
        Comparison::Below => Comparison::Above,
        Comparison::AtLeast => Comparison::AtMost,
        Comparison::AtMost => Comparison::AtLeast,
    }
}

/// How a look compares with a limit whatever it shows of its range; none where that counts.
fn by_limit(comparison: Comparison, (from, to): (Number, Number), limit: (Number, Number)) -> Option<bool> {
    let (always, never) = match comparison {
        Comparison::Above => (from > limit.1, to <= limit.1),
        Comparison::Below => (to < limit.0, from >= limit.0),
        Comparison::AtLeast => (from >= limit.0, to < limit.0),
        Comparison::AtMost => (to <= limit.1, from > limit.1),
    };
    match (always, never) {
        (true, false) => Some(true),
        (false, true) => Some(false),
        _ => None,
    }
}
