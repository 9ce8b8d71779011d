//! Past records counted by two rulebooks, against judging each of them by either in full.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::sync::Arc;

use purfle::judge::{Brief, Judge};
use purfle::outcome::Outcome;
use purfle::plan::Plan;
use purfle::record::Record;
use purfle::records::{Input, Run};
use purfle::weigh::view::{CountedView, SumView};
use purfle::weigh::{Files, counted, counted_apart};
use purfle_lang::book::{AidWord, Book};
use purfle_lang::number::{Number, round_scaled};
use purfle_tests::generate::{Generator, Manner};

use super::pair::sound;
use super::{applies, edits, pairs};
use crate::random::rulebook::{small, small_pair};
use crate::written::book;

/// A part that only one of the two has, and what is found on it.
const MORE: &str = r#"
part lining "Lining"
  look loose "Is it loose?" yes or no
    good no

finding lining-loose "The lining is loose"
  on lining
  signs loose
  urgency soon
  hands luthier
  cost nothing
  basis "common practice"
"#;

/// Records of a book, some ticked part by part and some told look by look; the last stands there twice.
fn records(of: &Book, number: u64) -> String {
    let mut text = String::new();
    let mut plain = Generator::new(of, Manner::Looks { percent: 90 }, number ^ 1 << 40);
    for (at, manner) in [Manner::Ticks, Manner::Looks { percent: 40 }, Manner::Looks { percent: 90 }].into_iter().enumerate() {
        let mut generator = Generator::new(of, manner, number);
        for _ in 0..8 {
            let mut line = String::new();
            generator.next_line(&mut line);
            // Marks are numbered from one in each manner.
            text.push_str(&line.replace("\"R-", &format!("\"R{at}-")));
            if !text.ends_with('\n') {
                text.push('\n');
            }
        }
    }
    if number.is_multiple_of(5) {
        let last = text.lines().last().unwrap_or_default().to_owned();
        let _ = writeln!(text, "{last}");
        // The same mark on another record, which one of the two may refuse for something else as well.
        let mut line = String::new();
        plain.next_line(&mut line);
        let _ = writeln!(text, "{}", line.trim_end().replace("\"R-", "\"R0-"));
    }
    text
}

fn judge(book: &Book) -> Judge {
    Judge::new(Arc::new(Plan::new(Arc::new(book.clone()))))
}

fn outcomes(by: &Judge, inputs: &[Input]) -> Vec<Option<Outcome>> {
    let book = &by.plan().book;
    let make = || {
        let mut judge = by.another();
        move |record: &mut Record| {
            let outcome = judge.judge(record);
            let brief = judge.brief(record);
            assert_eq!(outcome.as_ref().map(Brief::of).ok(), brief.ok(), "the brief of {}", record.id);
            // For a row what is open is counted and not listed, and all else is the same.
            let for_row = judge.judge_for_row(record);
            let unlisted = outcome.clone().map(|outcome| Outcome { not_ruled_out: Vec::new(), ..outcome });
            assert_eq!(format!("{for_row:?}"), format!("{unlisted:?}"), "the row of {}", record.id);
            assert!(outcome.as_ref().ok().is_none_or(|outcome| outcome.open == outcome.not_ruled_out.len()), "{}", record.id);
            Ok(outcome.ok())
        }
    };
    let mut all = Vec::new();
    let run = Run { book, inputs, threads: 1, likeness: None }.each(make, |answer: Result<Option<Outcome>, _>| {
        all.push(answer.ok().flatten());
        Ok(())
    });
    assert!(run.is_ok());
    all
}

/// The ends of what a fund pays; none where there is no such fund.
type Ends = Option<[String; 2]>;

/// What is counted, written anew from whole outcomes.
#[derive(Debug, Default, PartialEq)]
struct Plain {
    judged: u64,
    dearer: u64,
    cheaper: u64,
    refused: usize,
    moved: usize,
    cost: [String; 4],
    left: [String; 4],
    if_left: [u64; 2],
    more: [bool; 4],
    funds: Vec<(String, Ends, Ends)>,
}

fn plain(old: &Book, new: &Book, before: &[Option<Outcome>], after: &[Option<Outcome>]) -> Plain {
    let cents = |sum: Number| round_scaled(sum, 2);
    let (mut plain, mut cost, mut left) = (Plain::default(), [0; 4], [0; 4]);
    let mut paid: BTreeMap<(&str, usize), [i128; 2]> = BTreeMap::new();
    for (at, book) in [old, new].into_iter().enumerate() {
        paid.extend(book.aids.iter().map(|aid| ((aid.name.as_str(), at), [0; 2])));
    }
    for (was, now) in before.iter().zip(after) {
        let (Some(was), Some(now)) = (was, now) else {
            plain.refused += 1;
            continue;
        };
        plain.judged += 1;
        let costs = [was.cost.from, was.cost.to, now.cost.from, now.cost.to].map(cents);
        let lefts = [was.left.from, was.left.to, now.left.from, now.left.to].map(cents);
        (0..4).for_each(|at| (cost[at], left[at]) = (cost[at] + costs[at], left[at] + lefts[at]));
        plain.dearer += u64::from(costs[2] > costs[0] || costs[3] > costs[1]);
        plain.cheaper += u64::from(costs[2] < costs[0] || costs[3] < costs[1]);
        plain.if_left[0] += u64::from(lefts[2] > lefts[0] || lefts[3] > lefts[1]);
        plain.if_left[1] += u64::from(lefts[2] < lefts[0] || lefts[3] < lefts[1]);
        let sums = [&was.cost, &now.cost, &was.left, &now.left];
        plain.more.iter_mut().zip(sums).for_each(|(more, sum)| *more |= sum.or_more || sum.and_more);
        for (at, (book, outcome)) in [(old, was), (new, now)].into_iter().enumerate() {
            // For certain, and at the most.
            for fund in &outcome.aid {
                let sum = paid.entry((book[fund.aid].name.as_str(), at)).or_default();
                sum[0] += if fund.state == AidWord::Eligible { cents(fund.pays.from) } else { 0 };
                sum[1] += if fund.state == AidWord::Refused { 0 } else { cents(fund.pays.to) };
            }
        }
        plain.moved += usize::from(told(old, was) != told(new, now));
    }
    let words = |sum: i128| format!("{}.{:02}", sum / 100, sum % 100);
    let names: BTreeSet<&str> = paid.keys().map(|(name, _)| *name).collect();
    let fund = |name: &str, at: usize| paid.get(&(name, at)).map(|sums| sums.map(words));
    let funds = names.into_iter().map(|name| (name.to_owned(), fund(name, 0), fund(name, 1))).collect();
    Plain { cost: cost.map(words), left: left.map(words), funds, ..plain }
}

/// All that a record moves by, by name.
fn told(book: &Book, outcome: &Outcome) -> String {
    let step = |id: purfle_lang::book::StepId| book[id].name.clone();
    let hand = |hand: Option<purfle_lang::book::HandId>| hand.map(|hand| book[hand].name.clone());
    let mut findings: Vec<String> = outcome
        .findings
        .iter()
        .map(|judged| {
            let finding = &book[judged.finding];
            let place = purfle::report::place_name(book, finding.on, judged.at);
            let urgency = (step(judged.urgency.from), step(judged.urgency.to));
            format!("{} {place:?} {:?} {urgency:?}", finding.name, judged.state)
        })
        .collect();
    findings.sort();
    let urgency = (step(outcome.urgency.from), step(outcome.urgency.to));
    let hands = (hand(outcome.hands.from), hand(outcome.hands.to));
    let funds: Vec<String> = outcome
        .aid
        .iter()
        .filter(|fund| fund.state != AidWord::Refused)
        .map(|fund| {
            let pays = [fund.pays.from, fund.pays.to].map(|sum| round_scaled(sum, 2));
            format!("{} {:?} {pays:?}", book[fund.aid].name, fund.state)
        })
        .collect();
    let counsels: BTreeMap<&str, String> =
        outcome.counsel.iter().map(|(id, state)| (book[*id].name.as_str(), format!("{state:?}"))).collect();
    let apart: BTreeMap<&str, String> =
        outcome.apart.iter().map(|(part, word)| (book[*part].name.as_str(), format!("{word:?}"))).collect();
    let tiers = [outcome.tier, outcome.left_tier].map(|tier| [tier.from, tier.to].map(|tier| book[tier].name.clone()));
    let due = (outcome.due, outcome.again);
    format!("{urgency:?} {:?} {hands:?} {findings:?} {funds:?} {counsels:?} {apart:?} {tiers:?} {due:?}", outcome.played)
}

fn as_plain(view: &CountedView) -> Plain {
    let ends = |total: &purfle::weigh::view::TotalView| {
        [&total.was.from, &total.was.to, &total.now.from, &total.now.to].map(Clone::clone)
    };
    let pays = |sum: &Option<SumView>| sum.as_ref().map(|sum| [sum.from.clone(), sum.to.clone()]);
    let mut funds: Vec<_> = view.funds.iter().map(|fund| (fund.fund.clone(), pays(&fund.was), pays(&fund.now))).collect();
    funds.sort();
    Plain {
        judged: view.judged,
        dearer: view.dearer,
        cheaper: view.cheaper,
        refused: view.refused.len(),
        moved: view.moved.len(),
        cost: ends(&view.cost),
        left: ends(&view.left),
        if_left: [view.dearer_if_left, view.cheaper_if_left],
        more: [&view.cost.was, &view.cost.now, &view.left.was, &view.left.now].map(|sum| sum.more),
        funds,
    }
}

#[test]
fn counting_is_judging_every_record_twice() {
    let folder = tempfile::tempdir().unwrap_or_else(|error| panic!("{error}"));
    let file = folder.path().join("past.jsonl");
    let name = file.to_string_lossy().into_owned();
    let (mut weighed, mut wider, mut alike, mut moved, mut records_judged) = (0, 0, 0, 0, 0);
    for number in 0..pairs() * 3 {
        if weighed >= pairs() {
            break;
        }
        let (mut old, mut new) = match number % 4 {
            0 => small_pair(number),
            1 => applies::texts(number),
            _ => edits::edited(small(number), number),
        };
        match number % 6 {
            1 => new.push_str(MORE),
            2 => old.push_str(MORE),
            _ => {}
        }
        if !sound(&[&old, &new]) {
            continue;
        }
        weighed += 1;
        wider += usize::from(old.contains(MORE) || new.contains(MORE));
        let (before, after) = (book(&old), book(&new));
        let from_old = if number % 12 < 3 { number % 12 < 2 } else { number % 2 == 0 };
        let text = records(if from_old { &before } else { &after }, number);
        // A field of a look that only one of the two has may be there and say nothing.
        let text = match number % 12 {
            1 => text.replacen('{', "{\"lining\":{\"loose\":null},", 1),
            2 => text.replacen('{', "{\"lining\":{\"loose\":\"\"},", 1),
            _ => text,
        };
        std::fs::write(&file, &text).unwrap_or_else(|error| panic!("{error}"));
        let input = || Input::new(&name, true).unwrap_or_else(|error| panic!("{error}"));
        let inputs = [input()];
        let (was, now) = (judge(&before), judge(&after));
        let files = Files { inputs: &inputs, last: &[] };
        let once = counted(&was, &now, files, || ()).unwrap_or_else(|error| panic!("{error}"));
        let apart = counted_apart(&was, &now, files, || ()).unwrap_or_else(|error| panic!("{error}"));
        let told = |view: &CountedView| serde_json::to_string(view).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(told(&once), told(&apart), "pair {number}\n{old}\n----\n{new}\n----\n{text}");
        alike += once.unmoved;
        moved += once.moved.len();
        records_judged += once.judged;
        // A record before is not filled in here.
        if !old.contains("last ") && !new.contains("last ") {
            let whole = plain(&before, &after, &outcomes(&was, &inputs), &outcomes(&now, &inputs));
            assert_eq!(as_plain(&once), whole, "pair {number}\n{old}\n----\n{new}\n----\n{text}");
        }
    }
    println!(
        "{weighed} pairs, {wider} of them with a look that one has alone; {records_judged} records judged by both: {alike} alike, {moved} moved"
    );
    assert!(moved > 50 && alike > 50 && wider > 20, "{moved} moved, {alike} alike, {wider} wider");
}
