//! Advice on the whole outcome, and funds: why each is given or not.

use purfle_lang::book::{Aid, AidId, AidWord, Condition, CounselId, StateWord};
use purfle_lang::number::Number;
use serde::Serialize;

use super::reading::{ReadView, fact, look};
use super::view::{ChangeView, DecidedView, PlaceView, Report, SignView, Teller};
use crate::outcome::AidOutcome;
use crate::report::{aid_name, money_range, plain, state_name, unaided_words};
use crate::trace::{Last, last, paths};

/// A counsel: one that is given or may be, or the one that was asked for.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CounselView {
    /// Its name.
    pub counsel: String,
    /// Its words.
    pub words: String,
    /// `found` where it is given, `open` where it may be, else `clear`.
    pub state: &'static str,
    /// Where it is written.
    pub written: Option<PlaceView>,
    /// What house rulebooks changed of it.
    pub changes: Vec<ChangeView>,
    /// When it is given.
    pub when: Option<WhenView>,
}

/// A condition on the whole outcome.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct WhenView {
    /// The condition, with what came of it.
    pub condition: SignView,
    /// Whether it reads what the work comes to, or how soon it must be done, so that it hangs on all that was found.
    pub totals: bool,
    /// What the work comes to then, in a sentence.
    #[serde(skip)]
    pub total: Option<String>,
    /// What decides it; none for one that is open or hangs on all that was found.
    pub decided_by: Option<DecidedView>,
}

/// A fund.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct FundView {
    /// Its name.
    pub aid: String,
    /// Its words.
    pub words: String,
    /// `eligible`, `refused` or `open`.
    pub state: &'static str,
    /// What settles that, in sentences.
    pub by: Vec<String>,
    /// Where it is written.
    pub written: Option<PlaceView>,
    /// What house rulebooks changed of it.
    pub changes: Vec<ChangeView>,
    /// Whether it is for some only.
    #[serde(skip)]
    pub is_for_some: bool,
    /// Whom it is for.
    #[serde(rename = "for")]
    pub who: Option<WhenView>,
    /// What it needs, as the record has it.
    pub needs: Vec<ReadView>,
}

impl Teller<'_> {
    /// Why counsels and funds are as they are: those that are worth telling of the whole outcome.
    pub fn advice(&self) -> (Vec<CounselView>, Vec<FundView>) {
        let given = |(_, state): &&(CounselId, StateWord)| *state != StateWord::Open || !self.much_is_unseen();
        let counsels: Vec<(CounselId, StateWord)> = self.outcome.counsel.iter().filter(given).copied().collect();
        self.explained(&counsels, &self.outcome.aid.iter().collect::<Vec<_>>())
    }

    /// Why one counsel is given or not.
    pub fn one_counsel(&self, id: CounselId) -> Report {
        let state = self.outcome.counsel.iter().find(|(counsel, _)| *counsel == id);
        let state = state.map_or(StateWord::Clear, |(_, state)| *state);
        let (counsels, _) = self.explained(&[(id, state)], &[]);
        Report { counsel: counsels.into_iter().next(), ..self.report() }
    }

    /// Why one fund pays or does not.
    pub fn one_fund(&self, id: AidId) -> Report {
        let outcome: Vec<&AidOutcome> = self.outcome.aid.iter().filter(|aid| aid.aid == id).collect();
        let (_, funds) = self.explained(&[], &outcome);
        Report { aid: funds.into_iter().next(), ..self.report() }
    }

    fn explained(&self, told: &[(CounselId, StateWord)], aids: &[&AidOutcome]) -> (Vec<CounselView>, Vec<FundView>) {
        let book = self.book;
        let whens = told.iter().map(|(id, _)| &book[*id].when);
        let whos = aids.iter().filter_map(|aid| book[aid.aid].who.as_ref());
        let asked: Vec<&Condition> = whens.chain(whos).collect();
        let mut answered = match asked.is_empty() {
            true => None,
            false => last(book, self.record, &asked),
        }
        .unwrap_or_default()
        .into_iter();
        let counsels = told
            .iter()
            .map(|(id, state)| {
                let counsel = &book[*id];
                CounselView {
                    counsel: counsel.name.clone(),
                    words: plain(&counsel.words).into_owned(),
                    state: state_name(*state),
                    written: self.place(counsel.origin.span),
                    changes: self.changes(&counsel.origin.changes),
                    when: answered.next().map(|last| self.when(&last)),
                }
            })
            .collect();
        let funds = aids
            .iter()
            .map(|outcome| {
                let aid = &book[outcome.aid];
                let who = aid.who.as_ref().and_then(|_| answered.next()).map(|last| self.when(&last));
                let needs = aid.needs.iter().flat_map(|needed| {
                    paths(book, self.record, book[*needed].part).into_iter().map(|path| look(self, *needed, path))
                });
                FundView {
                    aid: aid.name.clone(),
                    words: plain(&aid.words).into_owned(),
                    state: aid_name(outcome.state),
                    by: self.fund_by(aid, outcome),
                    written: self.place(aid.origin.span),
                    changes: self.changes(&aid.origin.changes),
                    is_for_some: aid.who.is_some(),
                    who,
                    needs: needs.collect(),
                }
            })
            .collect();
        (counsels, funds)
    }

    /// While much is unseen nearly every counsel is open, and to say so tells nobody anything.
    fn much_is_unseen(&self) -> bool {
        !self.outcome.unseen.is_empty()
    }

    fn when(&self, last: &Last) -> WhenView {
        WhenView {
            condition: self.sign(&last.sign),
            totals: last.totals,
            total: last.totals.then(|| self.total_words()),
            decided_by: last.deciding.as_ref().map(|deciding| DecidedView {
                facts: deciding.facts.iter().map(|one| fact(self, *one)).collect(),
                smallest: deciding.smallest,
                brings: false,
            }),
        }
    }

    /// What settles whether a fund pays.
    fn fund_by(&self, aid: &Aid, outcome: &AidOutcome) -> Vec<String> {
        let book = self.book;
        let money = |from: Number, to: Number| money_range(book, from, to);
        let mut by = Vec::new();
        let more = if outcome.and_more { " and more" } else { "" };
        match (outcome.state, outcome.why) {
            (AidWord::Refused, Some(why)) => by.push(format!("It does not pay: {}.", unaided_words(why))),
            (AidWord::Refused, None) => by.push("It does not pay.".to_owned()),
            (AidWord::Eligible, _) => by.push(format!("It pays {}{more}.", money(outcome.pays.from, outcome.pays.to))),
            (AidWord::Open, _) => by.push(format!("It may pay up to {}{more}.", money(outcome.pays.to, outcome.pays.to))),
        }
        let missing: Vec<String> = outcome.missing.iter().map(|look| format!("`{}`", book.look_path(*look))).collect();
        if !missing.is_empty() {
            by.push(format!("Not answered, and needed: {}.", missing.join(", ")));
        }
        if let Some(above) = aid.covers_above {
            let named = if aid.covers.is_empty() { "" } else { ", or is named by it" };
            by.push(format!("It covers what by itself costs more than {}{named}.", money(above, above)));
            if self.outcome.quoted.is_some_and(|quoted| quoted <= above) && outcome.state == AidWord::Open {
                by.push(
                    "The shop's own price is no more than that, while the worked-out one may be: people settle it.".to_owned(),
                );
            }
        }
        if let Some((share, look)) = aid.not_beyond {
            let percent = share * Number::from_integer(100);
            let percent = purfle_lang::number::format_decimal(percent);
            by.push(format!("It does not pay where the work costs more than {percent} % of `{}`.", book.look_path(look)));
        }
        by.push(self.total_words());
        by
    }

    /// `The work comes to 205.00 USD (the shop's own price).`
    pub(super) fn total_words(&self) -> String {
        let outcome = self.outcome;
        match outcome.quoted {
            Some(quoted) => format!("The work comes to {}, the shop's own price.", money_range(self.book, quoted, quoted)),
            None => {
                let more = if outcome.cost.and_more || outcome.cost.or_more { " and more" } else { "" };
                format!("The work comes to {}{more}.", money_range(self.book, outcome.cost.from, outcome.cost.to))
            }
        }
    }
}
