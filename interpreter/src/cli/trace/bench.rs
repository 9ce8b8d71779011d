//! What is to be done about a finding and what it costs: each step with its price and who else needs it, goods, other ways,
//! and what becomes of it if it is left.

use purfle_lang::book::{FindingId, Goods, StateWord, WorkId};
use purfle_lang::number::{Number, format_decimal, format_rounded};
use purfle_lang::syntax::tree::Kind;
use serde::Serialize;

use super::view::{ChangeView, PlaceView, Teller};
use crate::judge::{StepPrice, WayPrice};
use crate::outcome::{Judged, Range};
use crate::report::{money_range, plain, sum};
use crate::trace::Trace;

/// What is to be done.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct BenchView {
    /// By whom.
    pub hands: String,
    /// The ways to mend it, the counted one first; one without a name where it has no others.
    pub ways: Vec<WayView>,
    /// What it costs if it were the only job, with the least charge; none where it is clear.
    pub cost: Option<String>,
    /// The least charge, where there is one and there is work.
    pub least_charge: Option<String>,
    /// Whether a part of the cost is known only on sight.
    pub on_sight: bool,
    /// The findings that it yields to, with whether it is listed under them now.
    pub yields_to: Vec<YieldView>,
}

/// One way to mend a finding.
#[derive(Serialize)]
pub struct WayView {
    /// Its words; none where there is only one.
    pub way: Option<String>,
    /// What it costs by itself, with the least charge; none where that was not worked out.
    pub cost: Option<String>,
    /// Bench steps.
    pub work: Vec<WorkView>,
    /// Goods.
    pub goods: Vec<GoodsView>,
}

/// A bench step.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct WorkView {
    /// Its name.
    pub work: String,
    /// Its words.
    pub words: String,
    /// `once` an instrument, or `each` place.
    pub counted: &'static str,
    /// How long it takes, and at which rate; none for one with a price.
    pub time: Option<String>,
    /// Its price.
    pub price: String,
    /// Whether the price hangs on nothing that is open.
    pub settled: bool,
    /// The step of the same way that does it as well, so that it costs nothing by itself.
    pub done_by: Option<String>,
    /// Other findings that are found or suspected and need it too: it is done once for all of them.
    pub shared_with: Vec<String>,
    /// Steps of other findings, found or suspected, that do it as well.
    pub included_in: Vec<String>,
    /// Where its amount is written.
    pub written: Option<PlaceView>,
    /// The line, as written.
    pub says: String,
    /// What house rulebooks changed of it, or of the rate.
    pub changes: Vec<ChangeView>,
}

/// Goods.
#[derive(Serialize)]
pub struct GoodsView {
    /// What.
    pub words: String,
    /// Their price.
    pub price: String,
    /// Whether it hangs on nothing that is open.
    pub settled: bool,
}

/// A finding that this one yields to.
#[derive(Serialize)]
pub struct YieldView {
    /// Its name.
    pub finding: String,
    /// Its words.
    pub words: String,
    /// Whether it surely holds too, so that this one adds no work.
    pub now: bool,
}

/// What becomes of a finding if it is left.
#[derive(Serialize)]
pub struct LeftView {
    /// Each thing it can become.
    pub becomes: Vec<ArrowView>,
    /// What it costs by itself then.
    pub cost: Option<String>,
    /// The expected extra.
    pub extra: Option<String>,
}

/// One thing becoming another.
#[derive(Serialize)]
pub struct ArrowView {
    /// What becomes.
    pub from: String,
    /// What it becomes.
    pub to: String,
    /// Its words.
    pub words: String,
    /// The odds in per cent.
    pub odds: Option<String>,
    /// How soon.
    pub within: Option<String>,
    /// Where that is written.
    pub written: Option<PlaceView>,
}

/// What is to be done about the finding of a trace.
pub fn bench(teller: &Teller<'_>, trace: &Trace) -> BenchView {
    let book = teller.book;
    let finding = &book[trace.short.finding];
    let judged = trace.short.judged.as_ref();
    let several = finding.ways.len() > 1;
    let goods = |at: usize| -> &[Goods] {
        match finding.ways.get(at) {
            Some(way) => &way.cost.goods,
            None => &finding.cost.goods,
        }
    };
    let ways = trace.ways.iter().enumerate().map(|(at, prices)| WayView {
        way: finding.ways.get(at).filter(|_| several).map(|way| plain(&way.words).into_owned()),
        cost: judged.and_then(|judged| judged.ways.get(at)).map(|price| sum(book, price)),
        work: prices.steps.iter().map(|step| work(teller, trace, step, prices)).collect(),
        goods: goods(at)
            .iter()
            .zip(&prices.goods)
            .map(|(goods, (price, settled))| GoodsView {
                words: plain(&goods.words).into_owned(),
                price: money_range(book, price.from, price.to),
                settled: *settled,
            })
            .collect(),
    });
    let ways: Vec<WayView> = ways.collect();
    let works = ways.iter().any(|way| !way.work.is_empty());
    let yields_to = finding.yields_to.iter().map(|other| YieldView {
        finding: book[*other].name.clone(),
        words: plain(&book[*other].words).into_owned(),
        now: judged.is_some_and(|judged| judged.yields_to == Some(*other)),
    });
    BenchView {
        hands: plain(&book[finding.counted_hands()].words).into_owned(),
        ways,
        cost: judged.map(|judged| sum(book, &judged.cost)),
        least_charge: book.least_charge.filter(|_| works).map(|least| money_range(book, least, least)),
        on_sight: finding.counted_cost().on_sight,
        yields_to: yields_to.collect(),
    }
}

fn work(teller: &Teller<'_>, trace: &Trace, step: &StepPrice, way: &WayPrice) -> WorkView {
    let book = teller.book;
    let id = step.work;
    let of = &book[id];
    let rate = book[of.by].rate.filter(|_| of.timed);
    let hour = |sum: Number, rate: Number| {
        let hours = format_rounded(sum / rate, 2);
        hours.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    let time = rate.filter(|rate| *rate > Number::from_integer(0)).map(|rate| {
        let (from, to) = (hour(step.price.from, rate), hour(step.price.to, rate));
        let hours = if from == to { from } else { format!("{from} to {to}") };
        format!("{hours} h at {} an hour", money_range(book, rate, rate))
    });
    let line = teller.texts.head(Kind::Work, &of.name);
    let changes = of.origin.changes.iter().chain(book[of.by].origin.changes.iter().filter(|_| of.timed)).cloned();
    let changes: Vec<_> = changes.collect();
    let done_by = way.steps.iter().find(|other| step.falls_away && book.includes(other.work, id));
    let (shared_with, included_in) = others(teller, trace, id);
    let Range { from, to } = step.price;
    WorkView {
        work: of.name.clone(),
        words: plain(&of.words).into_owned(),
        counted: if of.once { "once" } else { "each" },
        time,
        price: money_range(book, from, to),
        settled: step.settled,
        done_by: done_by.map(|other| book[other.work].name.clone()),
        shared_with,
        included_in,
        written: line.and_then(|line| teller.place(line)),
        says: line.map(|line| teller.written(line)).unwrap_or_default(),
        changes: teller.changes(&changes),
    }
}

/// Who else needs a step, among what is found or suspected: the same step, and steps that do it as well.
fn others(teller: &Teller<'_>, trace: &Trace, work: WorkId) -> (Vec<String>, Vec<String>) {
    let book = teller.book;
    let own = |judged: &&Judged| (judged.finding, judged.at) != (trace.short.finding, trace.short.at);
    let told = |judged: &&Judged| judged.yields_to.is_none() && matches!(judged.state, StateWord::Found | StateWord::Suspected);
    let on = |finding: FindingId| book[finding].on;
    let (mut same, mut wider) = (Vec::new(), Vec::new());
    for judged in teller.outcome.findings.iter().filter(own).filter(told) {
        let here = (on(judged.finding), judged.at) == (on(trace.short.finding), trace.short.at);
        for &other in &book[judged.finding].counted_cost().work {
            let name = teller.name_at(judged.finding, judged.at);
            if other == work && (book[work].once || here) && !same.contains(&name) {
                same.push(name);
            } else if book.includes(other, work) && (book[work].once || book[other].once || here) {
                wider.push(format!("{} for {name}", book[other].name));
            }
        }
    }
    (same, wider)
}

/// What becomes of the finding of a trace if it is left; none where nothing does.
pub fn left(teller: &Teller<'_>, trace: &Trace) -> Option<LeftView> {
    let book = teller.book;
    let mut chain = vec![trace.short.finding];
    let mut becomes = Vec::new();
    let mut at = 0;
    while let Some(&from) = chain.get(at) {
        at += 1;
        for arrow in &book[from].becomes {
            becomes.push(ArrowView {
                from: book[from].name.clone(),
                to: book[arrow.to].name.clone(),
                words: plain(&book[arrow.to].words).into_owned(),
                odds: arrow.odds.map(|odds| format_decimal(odds * Number::from_integer(100))),
                within: arrow.within.map(|within| within.to_string()),
                written: teller.place(arrow.span),
            });
            if !chain.contains(&arrow.to) {
                chain.push(arrow.to);
            }
        }
    }
    let judged = trace.short.judged.as_ref();
    (!becomes.is_empty()).then(|| LeftView {
        becomes,
        cost: judged.map(|judged| sum(book, &judged.left)),
        extra: judged.and_then(|judged| judged.expected_extra).map(|extra| money_range(book, extra.from, extra.to)),
    })
}
