//! Values.

use num_traits::CheckedDiv;

use super::{Lower, MOST_NESTED};
use crate::book::ArithmeticSign;
use crate::diagnostic::Diagnostic;
use crate::number::{format_decimal, parse_decimal};
use crate::span::{Span, Spanned};
use crate::syntax::explain::minus_without_spaces;
use crate::syntax::grammar::{Pair, Rule};
use crate::syntax::tree::{Expr, ExprKind, Quantity};

impl Lower<'_> {
    /// A `value` or an `amount`, with a limit on how many signs it may have: a tree of them is walked by recursion
    /// later on.
    pub(super) fn value(&mut self, pair: &Pair<'_>) -> Option<Expr> {
        let is_sign = |pair: &Pair<'_>| matches!(pair.as_rule(), Rule::sum_sign | Rule::product_sign);
        if let Some(sign) = pair.clone().into_inner().flatten().filter(is_sign).nth(MOST_NESTED) {
            let says = format!("One value may have {MOST_NESTED} signs of arithmetic at the most.");
            self.diagnostics.push(
                Diagnostic::error("nested-too-deep", self.span(&sign), says)
                    .label("one sign too many")
                    .help("Give a part of it a name of its own with `reckon`."),
            );
            return None;
        }
        self.sum(pair)
    }

    /// A sum or a product: operands with signs between them, reckoned from the left.
    fn sum(&mut self, pair: &Pair<'_>) -> Option<Expr> {
        let mut inner = pair.clone().into_inner();
        let mut left = self.term(&inner.next()?)?;
        while let (Some(sign), Some(right)) = (inner.next(), inner.next()) {
            let at = self.span(&sign);
            if pair.as_rule() == Rule::amount && sign.as_str() == "-" {
                let right = self.term(&right)?;
                if let Some(range) = self.range_with_minus(&left, at, &right) {
                    left = range;
                    continue;
                }
                let sign = self.sign(&sign);
                let span = left.span.to(right.span);
                left = Expr { kind: ExprKind::Arithmetic(sign, Box::new(left), Box::new(right)), span };
                continue;
            }
            let sign = self.sign(&sign);
            let right = self.term(&right)?;
            if sign.value == ArithmeticSign::By
                && let Some(decimal) = self.fraction_before_unit(&left, &right)
            {
                left = decimal;
                continue;
            }
            let span = left.span.to(right.span);
            left = Expr { kind: ExprKind::Arithmetic(sign, Box::new(left), Box::new(right)), span };
        }
        Some(left)
    }

    fn term(&mut self, pair: &Pair<'_>) -> Option<Expr> {
        match pair.as_rule() {
            Rule::product | Rule::amount_product => self.sum(pair),
            _ => self.operand(&pair.clone().into_inner().next()?),
        }
    }

    fn sign(&mut self, pair: &Pair<'_>) -> Spanned<ArithmeticSign> {
        let span = self.span(pair);
        let sign = match pair.as_str() {
            "+" => ArithmeticSign::Plus,
            "*" => ArithmeticSign::Times,
            "/" => ArithmeticSign::By,
            _ => {
                self.minus_between(span.range());
                ArithmeticSign::Minus
            }
        };
        Spanned::new(sign, span)
    }

    /// `5-12 USD` where a range may stand: reported, and read as the range it is meant for.
    fn range_with_minus(&mut self, left: &Expr, minus: Span, right: &Expr) -> Option<Expr> {
        let ExprKind::Quantity(low) = &left.kind else { return None };
        let mut whole = right.clone();
        // Arithmetic after a range is of both its ends.
        let mut end = &mut whole;
        while let Expr { kind: ExprKind::Arithmetic(_, first, _), span } = end {
            *span = left.span.to(*span);
            end = first;
        }
        let ExprKind::Quantity(high) = &end.kind else { return None };
        let number = |quantity: &Quantity| parse_decimal(&quantity.number.value).ok();
        if low.unit.is_some() || high.unit.is_none() || number(low)? >= number(high)? {
            return None;
        }
        let span = left.span.to(end.span);
        let text = format!("{} to {}", low.number.value, &self.text[end.span.range()]);
        self.diagnostics.push(
            Diagnostic::error("minus-in-range", minus, "A range is written with `to`.").help(format!("Write `{text}`.")).fix(
                format!("Write `{text}`"),
                false,
                span,
                text,
            ),
        );
        *end = Expr { kind: ExprKind::Range(low.clone(), high.clone()), span };
        Some(whole)
    }

    /// `1/8 inch`, which would be one divided by eight inches: reported, and read as it is meant.
    fn fraction_before_unit(&mut self, left: &Expr, right: &Expr) -> Option<Expr> {
        let (over, low) = match &left.kind {
            ExprKind::Quantity(over) => (over, None),
            ExprKind::Range(low, over) if low.unit.is_none() => (over, Some(low)),
            _ => return None,
        };
        let ExprKind::Quantity(under) = &right.kind else { return None };
        let (None, Some(unit)) = (&over.unit, &under.unit) else { return None };
        let (top, bottom) = (parse_decimal(&over.number.value).ok()?, parse_decimal(&under.number.value).ok()?);
        let decimal = format_decimal(top.checked_div(&bottom)?);
        let span = over.span().to(right.span);
        let text = format!("{decimal} {}", unit.value);
        let says = format!("This divides {} by {} {}.", over.number.value, under.number.value, unit.value);
        self.diagnostics.push(
            Diagnostic::error("fraction-before-unit", span, says)
                .help(format!("Write a part of one as a decimal: `{text}`."))
                .fix(format!("Write `{text}`"), false, span, text),
        );
        let number = Spanned::new(decimal, over.number.span.to(under.number.span));
        let meant = Quantity { number, unit: Some(unit.clone()) };
        let kind = match low {
            None => ExprKind::Quantity(meant),
            Some(low) => ExprKind::Range(low.clone(), meant),
        };
        Some(Expr { kind, span: left.span.to(right.span) })
    }

    /// A minus between two values has a space on both sides, since `gap-1` is a name and `-5` a number.
    fn minus_between(&mut self, range: std::ops::Range<usize>) {
        let spaced = |char: Option<char>| char.is_none_or(crate::syntax::scan::is_space);
        let before = spaced(self.text[..range.start].chars().next_back());
        let after = spaced(self.text[range.end..].chars().next());
        if before && after {
            return;
        }
        let span = crate::span::Span::new(self.file, range.start, range.end);
        self.diagnostics.push(minus_without_spaces(span, before, after));
    }

    fn operand(&mut self, pair: &Pair<'_>) -> Option<Expr> {
        let span = self.span(pair);
        let kind = match pair.as_rule() {
            Rule::date => ExprKind::Date(self.token(pair)),
            Rule::quantity => ExprKind::Quantity(self.quantity(pair)),
            Rule::range => {
                let mut ends = pair.clone().into_inner().filter(|pair| pair.as_rule() == Rule::quantity);
                let low = self.quantity(&ends.next()?);
                match ends.next() {
                    Some(high) => ExprKind::Range(low, self.quantity(&high)),
                    None => ExprKind::Quantity(low),
                }
            }
            Rule::negative => {
                let argument = pair.clone().into_inner().find(|pair| pair.as_rule() == Rule::argument)?;
                ExprKind::Negative(Box::new(self.operand(&first(&argument)?)?))
            }
            Rule::lower | Rule::higher | Rule::days_from => {
                let mut arguments = pair.clone().into_inner().filter(|pair| pair.as_rule() == Rule::argument);
                let (one, two) = (arguments.next()?, arguments.next()?);
                let one = Box::new(self.operand(&first(&one)?)?);
                let two = Box::new(self.operand(&first(&two)?)?);
                match pair.as_rule() {
                    Rule::lower => ExprKind::Lower(one, two),
                    Rule::higher => ExprKind::Higher(one, two),
                    _ => ExprKind::DaysFrom(one, two),
                }
            }
            Rule::last_look => {
                let path = pair.clone().into_inner().find(|pair| pair.as_rule() == Rule::path)?;
                ExprKind::Last(self.path(&path))
            }
            Rule::total_cost => ExprKind::TotalCost,
            Rule::call => return self.call(pair),
            Rule::amount_group => {
                let amount = pair.clone().into_inner().find(|pair| pair.as_rule() == Rule::amount)?;
                return self.sum(&amount);
            }
            Rule::group => return self.group_as_value(pair),
            _ => return None,
        };
        Some(Expr { kind, span })
    }

    /// A path, or a formula where brackets follow it.
    fn call(&mut self, pair: &Pair<'_>) -> Option<Expr> {
        let span = self.span(pair);
        let mut inner = pair.clone().into_inner();
        let path = self.path(&inner.next()?);
        let Some(arguments) = inner.next() else { return Some(Expr { kind: ExprKind::Path(path), span }) };
        let mut values = Vec::new();
        for argument in arguments.into_inner().filter(|pair| pair.as_rule() == Rule::value) {
            values.push(self.sum(&argument)?);
        }
        let name = Spanned::new(path.text(), path.span);
        Some(Expr { kind: ExprKind::Formula(name, values), span })
    }

    /// A bracket where a value belongs.
    fn group_as_value(&mut self, group: &Pair<'_>) -> Option<Expr> {
        if let Some(value) = value_in(group) {
            return self.sum(&value);
        }
        let span = self.span(group);
        self.diagnostics.push(
            Diagnostic::error("condition-in-value", span, "A condition stands in brackets where a value belongs.")
                .help("Compare values only: `(a + b) * 2 is above 3 mm`."),
        );
        None
    }
}

/// The first pair inside another.
fn first<'a>(pair: &Pair<'a>) -> Option<Pair<'a>> {
    pair.clone().into_inner().next()
}

/// The value in a bracket, if nothing else is in it.
fn value_in<'a>(group: &Pair<'a>) -> Option<Pair<'a>> {
    let chain = group.clone().into_inner().find(|pair| pair.as_rule() == Rule::chain)?;
    let test = only(&chain)?;
    let plain = only(&test)?;
    if plain.as_rule() != Rule::plain {
        return None;
    }
    only(&plain)
}

/// The one pair inside another.
pub(super) fn only<'a>(pair: &Pair<'a>) -> Option<Pair<'a>> {
    let mut inner = pair.clone().into_inner();
    let first = inner.next()?;
    inner.next().is_none().then_some(first)
}
