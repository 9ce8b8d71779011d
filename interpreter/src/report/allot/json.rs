//! The report as JSON: version 1 of its shape. Fields may be added to it, never renamed without a new number.

use std::io::{self, Write};

use purfle_lang::book::{AidId, FindingId, LookId};
use serde::Serialize;

use super::super::figures::{unaided_words, write_minor};
use super::super::json;
use super::AllotReport;
use crate::allot::optimum::Tie;
use crate::allot::{Instrument, Offer, OrderKind, Reach, Standing, Total, Width};

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct Report<'a> {
    purfle: u32,
    rulebook: RulebookView<'a>,
    read: u64,
    done: u64,
    older: u64,
    refused: Vec<Box<serde_json::value::RawValue>>,
    money: MoneyView<'a>,
    steps: Vec<StepView<'a>>,
    saving: String,
    proven: ProvenView<'a>,
    tie: &'static str,
    instruments: Vec<InstrumentView<'a>>,
    further: FurtherView<'a>,
    orders: Vec<OrderView<'a>>,
}

#[derive(Serialize)]
struct RulebookView<'a> {
    name: &'a str,
    edition: &'a str,
    seal: String,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct MoneyView<'a> {
    money: &'static str,
    budget: Option<String>,
    keep: String,
    to_share: String,
    reserved: String,
    likely: String,
    funds: Vec<FundView<'a>>,
}

#[derive(Serialize)]
struct FundView<'a> {
    aid: &'a str,
    budget: Option<String>,
    reserved: String,
    helped: usize,
}

#[derive(Serialize)]
struct StepView<'a> {
    step: &'a str,
    all: usize,
    helped: usize,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct ProvenView<'a> {
    best: bool,
    more_helped_from: Option<&'a str>,
    more_saved: String,
    less_spent: String,
}

#[derive(Serialize)]
struct Ends {
    from: String,
    to: String,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct OfferView<'a> {
    aid: &'a str,
    ways: Vec<WayView<'a>>,
    reserved: String,
    likely: String,
    cost: Ends,
    and_more: bool,
    quoted: bool,
    family: Ends,
    left: Ends,
    saving: String,
}

#[derive(Serialize)]
struct WayView<'a> {
    finding: &'a str,
    way: &'a str,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct InstrumentView<'a> {
    record: &'a str,
    tag: Option<&'a str>,
    step: &'a str,
    answer: &'static str,
    given: Option<OfferView<'a>>,
    offers: Vec<OfferView<'a>>,
    more: Option<ReachView<'a>>,
    missing: Vec<String>,
    looks: Vec<String>,
    may_pay: Option<String>,
    why: Vec<WhyView<'a>>,
}

#[derive(Serialize)]
struct ReachView<'a> {
    sum: String,
    exact: bool,
    aid: Option<&'a str>,
}

#[derive(Serialize)]
struct WhyView<'a> {
    aid: &'a str,
    why: &'static str,
}

#[derive(Serialize)]
struct FurtherView<'a> {
    step: String,
    width: &'static str,
    rungs: Vec<RungView<'a>>,
}

#[derive(Serialize)]
struct RungView<'a> {
    money: String,
    proven: bool,
    #[serde(flatten)]
    total: TotalView<'a>,
}

#[derive(Serialize)]
struct OrderView<'a> {
    order: &'static str,
    #[serde(flatten)]
    total: TotalView<'a>,
}

#[derive(Serialize)]
struct TotalView<'a> {
    helped: usize,
    steps: Vec<CountView<'a>>,
    saving: String,
    reserved: String,
}

#[derive(Serialize)]
struct CountView<'a> {
    step: &'a str,
    helped: usize,
}

/// Writes the report.
pub fn write(out: &mut dyn Write, report: &AllotReport<'_>) -> io::Result<()> {
    let mut refused = Vec::new();
    for record in &report.batch.refused {
        let mut text = Vec::new();
        json::refused(&mut text, record)?;
        refused.push(serde_json::from_slice(&text)?);
    }
    let mut text = Vec::new();
    json::write(&mut text, &view(report, refused))?;
    text.push(b'\n');
    out.write_all(&text)
}

fn view<'a>(report: &'a AllotReport<'a>, refused: Vec<Box<serde_json::value::RawValue>>) -> Report<'a> {
    let AllotReport { book, budget, batch, allotted } = report;
    let money = |minor: i64| sum(report, i128::from(minor));
    let given = || report.candidates().filter_map(|(_, instrument, taken)| instrument.offers.get(taken?));
    let funds = book.aids.iter().enumerate().map(|(at, aid)| {
        let own = || given().filter(move |offer| offer.aid.index() == at);
        FundView {
            aid: &aid.name,
            budget: budget.funds.get(at).copied().flatten().map(money),
            reserved: money(own().map(|offer| offer.reserved).sum()),
            helped: own().count(),
        }
    });
    let plan = &allotted.plan;
    Report {
        purfle: json::VERSION,
        rulebook: RulebookView { name: &book.name, edition: &book.edition, seal: book.seal.to_string() },
        read: batch.totals.read,
        done: batch.totals.done,
        older: batch.older,
        refused,
        money: MoneyView {
            money: book.money.code(),
            budget: budget.total.map(money),
            keep: money(budget.keep),
            to_share: money(budget.to_share()),
            reserved: money(allotted.total.reserved),
            likely: money(allotted.total.likely),
            funds: funds.collect(),
        },
        steps: batch
            .steps
            .iter()
            .map(|step| {
                let (all, helped) = report.at_step(*step);
                StepView { step: &book[*step].name, all, helped }
            })
            .collect(),
        saving: money(allotted.total.saving),
        proven: ProvenView {
            best: plan.proven(),
            more_helped_from: plan.more_helped.and_then(|step| batch.steps.get(step)).map(|step| book[*step].name.as_str()),
            more_saved: money(plan.more_saved),
            less_spent: money(plan.less_spent),
        },
        tie: match plan.tie {
            Tie::None => "none",
            Tie::Ordered => "by-record",
            Tie::Unsettled => "unsettled",
        },
        instruments: batch.instruments.iter().enumerate().map(|(at, instrument)| one(report, at, instrument)).collect(),
        further: FurtherView {
            step: money(allotted.further.step),
            width: match allotted.further.width {
                Width::FiveHundred => "five-hundred",
                Width::OfLittle | Width::OfMuch => "a-tenth",
            },
            rungs: allotted
                .further
                .rungs
                .iter()
                .map(|rung| RungView { money: money(rung.money), proven: rung.proven, total: total(report, &rung.total) })
                .collect(),
        },
        orders: allotted
            .orders
            .iter()
            .map(|order| OrderView {
                order: match order.kind {
                    OrderKind::ByUrgency => "by-urgency",
                    OrderKind::AsTheyCame => "as-they-came",
                },
                total: total(report, &order.total),
            })
            .collect(),
    }
}

fn sum(report: &AllotReport<'_>, minor: i128) -> String {
    let mut text = String::new();
    write_minor(&mut text, minor, report.book.money.minor_places());
    text
}

fn total<'a>(report: &'a AllotReport<'a>, total: &Total) -> TotalView<'a> {
    let steps = report.batch.steps.iter().zip(&total.helped);
    TotalView {
        helped: total.all(),
        steps: steps.map(|(step, helped)| CountView { step: &report.book[*step].name, helped: *helped }).collect(),
        saving: sum(report, i128::from(total.saving)),
        reserved: sum(report, i128::from(total.reserved)),
    }
}

/// What became of an instrument, in a word.
pub fn answer(instrument: &Instrument, given: bool) -> &'static str {
    match &instrument.standing {
        _ if given => "helped",
        Standing::Offered => "elsewhere",
        Standing::Open { .. } => "open",
        Standing::OnSight => "on-sight",
        _ if !instrument.costs => "nothing",
        Standing::NoShare => "no-share",
        Standing::Refused(_) => "refused",
    }
}

fn one<'a>(report: &'a AllotReport<'a>, at: usize, instrument: &'a Instrument) -> InstrumentView<'a> {
    let book = report.book;
    let aid = |id: AidId| book[id].name.as_str();
    let candidate = report.allotted.candidates.iter().position(|candidate| *candidate == at);
    let given = candidate.and_then(|candidate| report.allotted.plan.taken.get(candidate).copied().flatten());
    let reach = report.allotted.further.reaches.iter().find(|(at, _)| Some(*at) == candidate);
    let reach = reach.map(|(_, Reach { more, exact, fund })| ReachView {
        sum: sum(report, i128::from(*more)),
        exact: *exact,
        aid: fund.map(aid),
    });
    let looks = |looks: &mut dyn Iterator<Item = LookId>| looks.map(|look| book.look_path(look)).collect::<Vec<_>>();
    let (missing, others, may_pay) = match &instrument.standing {
        Standing::Open { missing, looks: others, most } => (
            looks(&mut missing.iter().copied()),
            looks(&mut others.iter().map(|(look, _)| *look)),
            Some(sum(report, i128::from(*most))),
        ),
        _ => (Vec::new(), Vec::new(), None),
    };
    let why = match &instrument.standing {
        Standing::Refused(reasons) => {
            reasons.iter().map(|(id, why)| WhyView { aid: aid(*id), why: unaided_words(*why) }).collect()
        }
        _ => Vec::new(),
    };
    InstrumentView {
        record: &instrument.record,
        tag: instrument.tag.as_deref(),
        step: &book[instrument.urgency].name,
        answer: answer(instrument, given.is_some()),
        given: given.and_then(|given| instrument.offers.get(given)).map(|given| offer(report, given)),
        offers: instrument.offers.iter().map(|one| offer(report, one)).collect(),
        more: reach,
        missing,
        looks: others,
        may_pay,
        why,
    }
}

fn offer<'a>(report: &'a AllotReport<'a>, offer: &Offer) -> OfferView<'a> {
    let book = report.book;
    let ends = |(from, to): (i128, i128)| Ends { from: sum(report, from), to: sum(report, to) };
    let way = |(finding, way): &(FindingId, usize)| {
        let finding = &book[*finding];
        finding.ways.get(*way).map(|way| WayView { finding: &finding.name, way: &way.name })
    };
    OfferView {
        aid: &book[offer.aid].name,
        ways: offer.ways.iter().filter_map(way).collect(),
        reserved: sum(report, i128::from(offer.reserved)),
        likely: sum(report, i128::from(offer.likely)),
        cost: ends(offer.cost),
        and_more: offer.more,
        quoted: offer.quoted,
        family: ends(offer.family()),
        left: ends(offer.left),
        saving: sum(report, i128::from(offer.saving)),
    }
}
