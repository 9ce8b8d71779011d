//! The checker's verdicts about thousands of small random rulebooks against going through all their cases.

use std::collections::{BTreeMap, BTreeSet};

use purfle_lang::book::{Book, Condition, Places, Test, Value};
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::span::Span;

use super::facts::{Facts, facts, reads_good, span};
use super::replayed::random;
use super::told::Told;
use crate::by_cases::walk::{has_total, nested};
use crate::random::rulebook::small;

/// Rulebooks with more cases are passed over.
const MOST_CASES: usize = 3_000;

/// A claim: its slug and where it stands.
type Claim = (&'static str, Span);

/// Claims that no case may contradict, whether or not the cases stand for all there are.
const UNIVERSAL: [&str; 8] = ["never", "always", "sign-never", "sign-always", "line-idle", "unless-idle", "when-never", "shadow"];

/// Claims that a case shows.
const EXISTENTIAL: [&str; 4] = ["overlap", "good-found", "gap", "finer-than-reading"];

/// What the cases bear out.
fn borne_out(book: &Book, facts: &Facts) -> BTreeSet<Claim> {
    let mut claims = BTreeSet::new();
    for (at, finding) in book.findings.iter().enumerate() {
        let known = &facts.findings[at];
        let own = finding.origin.span;
        // Where some cases are missing, or more places would give more of them, what they would have shown contradicts nothing.
        let open = !facts.complete || has_places_as_found(book);
        let mut claim = |holds: bool, slug: &'static str, span: Span| {
            if holds {
                claims.insert((slug, span));
            }
        };
        claim(!known.holds, "never", own);
        claim((known.there || open) && !known.fails, "always", own);
        claim((!known.graver.is_empty() || open) && !known.graver.contains(&0), "shadow", own);
        for (index, unless) in finding.unless.iter().enumerate() {
            claim((known.signs || open) && !known.unless.contains(&index), "unless-idle", span(unless));
        }
        nested(&finding.signs, &mut |inner| {
            if let Condition::Test(_, span) | Condition::Found(_, span) = inner {
                claim((known.there || open) && !known.met.contains(span), "sign-never", *span);
                claim((known.asked.contains(span) || open) && !known.unmet.contains(span), "sign-always", *span);
            }
        });
        // A line is idle if the step is the same without it; of two with the same step, the one without `if` stays.
        let mut gone = 0_u64;
        for (index, line) in finding.urgency.iter().enumerate().rev() {
            let step = |lines: u64| {
                let counted = finding.urgency.iter().enumerate().filter(|(at, other)| {
                    let stays = line.when.is_some() || other.when.is_none() || other.step != line.step;
                    lines >> at & 1 == 1 && stays
                });
                counted.map(|(_, line)| line.step).max()
            };
            let same = |lines: &u64| {
                let left = lines & !gone & !(1 << index);
                lines >> index & 1 == 0 || step(left).is_some_and(|left| left >= line.step)
            };
            if (known.holds || open) && known.lines.iter().all(same) {
                gone |= 1 << index;
                claim(true, "line-idle", line.span);
            }
        }
        let good = facts.good.values().flatten().any(|(found, _)| *found == at);
        claim(good && reads_good(book, at), "good-found", own);
    }
    let mut when = |condition: &Condition| {
        if !facts.met.contains(&span(condition)) && !asks_totals(condition) {
            claims.insert(("when-never", span(condition)));
        }
    };
    book.raises.iter().for_each(|raise| when(&raise.when));
    book.counsels.iter().for_each(|counsel| when(&counsel.when));
    book.aids.iter().filter_map(|aid| aid.who.as_ref()).for_each(&mut when);
    for part in &book.parts {
        part.only_when.iter().for_each(&mut when);
        if part.only_when.as_ref().is_some_and(|only_when| !facts.met.contains(&span(only_when))) {
            continue;
        }
        part.fixed_places().iter().filter_map(|place| place.only_when.as_ref()).for_each(&mut when);
        part.looks.iter().filter_map(|look| book[*look].only_when.as_ref()).for_each(&mut when);
    }
    claims
}

/// Whether there can always be more places than were gone through.
fn has_places_as_found(book: &Book) -> bool {
    book.parts.iter().any(|part| matches!(part.places, Places::AsFound))
}

/// Those who disagree; not a pair of which one is in the other's shadow, which is told of that.
fn disagreeing(book: &Book, facts: &Facts, told: &[Diagnostic]) -> BTreeSet<Claim> {
    let shadowed = |of: usize, by: usize| {
        told.iter().any(|one| {
            let here = one.slug == "shadow" && one.span == book.findings[of].origin.span;
            here && one.places.iter().any(|place| place.span == book.findings[by].origin.span)
        })
    };
    let clashing =
        |at: &usize| facts.findings[*at].disagrees.iter().any(|other| !shadowed(*at, *other) && !shadowed(*other, *at));
    (0..book.findings.len()).filter(clashing).map(|at| ("overlap", book.findings[at].origin.span)).collect()
}

/// What is passed over in silence, and what no reading clears.
fn passed_over(book: &Book, facts: &Facts) -> BTreeSet<Claim> {
    let gaps = facts.silence.of(book).into_iter().map(|look| ("gap", book[look].origin.span));
    gaps.chain(facts.silence.too_fine.iter().map(|span| ("finer-than-reading", *span))).collect()
}

/// Whether a counsel asks for totals, which the checker takes to be anything.
fn asks_totals(condition: &Condition) -> bool {
    let mut asks = false;
    let total = |value: &Value| has_total(value);
    nested(condition, &mut |inner| {
        asks |= match inner {
            Condition::Test(Test::TotalUrgency { .. } | Test::TotalTier { .. }, _) => true,
            Condition::Test(Test::Compare(_, left, right), _) => total(left) || total(right),
            Condition::Test(Test::Between(one, two, three), _) => total(one) || total(two) || total(three),
            _ => false,
        };
    });
    asks
}

#[test]
fn what_is_proved_is_what_all_cases_show() {
    let mut wrong = Vec::new();
    let mut counted: BTreeMap<&str, usize> = BTreeMap::new();
    let (mut gone_through, mut complete) = (0, 0);
    for number in 0..random() * 4 {
        let Some(told) = Told::of(small(number)) else { continue };
        let Some(facts) = facts(&told.book, &told.text, MOST_CASES) else { continue };
        gone_through += 1;
        complete += usize::from(facts.complete);
        let mut borne_out = borne_out(&told.book, &facts);
        borne_out.extend(disagreeing(&told.book, &facts, &told.diagnostics));
        borne_out.extend(passed_over(&told.book, &facts));
        let claims: BTreeSet<Claim> = told
            .diagnostics
            .iter()
            .map(|one| (if one.slug == "threshold-outside-look" { "sign-never" } else { one.slug }, one.span))
            .filter(|(slug, _)| UNIVERSAL.contains(slug) || EXISTENTIAL.contains(slug))
            .collect();
        claims.iter().for_each(|(slug, _)| *counted.entry(slug).or_default() += 1);
        let more_places = has_places_as_found(&told.book);
        let mut lines = Vec::new();
        let line = |(slug, span): &Claim, words: &str| format!("{slug} {words}: {}", &told.text[span.range()]);
        for claim in &claims {
            let may = (!facts.complete || more_places) && !UNIVERSAL.contains(&claim.0);
            let totals = claim.0 == "when-never" && told.book.counsels.iter().any(|one| span(&one.when) == claim.1);
            let by_totals = totals && !facts.met.contains(&claim.1);
            if !(borne_out.contains(claim) || may || by_totals) {
                lines.push(line(claim, "is claimed"));
            }
        }
        for claim in borne_out.iter().filter(|claim| facts.complete && !claims.contains(*claim)) {
            let by_its_sign = claim.0 == "never" && {
                let finding = told.book.findings.iter().find(|finding| finding.origin.span == claim.1);
                let within = finding.map_or(Span::default(), |finding| span(&finding.signs));
                claims.iter().any(|(slug, at)| *slug == "sign-never" && within.start <= at.start && at.end <= within.end)
            };
            // More places may be needed for a proof than are written out; nothing is claimed then.
            let by_places = UNIVERSAL.contains(&claim.0) && more_places;
            // What a finding reads hangs on the place at which it is asked.
            let by_places = by_places || matches!(claim.0, "good-found" | "overlap" | "shadow") && told.text.contains("place is");
            if !by_its_sign && !by_places {
                lines.push(line(claim, "is not claimed"));
            }
        }
        if !lines.is_empty() {
            wrong.push(format!("small rulebook {number}\n{}\n\n{}", lines.join("\n"), told.text));
        }
    }
    assert!(wrong.is_empty(), "{} of {gone_through} differ\n{}", wrong.len(), wrong[..wrong.len().min(6)].join("\n--------\n"));
    // A run that holds next to nothing against each other shows nothing.
    assert!(complete as u64 > random() / 2, "{complete} of {gone_through}");
    for slug in UNIVERSAL.iter().chain(&EXISTENTIAL) {
        assert!(counted.contains_key(slug), "nothing is told to be {slug}: {counted:?}");
    }
}
