//! Conditions.

use super::expression::only;
use super::{Lower, Unread};
use crate::book::Comparison;
use crate::diagnostic::{Diagnostic, Edit};
use crate::span::{Span, Spanned};
use crate::syntax::grammar::{Pair, Rule};
use crate::syntax::split::{Slice, clip, edits};
use crate::syntax::tree::{Cond, CondKind, Count, Expr, ExprKind, LadderTest, Name, Path, Total};

impl Lower<'_> {
    /// A condition with its bullets. None if it could not be read, which has been reported.
    pub(super) fn condition(&mut self, pair: &Pair<'_>, bullets: &[Slice]) -> Option<Cond> {
        let inner = pair.clone().into_inner().next()?;
        if inner.as_rule() == Rule::chain {
            self.no_bullets(bullets);
            return self.chain(&inner);
        }
        let head = inner.into_inner().next()?;
        let span = self.span(&head);
        if bullets.is_empty() {
            let says = format!("Bullets are missing under `{}`.", head.as_str().trim_end());
            let help = "Write each condition on a line of its own below, after `- `.";
            self.diagnostics.push(Diagnostic::error("bullets-missing", span, says).help(help));
            return None;
        }
        let count = head.clone().into_inner().find(|pair| pair.as_rule() == Rule::whole).map(|pair| self.whole(&pair));
        let base = self.base;
        let conditions: Vec<Cond> = bullets.iter().filter_map(|bullet| self.bullet(bullet)).collect();
        self.base = base;
        let span = conditions.last().map_or(span, |last| span.to(last.span));
        let kind = match (head.as_rule(), count) {
            _ if conditions.is_empty() => return None,
            (Rule::all_of, _) => CondKind::All(conditions),
            // With a bullet or the count lost to an error, how many there are says nothing.
            (_, Some(Some(count))) if conditions.len() == bullets.len() => CondKind::AtLeast(count, conditions),
            _ => CondKind::Any(conditions),
        };
        Some(Cond { kind, span })
    }

    /// Reports bullets where none belong.
    pub fn no_bullets(&mut self, bullets: &[Slice]) {
        if let Some(first) = bullets.iter().find(|bullet| !bullet.spoiled) {
            let at = Span::new(self.file, first.range.start, first.range.start + 1);
            self.diagnostics.push(
                Diagnostic::error("bullet-without-clause", at, "Bullets follow `all of`, `any of` or `at least 2 of` only.")
                    .help("End the line above in one of these, or go on without bullets."),
            );
        }
    }

    fn bullet(&mut self, bullet: &Slice) -> Option<Cond> {
        match self.read(Rule::bullet, bullet, 1) {
            Ok(pair) => self.chain(&pair.into_inner().next()?),
            Err(Unread::Stopped(failure)) => {
                self.report(Rule::bullet, &failure, bullet.range.end, "- CONDITION", "- gap is above 0.2 mm");
                None
            }
            Err(Unread::Reported) => None,
        }
    }

    /// A whole number as it is counted with; none after saying that it is too large.
    fn whole(&mut self, pair: &Pair<'_>) -> Option<Spanned<u32>> {
        let span = self.span(pair);
        let value = pair.as_str().parse().ok();
        if value.is_none() {
            let says = format!("`{}` is more than anybody counts.", clip(pair.as_str()));
            self.diagnostics
                .push(Diagnostic::error("number-too-large", span, says).help("Write the number that is meant, such as 2."));
        }
        value.map(|value| Spanned::new(value, span))
    }

    pub(super) fn chain(&mut self, pair: &Pair<'_>) -> Option<Cond> {
        let (mut tests, mut ors) = (Vec::new(), Vec::new());
        for inner in pair.clone().into_inner() {
            match inner.as_rule() {
                Rule::test => tests.push(inner),
                Rule::k_or => ors.push(true),
                Rule::k_and => ors.push(false),
                _ => {}
            }
        }
        if ors.contains(&true) && ors.contains(&false) {
            self.mixed(pair, &tests, &ors);
        }
        // `and` binds closer, as the fix says; without a mixture there is one group, or one test a group.
        let mut groups: Vec<Vec<Cond>> = vec![Vec::new()];
        let mut whole = true;
        for (index, test) in tests.iter().enumerate() {
            if index > 0 && ors[index - 1] {
                groups.push(Vec::new());
            }
            match (self.test(test), groups.last_mut()) {
                (Some(cond), Some(group)) => group.push(cond),
                _ => whole = false,
            }
        }
        if !whole && groups.iter().all(Vec::is_empty) {
            return None;
        }
        let mut any: Vec<Cond> = groups.into_iter().filter_map(|group| join(group, CondKind::All)).collect();
        if any.len() == 1 { any.pop() } else { join(any, CondKind::Any) }
    }

    /// `and` and `or` side by side.
    fn mixed(&mut self, pair: &Pair<'_>, tests: &[Pair<'_>], ors: &[bool]) {
        let mut inserts = Vec::new();
        let mut start = 0;
        for end in 0..tests.len() {
            if end + 1 < tests.len() && !ors[end] {
                continue;
            }
            if end > start {
                let (first, last) = (self.span(&tests[start]), self.span(&tests[end]));
                let at = |byte: u32| Span { file: self.file, start: byte, end: byte };
                inserts.push(Edit { span: at(first.start), text: "(".to_owned() });
                inserts.push(Edit { span: at(last.end), text: ")".to_owned() });
            }
            start = end + 1;
        }
        let mut diagnostic = Diagnostic::error(
            "mixed-and-or",
            self.span(pair),
            "`and` and `or` stand side by side, and a reader cannot hear which goes together.",
        )
        .help("Put brackets round what belongs together, or write bullets under `all of` or `any of`.");
        diagnostic.fixes.push(edits("Put the `and` groups in brackets", false, inserts));
        self.diagnostics.push(diagnostic);
    }

    /// A test, with or without `not`.
    fn test(&mut self, pair: &Pair<'_>) -> Option<Cond> {
        let mut inner = pair.clone().into_inner().peekable();
        let not = inner.next_if(|pair| pair.as_rule() == Rule::k_not).map(|pair| self.span(&pair));
        let single = inner.next()?;
        let cond = self.single(&single)?;
        Some(match not {
            Some(keyword) => Cond { span: keyword.to(cond.span), kind: CondKind::Not(Box::new(cond)) },
            None => cond,
        })
    }

    fn single(&mut self, pair: &Pair<'_>) -> Option<Cond> {
        let span = self.span(pair);
        let inside = |rule: Rule| pair.clone().into_inner().find(|inner| inner.as_rule() == rule);
        let kind = match pair.as_rule() {
            Rule::plain => return self.plain(pair),
            Rule::found => CondKind::Found(self.token(&inside(Rule::finding_name)?)),
            Rule::places_with => {
                let count = self.count(&inside(Rule::count)?)?;
                let part = self.token(&inside(Rule::part_name)?);
                let with = Box::new(self.test(&inside(Rule::one_test)?)?);
                CondKind::Places { count, part, with }
            }
            Rule::place_is => CondKind::PlaceIs {
                keyword: self.span(&inside(Rule::k_place)?),
                not: inside(Rule::k_not).is_some(),
                places: self.names(pair, Rule::place_name),
            },
            Rule::total_is => self.total(pair)?,
            _ => return None,
        };
        Some(Cond { kind, span })
    }

    fn count(&mut self, pair: &Pair<'_>) -> Option<Spanned<Count>> {
        let span = self.span(pair);
        let mut count = Count::Any;
        for inner in pair.clone().into_inner() {
            match inner.as_rule() {
                Rule::k_no => count = Count::No,
                Rule::k_every => count = Count::Every,
                Rule::whole => count = Count::AtLeast(self.whole(&inner)?.value),
                _ => {}
            }
        }
        Some(Spanned::new(count, span))
    }

    fn total(&mut self, pair: &Pair<'_>) -> Option<CondKind> {
        let mut inner = pair.clone().into_inner();
        let total = inner.next()?;
        let which =
            if total.clone().into_inner().any(|word| word.as_rule() == Rule::k_tier) { Total::Tier } else { Total::Urgency };
        let total = Spanned::new(which, self.span(&total));
        let asked = inner.find(|inner| inner.as_rule() != Rule::k_is)?;
        let mut names = self.names(&asked, Rule::step_name);
        let not = asked.clone().into_inner().any(|word| word.as_rule() == Rule::k_not);
        let test = match asked.as_rule() {
            Rule::ladder_compare => {
                let comparison = asked.clone().into_inner().find(|word| word.as_rule() == Rule::comparison)?;
                LadderTest::Compare(self.comparison(&comparison), names.pop()?)
            }
            Rule::ladder_from => {
                let high = names.pop()?;
                LadderTest::From(names.pop()?, high)
            }
            _ => LadderTest::OneOf(names),
        };
        Some(CondKind::Total { total, not, test })
    }

    /// All names of one kind directly inside a pair.
    pub(super) fn names(&self, pair: &Pair<'_>, rule: Rule) -> Vec<Name> {
        pair.clone().into_inner().filter(|inner| inner.as_rule() == rule).map(|inner| self.token(&inner)).collect()
    }

    fn comparison(&self, pair: &Pair<'_>) -> Spanned<Comparison> {
        let last = pair.clone().into_inner().last().map(|word| word.as_rule());
        let comparison = match last {
            Some(Rule::k_above) => Comparison::Above,
            Some(Rule::k_below) => Comparison::Below,
            Some(Rule::k_least) => Comparison::AtLeast,
            _ => Comparison::AtMost,
        };
        Spanned::new(comparison, self.span(pair))
    }

    /// A value and what is asked of it; a yes-or-no look or a bracket stands alone.
    fn plain(&mut self, pair: &Pair<'_>) -> Option<Cond> {
        let span = self.span(pair);
        let mut inner = pair.clone().into_inner();
        let value = inner.next()?;
        let Some(tail) = inner.next() else { return self.alone(&value) };
        let asked =
            tail.clone().into_inner().find(|inner| !matches!(inner.as_rule(), Rule::k_is | Rule::k_has | Rule::any_of))?;
        let kind = match asked.as_rule() {
            Rule::compare => {
                let mut inside = asked.clone().into_inner();
                let comparison = self.comparison(&inside.next()?);
                let right = inside.next()?;
                CondKind::Compare { left: self.value(&value)?, comparison, right: self.value(&right)? }
            }
            Rule::between => {
                let mut ends = asked.clone().into_inner().filter(|inner| inner.as_rule() == Rule::value);
                let (low, high) = (ends.next()?, ends.next()?);
                CondKind::Between { value: self.value(&value)?, low: self.value(&low)?, high: self.value(&high)? }
            }
            Rule::is_choice => {
                let not = asked.clone().into_inner().any(|word| word.as_rule() == Rule::k_not);
                let choices = asked.clone().into_inner().find(|inner| inner.as_rule() == Rule::choices)?;
                CondKind::Is { path: self.look(&value)?, not, choices: self.choices(&choices) }
            }
            Rule::choices => CondKind::Has { path: self.look(&value)?, choices: self.choices(&asked) },
            _ => return None,
        };
        Some(Cond { kind, span })
    }

    pub(super) fn choices(&mut self, pair: &Pair<'_>) -> Vec<Name> {
        pair.clone().into_inner().map(|choice| self.choice(&choice)).collect()
    }

    /// The look before `is` and a choice.
    fn look(&mut self, value: &Pair<'_>) -> Option<Path> {
        let span = self.span(value);
        match self.value(value)? {
            Expr { kind: ExprKind::Path(path), .. } => Some(path),
            Expr { kind: ExprKind::Last(_), .. } => {
                let says = "`last` is compared, as in `is above last post.lean`; it is not asked for a choice.";
                self.diagnostics
                    .push(Diagnostic::error("choice-of-a-value", span, says).help("Ask the look itself for a choice."));
                None
            }
            _ => {
                let says = format!("`{}` is worked out, and only a look is asked for a choice.", clip(value.as_str().trim_end()));
                let help = "Compare a value with `is above`, `is below`, `is at least`, `is at most` or `is from … to …`.";
                self.diagnostics.push(Diagnostic::error("choice-of-a-value", span, says).help(help));
                None
            }
        }
    }

    /// A value with nothing asked of it: a yes-or-no look, or a condition in brackets.
    fn alone(&mut self, value: &Pair<'_>) -> Option<Cond> {
        let operand = only(value).and_then(|product| only(&product)).and_then(|operand| only(&operand));
        match operand {
            Some(group) if group.as_rule() == Rule::group => {
                let chain = group.into_inner().find(|inner| inner.as_rule() == Rule::chain)?;
                return self.chain(&chain);
            }
            Some(call) if call.as_rule() == Rule::call && only(&call).is_some() => {
                let path = self.path(&only(&call)?);
                return Some(Cond { span: path.span, kind: CondKind::Bare(path) });
            }
            _ => {}
        }
        let span = self.span(value);
        self.diagnostics.push(
            Diagnostic::error("not-a-condition", span, "This is a value, and nothing is asked of it.")
                .help("Ask something after it: `is above 3 mm`, `is at most 5 days`, `is from 2 to 3 mm`."),
        );
        None
    }
}

/// Several conditions as one; a single one stays itself.
fn join(mut conditions: Vec<Cond>, kind: fn(Vec<Cond>) -> CondKind) -> Option<Cond> {
    match conditions.as_slice() {
        [] => None,
        [_] => conditions.pop(),
        [first, .., last] => {
            let span = first.span.to(last.span);
            Some(Cond { kind: kind(conditions), span })
        }
    }
}
