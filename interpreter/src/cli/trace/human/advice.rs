//! Advice and funds for people: in short beside the whole outcome, and one by itself.

use std::fmt::Write;

use super::super::advice::{CounselView, FundView, WhenView};
use super::super::view::{PlaceView, SignView};
use super::super::whole::OutcomeView;
use super::{Writer, place, reading};
use crate::report::{Ink, sides};

/// A condition with only those in it of which the same came: they are why.
fn telling(sign: &SignView) -> SignView {
    let same = |inner: &&SignView| inner.state == sign.state;
    let kept: Vec<SignView> = match sign.inner.iter().any(|inner| same(&inner)) {
        true => sign.inner.iter().filter(same).map(telling).collect(),
        false => sign.inner.iter().map(telling).collect(),
    };
    SignView { inner: kept, ..sign.clone() }
}

/// What a fund or a counsel is, after the word "it is".
const GIVEN: &str = "given";
const FOR_IT: &str = "for this instrument";

impl Writer {
    /// Counsels and funds, in short.
    pub(super) fn advice(&mut self, outcome: &OutcomeView) {
        if !outcome.counsel.is_empty() {
            self.title("Advice");
        }
        for counsel in &outcome.counsel {
            let may = if counsel.state == "found" { "" } else { " (may be)" };
            let line = place(counsel.written.as_ref());
            sides(&mut self.out, "  * ", &format!("{} [{}]{may}", counsel.words, counsel.counsel), &line);
            self.changes(&counsel.changes, "    ");
            if let Some(when) = &counsel.when {
                self.sign(&telling(&when.condition), 1);
                self.decides(when, GIVEN, "    ");
            }
        }
        if !outcome.aid.is_empty() {
            self.title("Help with the cost");
        }
        for fund in &outcome.aid {
            sides(&mut self.out, "  * ", &format!("{} [{}]", fund.words, fund.aid), &place(fund.written.as_ref()));
            for by in &fund.by {
                self.say("    ", by);
            }
            self.changes(&fund.changes, "    ");
            if let Some(who) = &fund.who {
                self.say("    ", "Whom it is for:");
                self.sign(&telling(&who.condition), 1);
                self.decides(who, FOR_IT, "    ");
            }
            if !fund.needs.is_empty() {
                self.say("    ", "What it needs:");
            }
            for need in &fund.needs {
                self.say("    - ", &reading(need));
            }
        }
    }

    /// One counsel, all there is to say of it.
    pub(super) fn counsel(&mut self, counsel: &CounselView) {
        self.named(&counsel.words, &counsel.counsel, counsel.written.as_ref());
        let state = match counsel.state {
            "found" => self.paint.ink(Ink::Warn, "GIVEN."),
            "clear" => self.paint.ink(Ink::Well, "NOT GIVEN."),
            _ => self.paint.ink(Ink::Faint, "OPEN: it may be given."),
        };
        self.say("", &state);
        self.changes(&counsel.changes, "  ");
        self.condition("When it is given", counsel.when.as_ref(), GIVEN);
    }

    /// One fund, all there is to say of it.
    pub(super) fn fund(&mut self, fund: &FundView) {
        self.named(&fund.words, &fund.aid, fund.written.as_ref());
        let state = match fund.state {
            "eligible" => self.paint.ink(Ink::Well, "IT PAYS."),
            "refused" => self.paint.ink(Ink::Grave, "IT DOES NOT PAY."),
            _ => self.paint.ink(Ink::Faint, "OPEN: it may pay."),
        };
        self.say("", &state);
        for by in &fund.by {
            self.say("  ", by);
        }
        self.changes(&fund.changes, "  ");
        if fund.is_for_some {
            self.condition("Whom it is for", fund.who.as_ref(), FOR_IT);
        }
        if !fund.needs.is_empty() {
            self.title("What it needs");
        }
        for need in &fund.needs {
            self.say("  - ", &reading(need));
        }
    }

    /// The words of something, its name, and where it is written.
    fn named(&mut self, words: &str, name: &str, written: Option<&PlaceView>) {
        let _ = writeln!(self.out, "{}", "-".repeat(80));
        self.say("", &self.paint.ink(Ink::Heading, words));
        sides(&mut self.out, "", &format!("[{name}]"), &place(written));
    }

    /// A condition on the whole outcome, all of it.
    fn condition(&mut self, title: &str, when: Option<&WhenView>, what: &str) {
        self.title(title);
        let Some(when) = when else {
            self.say("  ", "(Too much is open to go through every case, so nothing is told of what it asks.)");
            return;
        };
        self.sign(&when.condition, 0);
        self.decides(when, what, "  ");
    }

    /// What decides a condition on the whole outcome.
    fn decides(&mut self, when: &WhenView, what: &str, lead: &str) {
        if let Some(total) = &when.total {
            self.say(lead, &format!("It hangs on all that was found. {total}"));
        }
        let Some(decided) = &when.decided_by else { return };
        let not = if when.condition.state == "met" { "" } else { "not " };
        match decided.facts.as_slice() {
            [] => self.say(lead, &format!("It is {not}{what} whatever a record says.")),
            facts => {
                let less = if decided.smallest { "" } else { " (fewer might do; the search was given up)" };
                self.say(lead, &format!("Whatever else there is to see, it is {not}{what} already by this{less}:"));
                for fact in facts {
                    self.say(&format!("{lead}- "), &reading(fact));
                }
            }
        }
    }
}
