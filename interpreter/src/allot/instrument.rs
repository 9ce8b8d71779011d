//! An instrument of the batch, with what the funds offer for it.

use purfle_lang::book::{AidId, AidWord, Book, FindingId, LookId, PartId, PlayedWord, StateWord, StepId};
use purfle_lang::number::Number;

use crate::outcome::{AidOutcome, At, Figure, Outcome, Unaided};
use crate::record::Record;
use crate::report::{Brief, Gravity, minor};

/// An instrument: the newest of its records.
#[derive(Debug, Clone)]
pub struct Instrument {
    /// Its place in the order read, from 1.
    pub number: u64,
    /// The inspection's mark.
    pub record: String,
    /// The instrument's own.
    pub tag: Option<String>,
    /// The day of the inspection, as a day number.
    pub inspected_on: Option<i64>,
    /// Its urgency as far as that is certain.
    pub urgency: StepId,
    /// Whether it may be played, and whether pieces that stand apart may be used where that is not sure.
    pub played: (PlayedWord, Vec<(PartId, PlayedWord)>),
    /// Its place in the order of work; greater comes first.
    pub gravity: Gravity,
    /// The gravest finding that is found, or else suspected.
    pub gravest: Option<(FindingId, StateWord)>,
    /// Whether anything is to be paid for at all.
    pub costs: bool,
    /// Whether the shop has named its price.
    pub quoted: bool,
    /// What it costs if it is left, least and most, in the minor unit, by the textbook.
    pub left: (i128, i128),
    /// Whether that leaves something out.
    pub left_more: bool,
    /// What funds would surely pay for, the textbook way first.
    pub offers: Vec<Offer>,
    /// Why nobody pays, where there are no offers.
    pub standing: Standing,
    /// Whether findings can be mended in more ways together than were weighed.
    pub more_ways: bool,
}

/// What one fund would pay for one way to mend it. All sums are in the minor unit, as printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// The fund.
    pub aid: AidId,
    /// The findings that are mended otherwise than by the textbook, each with which of its ways that is.
    pub ways: Vec<(FindingId, usize)>,
    /// The most the fund can have to pay: so much is reserved.
    pub reserved: i64,
    /// The least it will have to pay.
    pub likely: i64,
    /// The most it will have to pay of what is known to be paid for.
    pub known: i64,
    /// What all the work costs, least and most.
    pub cost: (i128, i128),
    /// What it costs if it is left, least and most: by this way, or by the textbook where that is less.
    pub left: (i128, i128),
    /// What is surely saved by not leaving it.
    pub saving: i64,
    /// Whether there is more to pay than can be told.
    pub more: bool,
    /// Whether the shop's own price was taken.
    pub quoted: bool,
}

impl Offer {
    /// What the family pays of what is known to be paid for, least and most.
    pub fn family(&self) -> (i128, i128) {
        let least = (self.cost.0 - i128::from(self.likely)).max(0);
        (least, (self.cost.1 - i128::from(self.known)).max(least))
    }
}

/// Where an instrument without offers stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    /// Funds offer something.
    Offered,
    /// A fund may pay once something is settled.
    Open {
        /// What is needed and was not answered.
        missing: Vec<LookId>,
        /// Other looks that can still settle it.
        looks: Vec<(LookId, At)>,
        /// The most that may be paid.
        most: i64,
    },
    /// A fund would pay, but how much is known only on sight, and it has no cap.
    OnSight,
    /// A fund is for it, but its share comes to nothing.
    NoShare,
    /// No fund is for it: each with why.
    Refused(Vec<(AidId, Unaided)>),
}

impl Instrument {
    /// An instrument by its outcome under the rulebook as it is.
    pub fn of(book: &Book, record: &Record, outcome: &Outcome) -> Self {
        let brief = Brief::of(book, record, outcome);
        let mut instrument = Self {
            number: 0,
            record: record.id.clone(),
            tag: record.tag.clone(),
            inspected_on: record.inspected_on,
            urgency: outcome.urgency.from,
            played: (outcome.played, outcome.apart.clone()),
            gravity: brief.gravity(),
            gravest: brief.gravest,
            costs: outcome.cost.to != Number::from_integer(0) || outcome.cost.and_more || outcome.quoted.is_some(),
            quoted: outcome.quoted.is_some(),
            left: whole(book, (outcome.left.from, outcome.left.to)),
            left_more: outcome.left.and_more || outcome.left.or_more,
            offers: Vec::new(),
            standing: Standing::Offered,
            more_ways: false,
        };
        instrument.take(book, outcome, &[]);
        instrument.standing = standing(book, outcome, &instrument.offers);
        instrument
    }

    /// Takes what funds offer for some ways.
    pub fn take(&mut self, book: &Book, outcome: &Outcome, ways: &[(FindingId, usize)]) {
        self.offers.extend(outcome.aid.iter().filter(|aid| aid.state == AidWord::Eligible).filter_map(|aid| {
            let small = |number: Number| i64::try_from(minor(number, book.money.minor_places())).ok();
            let (mut reserved, likely) = (small(aid.pays.to)?, small(aid.pays.from)?);
            // Of what shows only later the fund may have to pay its share, up to what bounds it.
            let shows_later = outcome.quoted.is_none() && outcome.cost.or_more;
            if aid.and_more || shows_later {
                reserved = reserved.max(small(aid.bound?)?);
            }
            let known = small(aid.known)?;
            let more = open_ended(outcome);
            let quoted = outcome.quoted;
            let worked_out = whole(book, (outcome.cost.from, outcome.cost.to));
            // What is left may be mended by the textbook later: a dearer way saves nothing by being dear.
            let left = whole(book, (outcome.left.from, outcome.left.to));
            let left = (left.0.min(self.left.0), left.1.min(self.left.1));
            let cost = quoted.map_or(worked_out, |quoted| whole(book, (quoted, quoted)));
            // The same prices stand in both, so low is held against low and high against high. The shop's own price would stand
            // in both as well: that it is low saves nothing of itself.
            let less = |cost: (i128, i128)| (left.0 - cost.0).min(left.1 - cost.1);
            let saving = less(worked_out).min(less(cost)).max(0);
            let saving = i64::try_from(saving).ok()?;
            (reserved > 0).then_some(Offer {
                aid: aid.aid,
                ways: ways.to_vec(),
                reserved,
                likely,
                known,
                cost,
                left,
                saving,
                more,
                quoted: quoted.is_some(),
            })
        }));
    }

    /// The offers a plan may choose from: of those that mend several findings otherwise only such as no other of the same fund
    /// beats, which takes no more and saves no less. The standing follows from whether there are any.
    pub fn settle(&mut self) {
        let all = self.offers.clone();
        let mut at = 0;
        self.offers.retain(|offer| {
            at += 1;
            let beaten = |(place, other): (usize, &Offer)| {
                let no_worse = other.aid == offer.aid && other.reserved <= offer.reserved && other.saving >= offer.saving;
                // Of two that come to the same the one with fewer findings mended otherwise stands first, and stays.
                no_worse && (place + 1 < at || other.reserved < offer.reserved || other.saving > offer.saving)
            };
            offer.ways.len() < 2 || !all.iter().enumerate().any(beaten)
        });
        if !self.offers.is_empty() {
            self.standing = Standing::Offered;
        }
    }

    /// The offer that is taken where nobody weighs ways: the textbook's, or else the first.
    pub fn textbook(&self) -> impl Iterator<Item = (usize, &Offer)> {
        let ways = self.offers.first().map(|offer| offer.ways.as_slice());
        self.offers.iter().enumerate().filter(move |(_, offer)| Some(offer.ways.as_slice()) == ways)
    }
}

/// Sums as printed.
fn whole(book: &Book, (from, to): (Number, Number)) -> (i128, i128) {
    (minor(from, book.money.minor_places()), minor(to, book.money.minor_places()))
}

/// Whether the figures leave out something that only shows on sight or in places that nobody looked at.
fn open_ended(outcome: &Outcome) -> bool {
    outcome.quoted.is_none() && (outcome.cost.and_more || outcome.cost.or_more)
}

fn standing(book: &Book, outcome: &Outcome, offers: &[Offer]) -> Standing {
    if !offers.is_empty() {
        return Standing::Offered;
    }
    let eligible = || outcome.aid.iter().filter(|aid| aid.state == AidWord::Eligible);
    let open = || outcome.aid.iter().filter(|aid| aid.state == AidWord::Open);
    // Once the shop has named its price, such a fund may pay.
    let on_sight = |aid: &AidOutcome| aid.and_more && aid.missing.is_empty();
    if open_ended(outcome) && (eligible().any(|aid| aid.bound.is_none()) || open().any(on_sight)) {
        return Standing::OnSight;
    }
    if open().next().is_some() {
        let mut missing: Vec<LookId> = Vec::new();
        for look in open().flat_map(|aid| &aid.missing) {
            if !missing.contains(look) {
                missing.push(*look);
            }
        }
        let settles = outcome.looks.iter().filter(|next| next.can.iter().any(|figure| figure == Figure::Aid));
        let looks = settles.map(|next| (next.look, next.at)).filter(|(look, _)| !missing.contains(look)).collect();
        let most = open().filter_map(|aid| i64::try_from(minor(aid.pays.to, book.money.minor_places())).ok()).max();
        return Standing::Open { missing, looks, most: most.unwrap_or(0) };
    }
    if eligible().next().is_some() {
        return Standing::NoShare;
    }
    Standing::Refused(outcome.aid.iter().filter_map(|aid| aid.why.map(|why| (aid.aid, why))).collect())
}
