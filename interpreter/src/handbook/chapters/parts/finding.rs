//! A finding with all that hangs on it.

use purfle_lang::book::{Arrow, Cost, Finding, FindingId, Raise, RaiseId, UrgencyLine, Value, Way};
use purfle_lang::resolve::noted::Target;
use purfle_lang::unit::Dimension;

use super::super::super::document::{Block, Entry, Fact, Item, Line};
use super::super::super::maker::{Maker, percent};
use crate::by_itself::Figure;
use crate::outcome::Sum;
use crate::report::{money_range, sum};

/// The entry of a finding.
pub fn entry(maker: &Maker<'_>, id: FindingId) -> Entry {
    let finding = &maker.book[id];
    let target = Target::Finding(id);
    let figure = maker.figures.get(id);
    let mut facts = vec![maker.condition("Signs", Some(finding.on), &finding.signs)];
    if finding.each {
        facts.insert(0, Fact::of("Judged", Line::words("at each place by itself")));
    }
    facts.extend(finding.unless.iter().map(|unless| maker.condition("Unless", Some(finding.on), unless)));
    facts.extend(urgency(maker, finding));
    facts.push(Fact::of("By whom", hands(maker, finding)));
    if finding.ways.is_empty() {
        facts.extend(work(maker, finding, &finding.cost));
    } else {
        facts.push(ways(maker, finding, figure));
    }
    facts.extend(costs(maker, finding, figure));
    facts.extend(left(maker, id, finding));
    let yields = finding.yields_to.iter().map(|other| maker.finding(*other));
    let yields = Line::joined(yields, "; ");
    if !yields.is_empty() {
        facts.push(Fact::of("Goes with", yields.say(". Where that holds too, this adds no work and no goods of its own.")));
    }
    let again = finding.again.map(|again| Fact::of("Look again", Line::words(format!("in {again}, whatever the step says"))));
    facts.extend(again);
    facts.extend(Fact::texts("First of all", &finding.first));
    facts.extend(Fact::texts("For the player", &finding.tell));
    facts.extend(Fact::texts("For the luthier", &finding.refer));
    facts.extend(Fact::texts("Care", &finding.care));
    facts.extend(Fact::texts("Source", &finding.basis));
    if finding.basis.is_empty() {
        facts.push(Fact::of("Source", Line::words("The rulebook gives none.")));
    }
    facts.extend(Fact::lines("House rules", maker.house(target, &finding.origin)));
    Entry { head: maker.head(target, &finding.words, &finding.name), blocks: vec![Block::Facts(facts)] }
}

/// How soon: each line, and what may raise it.
fn urgency(maker: &Maker<'_>, finding: &Finding) -> Option<Fact> {
    let line = |line: &UrgencyLine| {
        let step = maker.link(Target::Step(line.step), &maker.book[line.step].words);
        match &line.when {
            Some(when) => step.say(", if ").then(maker.sentence(Some(finding.on), when)),
            None => step,
        }
    };
    // A raise that leaves every step where it is need not be told.
    let lifts = |raise: &Raise| raise.on.contains(&finding.on) && finding.urgency.iter().any(|line| line.step < raise.cap);
    let raises = maker.book.raises.iter().enumerate().filter(|(_, raise)| lifts(raise)).map(|(at, raise)| {
        Line::words("More urgent by the raise ").then(maker.link(Target::Raise(RaiseId::from_index(at)), &raise.words))
    });
    Fact::lines("How soon", finding.urgency.iter().map(line).chain(raises))
}

fn hands(maker: &Maker<'_>, finding: &Finding) -> Line {
    let id = finding.counted_hands();
    maker.link(Target::Hand(id), &maker.book[id].words)
}

/// The work and the goods of a cost; nothing where it has none.
fn work(maker: &Maker<'_>, finding: &Finding, cost: &Cost) -> Option<Fact> {
    Fact::lines("Work and goods", pieces(maker, finding, cost))
}

fn pieces(maker: &Maker<'_>, finding: &Finding, cost: &Cost) -> Vec<Line> {
    let words = maker.wording(Some(finding.on));
    let work = cost.work.iter().map(|id| {
        let work = &maker.book[*id];
        let price = purfle_lang::amount::price(maker.book, work);
        let line = maker.work(*id);
        match price {
            Some((low, high)) => line.say(format!(": {}", money_range(maker.book, low, high))),
            None => line
                .say(": ")
                .then(maker.line(words.value(&work.amount, if work.timed { Dimension::TIME } else { Dimension::MONEY }))),
        }
    });
    let goods = cost.goods.iter().map(|goods| {
        let line = Line::words(format!("{}: ", goods.words));
        match (&goods.price, purfle_lang::amount::ends(maker.book, &goods.price)) {
            (Value::Number(_) | Value::Range(..), Some((low, high))) => line.say(money_range(maker.book, low, high)),
            (price, ends) => {
                let ends = ends.map(|(low, high)| format!(", {}", money_range(maker.book, low, high)));
                line.then(maker.line(words.value(price, Dimension::MONEY))).say(ends.unwrap_or_default())
            }
        }
    });
    work.chain(goods).collect()
}

/// The ways to mend it, the textbook one first.
fn ways(maker: &Maker<'_>, finding: &Finding, figure: Option<&Figure>) -> Fact {
    let item = |at: usize, way: &Way| {
        let price = figure.and_then(|figure| figure.ways.get(at).or_else(|| (at == 0).then_some(&figure.cost)));
        let mut line = Line::default().strong(way.words.clone()).say(" ").name(&way.name);
        if let Some(price) = price {
            line = line.say(format!(": {}", price_words(maker, price)));
        }
        line = line.say(". ").then(maker.link(Target::Hand(way.hands), &maker.book[way.hands].words)).say(".");
        let told = way.tell.iter().map(|tell| Line::words("For the player: ").say(tell));
        let referred = way.refer.iter().map(|refer| Line::words("For the luthier: ").say(refer));
        Item { line, below: pieces(maker, finding, &way.cost).into_iter().chain(told).chain(referred).collect() }
    };
    let lead = match finding.ways.len() {
        1 => "One way:",
        _ => "The first counts in every figure; the others are offered beside it.",
    };
    Fact {
        label: "Ways to mend it",
        lead: Some(Line::words(lead)),
        items: finding.ways.iter().enumerate().map(|(at, way)| item(at, way)).collect(),
    }
}

/// What it costs by itself, now and if left.
fn costs(maker: &Maker<'_>, finding: &Finding, figure: Option<&Figure>) -> Vec<Fact> {
    let Some(figure) = figure else {
        return vec![Fact::of("Cost", Line::words("could not be worked out"))];
    };
    let mut facts = vec![Fact::of("Cost by itself", Line::words(price_words(maker, &figure.cost)))];
    if !finding.becomes.is_empty() {
        facts.push(Fact::of("Cost if left", Line::words(price_words(maker, &figure.left))));
        let extra = figure.extra.map(|extra| money_range(maker.book, extra.from, extra.to));
        facts.extend(extra.map(|extra| {
            Fact::of("To be expected", Line::words(format!("{extra} more on average, if left, before the least charge")))
        }));
    }
    facts
}

fn price_words(maker: &Maker<'_>, price: &Sum) -> String {
    let nothing = price.to == purfle_lang::number::Number::from_integer(0);
    if price.and_more && nothing { "known only on sight".to_owned() } else { sum(maker.book, price) }
}

/// What it becomes if it is left, and what it may come of.
fn left(maker: &Maker<'_>, id: FindingId, finding: &Finding) -> Vec<Fact> {
    let becomes = finding.becomes.iter().map(|arrow| maker.finding(arrow.to).say(chance(arrow)));
    let from = maker.book.findings.iter().enumerate().flat_map(|(at, other)| {
        other.becomes.iter().filter(|arrow| arrow.to == id).map(move |arrow| (FindingId::from_index(at), arrow))
    });
    let from = from.map(|(other, arrow)| maker.finding(other).say(chance(arrow)));
    let facts = [Fact::lines("If left, becomes", becomes), Fact::lines("May come of", from)];
    facts.into_iter().flatten().collect()
}

/// The odds and the time of an arrow, as the end of a sentence.
pub fn chance(arrow: &Arrow) -> String {
    let odds = arrow.odds.map(|odds| format!("in {} of all cases", percent(odds)));
    let within = arrow.within.map(|within| format!("within {within}"));
    match (odds, within) {
        (None, None) => String::new(),
        (Some(one), None) | (None, Some(one)) => format!(", {one}"),
        (Some(odds), Some(within)) => format!(", {odds}, {within}"),
    }
}
