//! The whole outcome of a record: what settles whether it may be played, and how soon it must be seen to.

use purfle_lang::book::{FindingId, PartId, PlayedWord, StateWord, StepId};
use serde::Serialize;

use super::advice::{CounselView, FundView};
use super::view::{Report, StepView, Teller};
use crate::outcome::Judged;
use crate::report::{plain, played};
use crate::trace::Short;

/// The whole outcome.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct OutcomeView {
    /// May it be played: `yes`, `no` or `open`.
    pub played: &'static str,
    /// What settles that, in a sentence.
    pub played_by: String,
    /// Pieces that stand apart and may not, or perhaps not, be used.
    pub apart: Vec<ApartView>,
    /// The urgency that is certain.
    pub from: StepView,
    /// The urgency that is possible.
    pub to: StepView,
    /// What settles the one and the other, in sentences.
    pub urgency_by: Vec<String>,
    /// How many findings are not ruled out because nobody looked.
    pub not_ruled_out: usize,
    /// Parts of which nothing was looked at.
    pub unseen: Vec<String>,
    /// Counsels that are given, and such as may be where little is left to be looked at.
    pub counsel: Vec<CounselView>,
    /// The funds, each with why it pays or does not.
    pub aid: Vec<FundView>,
}

/// A piece that stands apart.
#[derive(Serialize)]
pub struct ApartView {
    /// Its name.
    pub part: String,
    /// Its words.
    pub words: String,
    /// May it be used: `no` or `open`.
    pub played: &'static str,
    /// The findings that forbid it, or may.
    pub by: String,
}

impl Teller<'_> {
    /// The whole outcome.
    pub fn whole(&self, told: &[Short]) -> Report {
        let outcome = self.outcome;
        let (counsel, aid) = self.advice();
        let view = OutcomeView {
            played: played(outcome.played),
            played_by: self.played_by(),
            apart: outcome.apart.iter().map(|(part, word)| self.apart(*part, *word)).collect(),
            from: self.step(outcome.urgency.from),
            to: self.step(outcome.urgency.to),
            urgency_by: self.urgency_by(),
            not_ruled_out: outcome.not_ruled_out.len(),
            unseen: outcome.unseen.iter().map(|part| self.book[*part].name.clone()).collect(),
            counsel,
            aid,
        };
        let findings = told.iter().map(|short| self.short(short)).collect();
        Report { outcome: Some(view), findings, ..self.report() }
    }

    /// What settles whether it may be played.
    fn played_by(&self) -> String {
        let apart = |finding: FindingId| self.book[self.book[finding].on].apart;
        let all = || self.outcome.findings.iter().chain(&self.outcome.not_ruled_out).filter(|judged| !apart(judged.finding));
        let names = |wanted: &dyn Fn(&Judged) -> bool| self.named(all().filter(|judged| wanted(judged)));
        let forbids = |judged: &Judged| self.book[judged.urgency.to].not_played;
        let surely = |judged: &Judged| judged.state == StateWord::Found && self.book[judged.urgency.from].not_played;
        match self.outcome.played {
            PlayedWord::Yes => "Nothing that forbids it can hold in this record.".to_owned(),
            PlayedWord::No => match names(&surely) {
                Some(names) => format!("It is forbidden by {names}."),
                None => format!("One of these surely holds, though none by itself: {}.", names(&forbids).unwrap_or_default()),
            },
            PlayedWord::Open => {
                let pointed = names(&|judged| forbids(judged) && judged.state != StateWord::Open);
                let unseen = all().filter(|judged| forbids(judged) && judged.state == StateWord::Open).count();
                let unseen = match unseen {
                    0 => String::new(),
                    1 => " One finding that would forbid it is not ruled out, because nobody looked.".to_owned(),
                    many => format!(" {many} findings that would forbid it are not ruled out, because nobody looked."),
                };
                match pointed {
                    Some(names) => format!("It hangs on {names}.{unseen}"),
                    None => unseen.trim().to_owned(),
                }
            }
        }
    }

    /// A piece that stands apart and may not, or perhaps not, be used, with what settles that.
    fn apart(&self, part: PartId, word: PlayedWord) -> ApartView {
        let all = self.outcome.findings.iter().chain(&self.outcome.not_ruled_out);
        let forbids = |judged: &&Judged| self.book[judged.finding].on == part && self.book[judged.urgency.to].not_played;
        let sure = |judged: &&Judged| word != PlayedWord::No || judged.state == StateWord::Found;
        ApartView {
            part: self.book[part].name.clone(),
            words: plain(&self.book[part].words).into_owned(),
            played: played(word),
            by: self.named(all.filter(forbids).filter(sure)).unwrap_or_default(),
        }
    }

    /// What settles the urgency, at its least and at its greatest.
    fn urgency_by(&self) -> Vec<String> {
        let outcome = self.outcome;
        let all = || outcome.findings.iter().chain(&outcome.not_ruled_out);
        let mut lines = Vec::new();
        let from = outcome.urgency.from;
        let surely = |step: StepId| move |judged: &&Judged| judged.state == StateWord::Found && judged.urgency.from == step;
        let certain = self.by_piece(all().filter(surely(from)));
        for (piece, names) in &certain {
            lines.push(format!("{} at least `{}` by {names}.", self.piece_is(*piece), self.book[from].name));
        }
        let itself = |judged: &&Judged| self.piece(judged.finding).is_none();
        if certain.is_empty() {
            lines.push(match from.0 {
                0 => "Nothing is certain that makes it more urgent than the mildest step.".to_owned(),
                _ => format!(
                    "It is at least `{}` because one of several findings surely holds, though none by itself.",
                    self.book[from].name
                ),
            });
        } else if certain.iter().all(|(piece, _)| piece.is_some()) {
            // What stands apart makes nothing of the instrument itself as urgent.
            let found = all().filter(|judged| judged.state == StateWord::Found).filter(itself);
            let own = found.map(|judged| judged.urgency.from).max().filter(|own| own.0 > 0);
            let names = own.and_then(|own| self.named(all().filter(surely(own)).filter(itself)));
            lines.push(match (own, names) {
                (Some(own), Some(names)) => format!("The instrument itself is at least `{}` by {names}.", self.book[own].name),
                _ => "Nothing found on the instrument itself makes it more urgent than the mildest step.".to_owned(),
            });
        }
        let mut graver = vec![outcome.suspected, outcome.urgency.to];
        graver.dedup();
        for step in graver.into_iter().filter(|step| *step > from) {
            let name = &self.book[step].name;
            for (state, words) in [
                (StateWord::Found, "as what is found may be that grave"),
                (StateWord::Suspected, "as something that was seen points to it"),
                (StateWord::Open, "as nobody looked at what would rule it out"),
            ] {
                let may_be = all().filter(|judged| judged.urgency.to == step && judged.state == state);
                for (piece, names) in self.by_piece(may_be) {
                    lines.push(format!("{} `{name}`, {words}: {names}.", self.piece_may_be(piece)));
                }
            }
        }
        lines
    }

    /// The piece that a finding is on, where it stands apart from the instrument.
    fn piece(&self, finding: FindingId) -> Option<PartId> {
        Some(self.book[finding].on).filter(|part| self.book[*part].apart)
    }

    /// Findings by name, those of the instrument and those of each piece that stands apart by themselves.
    fn by_piece<'j>(&self, judged: impl Iterator<Item = &'j Judged>) -> Vec<(Option<PartId>, String)> {
        let mut pieces: Vec<(Option<PartId>, Vec<&Judged>)> = Vec::new();
        for judged in judged {
            let piece = self.piece(judged.finding);
            match pieces.iter_mut().find(|(known, _)| *known == piece) {
                Some((_, of_piece)) => of_piece.push(judged),
                None => pieces.push((piece, vec![judged])),
            }
        }
        pieces.sort_by_key(|(piece, _)| *piece);
        let named = |(piece, judged): (Option<PartId>, Vec<&Judged>)| Some((piece, self.named(judged.into_iter())?));
        pieces.into_iter().filter_map(named).collect()
    }

    fn piece_is(&self, piece: Option<PartId>) -> String {
        piece.map_or("It is".to_owned(), |part| format!("{}, which stands apart, is", plain(&self.book[part].words)))
    }

    fn piece_may_be(&self, piece: Option<PartId>) -> String {
        piece.map_or("It may be".to_owned(), |part| format!("{}, which stands apart, may be", plain(&self.book[part].words)))
    }

    /// Findings by name, with their places; none of none.
    fn named<'j>(&self, judged: impl Iterator<Item = &'j Judged>) -> Option<String> {
        const MOST: usize = 6;
        let mut names: Vec<String> = judged.map(|judged| self.name_at(judged.finding, judged.at)).collect();
        let more = names.len().saturating_sub(MOST);
        names.truncate(MOST);
        if more > 0 {
            names.push(format!("{more} more"));
        }
        match names.as_slice() {
            [] => None,
            [only] => Some(only.clone()),
            [rest @ .., last] => Some(format!("{} and {last}", rest.join(", "))),
        }
    }
}
