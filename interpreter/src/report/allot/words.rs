//! Why each instrument is helped or not, in sentences.

use purfle_lang::book::{AidId, StepId};

use super::super::figures::{minor_range, unaided_words};
use super::super::text::plain;
use super::AllotReport;
use crate::allot::{Instrument, Offer, Reach, Standing};
use crate::outcome::Unaided;

impl AllotReport<'_> {
    /// A sum of the minor unit in words.
    pub fn money(&self, minor: i64) -> String {
        minor_range(self.book, i128::from(minor), i128::from(minor))
    }

    /// From one sum to another.
    pub fn range(&self, from: i64, to: i64) -> String {
        minor_range(self.book, i128::from(from), i128::from(to))
    }

    /// The instruments that a fund is surely for, with the place of the offer that each is given.
    pub fn candidates(&self) -> impl Iterator<Item = (usize, &Instrument, Option<usize>)> {
        let taken = self.allotted.candidates.iter().zip(&self.allotted.plan.taken);
        taken.filter_map(|(at, taken)| Some((*at, self.batch.instruments.get(*at)?, *taken)))
    }

    /// How many at a step a fund is surely for, and how many of them are helped.
    pub fn at_step(&self, step: StepId) -> (usize, usize) {
        let of_step = || self.candidates().filter(move |(_, instrument, _)| instrument.urgency == step);
        (of_step().count(), of_step().filter(|(_, _, taken)| taken.is_some()).count())
    }

    /// Why an instrument is helped.
    pub fn why_helped(&self, instrument: &Instrument) -> String {
        let (all, helped) = self.at_step(instrument.urgency);
        if self.allotted.total.all() == self.allotted.candidates.len() {
            "The money suffices for every instrument that a fund is surely for.".to_owned()
        } else if helped == all && all == 1 {
            "It is the only one at this step that a fund is surely for.".to_owned()
        } else if helped == all {
            format!("All {all} at this step that a fund is surely for are helped.")
        } else {
            format!("The money reaches {helped} of {all} at this step, and no other choice is better.")
        }
    }

    /// How the way that is taken compares with the textbook's; none where it is the textbook's.
    pub fn why_this_way(&self, instrument: &Instrument, offer: &Offer) -> Option<String> {
        if offer.ways.is_empty() {
            return None;
        }
        let textbook = instrument.offers.iter().find(|other| other.ways.is_empty());
        let Some(textbook) = textbook else {
            return Some("By the textbook way no fund would surely pay.".to_owned());
        };
        let takes = match textbook.reserved - offer.reserved {
            0 => "takes as much".to_owned(),
            less if less > 0 => format!("takes {} less", self.money(less)),
            more => format!("takes {} more", self.money(-more)),
        };
        let saves = match offer.saving - textbook.saving {
            0 => "saves as much".to_owned(),
            more if more > 0 => format!("saves {} more", self.money(more)),
            less => format!("saves {} less", self.money(-less)),
        };
        Some(format!("Against the textbook way it {takes} and {saves}."))
    }

    /// Why the money went elsewhere.
    pub fn why_elsewhere(&self, candidate: usize, instrument: &Instrument) -> String {
        let (all, helped) = self.at_step(instrument.urgency);
        let least = instrument.offers.iter().map(|offer| self.most_for(offer)).max().unwrap_or(0);
        let cheapest = instrument.offers.iter().map(|offer| offer.reserved).min().unwrap_or(0);
        if cheapest > least {
            format!("It takes at least {}, and there is less than that for it.", self.money(cheapest))
        } else if helped == 0 {
            "The money goes to graver ones first.".to_owned()
        } else {
            format!("The money reaches {helped} of {all} at this step{}.", self.instead_words(candidate))
        }
    }

    /// What the best plan with this instrument would be worse by, going on from a sentence.
    fn instead_words(&self, candidate: usize) -> String {
        let total = &self.allotted.total;
        let instead = self.allotted.further.instead.iter().find(|(at, _)| *at == candidate);
        let Some((_, Some(with))) = instead else {
            return ", and no plan with this one would be better".to_owned();
        };
        let differs = total.helped.iter().zip(&with.helped).position(|(here, there)| here != there);
        if let Some(step) = differs {
            let words = self.batch.steps.get(step).map(|step| plain(&self.book[*step].words)).unwrap_or_default();
            let (less, here) = (with.helped[step], total.helped[step]);
            return format!("; with this one {less}, not {here}, would be helped at \u{201c}{words}\u{201d}");
        }
        if with.saving != total.saving {
            return format!("; with this one {} less would be saved", self.money(total.saving - with.saving));
        }
        match with.reserved - total.reserved {
            0 => "; with this one all would come to the same, and the order of the marks decides".to_owned(),
            more => format!("; with this one {} more would be spent", self.money(more)),
        }
    }

    /// All the money that an offer's fund could draw on.
    fn most_for(&self, offer: &Offer) -> i64 {
        let purses = self.budget.purses();
        let own = purses.funds.get(offer.aid.index()).copied().flatten();
        [own, purses.total].into_iter().flatten().min().unwrap_or(i64::MAX)
    }

    /// How much more would include an instrument.
    pub fn reach_words(&self, reach: &Reach) -> String {
        let fund = reach.fund.map(|fund| format!(" for \u{201c}{}\u{201d}", plain(&self.book[fund].words)));
        let fund = fund.filter(|_| self.book.aids.len() > 1).unwrap_or_default();
        let (most, less) = if reach.exact { ("", ", and with a little less not") } else { (" at the most", "") };
        format!("With {} more{fund}{most} it would be helped{less}.", self.money(reach.more))
    }

    /// Why no fund is for an instrument, one reason a line.
    pub fn why_refused(&self, instrument: &Instrument) -> Vec<String> {
        let reasons = match &instrument.standing {
            Standing::Refused(reasons) => reasons.as_slice(),
            _ => &[],
        };
        let several = self.book.aids.len() > 1;
        let reason = |(aid, why): &(AidId, Unaided)| match several {
            true => format!("{}: {}", plain(&self.book[*aid].words), unaided_words(*why)),
            false => unaided_words(*why).to_owned(),
        };
        reasons.iter().map(reason).collect()
    }

    /// The ways that are not the textbook's: of each the finding's words and the way's.
    pub fn way_words(&self, offer: &Offer) -> Option<String> {
        let words = offer.ways.iter().filter_map(|(finding, way)| {
            let finding = &self.book[*finding];
            finding.ways.get(*way).map(|way| format!("{}: {}", plain(&finding.words), plain(&way.words)))
        });
        let words: Vec<String> = words.collect();
        (!words.is_empty()).then(|| words.join("; "))
    }
}
