//! What can come out differently, each with a record that shows it, and what is proved to come out the same.

use std::sync::Arc;

use purfle_lang::book::{AidWord, Book, RecordEntry, StateWord};
use purfle_lang::compare::{
    BeyondClaim, Both, FindingClaims, Kind, Known, Pair, SameFigures, SumCounsel, Weighing, WholeClaim, beside, same_figures,
};
use purfle_lang::number::Number;
use purfle_lang::saying::entries;

use super::as_read::as_read;
use super::joined::{Borders, joined};
use super::replay::{Books, Named, Replay, Seen, aid, aid_differs, counsel, dearer};
use super::view::{BesideView, BeyondView, FigureView, FindingView, LookView, ProvenView, WayView};
use super::words::{self, figure};
use crate::judge::Judge;
use crate::outcome::Outcome;
use crate::report::{place_name, sum};
use crate::witness::{Shown, as_records};

/// The day of a record that shows by when something is to be seen to: 2026-03-02.
const SOME_DAY: i64 = 20_514;

/// The most findings that are tried for a record that shows a difference in a sum.
const MOST_TRIED: usize = 1_000;

/// The most records that are put together with others.
const MOST_JOINED: usize = 16;

/// The most findings of which records are put together to reach a sum.
const MOST_COSTING: usize = 100;

/// The most records that are judged so.
const MOST_TRIALS: usize = 60;

/// What can come out differently between two rulebooks; none where their looks are cut too finely together.
pub fn proven(old: &mut Judge, new: &mut Judge) -> Option<ProvenView> {
    let (before, after) = (Arc::clone(&old.plan().book), Arc::clone(&new.plan().book));
    let both = Both::new(&before, &after);
    let weighing = Weighing::new(&both)?;
    let (claims, whole) = (weighing.findings(), weighing.whole());
    let same = same_figures(&weighing, &claims, &whole);
    let books = Books { old: &before, new: &after };
    let mut proving = Proving {
        replay: Replay { old, new, both: &both.book, guarded: &both.guarded },
        books,
        both: &both,
        weighing: &weighing,
        witnesses: Vec::new(),
        marks: 0,
    };
    let findings: Vec<FindingView> = claims.iter().map(|claims| proving.finding(claims)).collect();
    let mut outcome = proving.whole(&whole);
    outcome.extend(proving.figures(&same));
    let mut looks = super::looks::looks(books);
    for claim in weighing.beyond(&claims) {
        proving.beyond(&claim, &mut looks);
    }
    let differ = |finding: &&FindingView| finding.ways.iter().any(|way| way.known == "can");
    let can = findings.iter().filter(differ).count();
    Some(ProvenView {
        can,
        not_decided: findings.len() - can,
        same: both.pairs.len() - findings.len(),
        looks,
        applies: both.guarded.iter().map(|look| both.book.look_path(*look)).collect(),
        readings: super::looks::readings(books),
        apart: both.apart.iter().map(|look| both.book.look_path(*look)).collect(),
        findings,
        outcome,
        beside: beside(&both).into_iter().map(BesideView::new).collect(),
    })
}

struct Proving<'a> {
    replay: Replay<'a>,
    books: Books<'a>,
    both: &'a Both<'a>,
    weighing: &'a Weighing<'a>,
    /// Records that showed a difference so far.
    witnesses: Vec<Vec<RecordEntry>>,
    marks: usize,
}

impl Proving<'_> {
    fn finding(&mut self, claims: &FindingClaims) -> FindingView {
        let pair = &self.both.pairs[claims.pair];
        let named = Named { old: pair.old.map(|(own, _)| own), new: pair.new.map(|(own, _)| own) };
        let ways = claims.ways.iter().map(|(kind, known)| self.way(pair, named, *kind, known)).collect();
        FindingView { finding: pair.name.clone(), ways }
    }

    fn way(&mut self, pair: &Pair, named: Named, kind: Kind, known: &Known) -> WayView {
        let way = words::kind(kind);
        let (case, record) = match known {
            Known::Case { case, claim } => (Some(case), self.weighing.record(case, claim)),
            // What no question about cases could decide, a record in which it holds may show.
            Known::NotDecided | Known::Never => (None, self.weighing.showing(pair)),
        };
        let Some(record) = record else { return WayView::open(way) };
        let mut with_rest = record.clone();
        with_rest.push(RecordEntry::RestGood);
        for record in [record, with_rest] {
            let Some(seen) = self.replay.judge(&record) else { continue };
            let told = |books: &Books<'_>, seen: &Seen| way_told(books, seen, named, kind);
            let Some((record, seen, told)) = as_read(&mut self.replay, &self.books, (record, seen), &told) else { continue };
            self.witnesses.push(record.clone());
            // Where all is seen, a sum comes out in one way, and its difference with it.
            self.witnesses.extend(case.map(|case| self.weighing.full_record(case)));
            return self.shown(way, &record, &seen, told);
        }
        WayView::open(way)
    }

    /// A finding that can be found only with what one of the two alone takes of a look: told with that look.
    fn beyond(&mut self, claim: &BeyondClaim, looks: &mut Vec<LookView>) {
        let pair = &self.both.pairs[claim.pair];
        let (book, own) = if claim.by_new { (self.books.new, pair.new) } else { (self.books.old, pair.old) };
        let way = words::kind(if claim.by_new { Kind::Found } else { Kind::NotFound });
        let (Some(look), Some((own, _))) = (claim.look, own) else { return };
        let path = self.both.book.look_path(look);
        let mut view = WayView::open(way);
        if let Known::Case { case, claim: node } = &claim.known
            && let Some(record) = self.weighing.record(case, node)
            && let Some(outcome) = self.replay.by_one(&record, claim.by_new)
            && let Some(judged) = outcome.findings.iter().find(|judged| judged.finding == own && judged.state == StateWord::Found)
        {
            let place = place_name(book, book[own].on, judged.at);
            let found = words::finding(book, Some(own), Some(judged), &place);
            let refused = format!("{path}: it does not take that");
            let told = if claim.by_new { (refused, found) } else { (found, refused) };
            view = self.with_record(way, &record, Vec::new(), told);
        }
        let finding = BeyondView { finding: pair.name.clone(), way: view };
        match looks.iter_mut().find(|known| known.look == path) {
            Some(known) => known.findings.push(finding),
            None => looks.push(LookView { look: path, says: "takes something else".to_owned(), findings: vec![finding] }),
        }
    }

    /// A way that a record shows.
    fn shown(&mut self, way: &'static str, record: &[RecordEntry], seen: &Seen, told: (String, String)) -> WayView {
        self.with_record(way, record, seen.left_out.clone(), told)
    }

    fn with_record(
        &mut self,
        way: &'static str,
        record: &[RecordEntry],
        left_out: Vec<String>,
        (before, after): (String, String),
    ) -> WayView {
        self.marks += 1;
        let fields = as_records(self.replay.both, record, &format!("weigh-{}", self.marks));
        let (record_fields, last) = fields.map_or((None, None), |Shown { record, before }| (Some(record), before));
        WayView {
            way,
            known: "can",
            example: Some(entries(self.replay.both, record)),
            record: record_fields,
            last,
            left_out,
            before: Some(before),
            after: Some(after),
        }
    }

    /// How soon, by whose hands, whether it may be played, and counsels.
    fn whole(&mut self, claims: &[WholeClaim]) -> Vec<FigureView> {
        let mut figures: Vec<FigureView> = ["urgency", "hands", "played"].into_iter().map(FigureView::same).collect();
        for claim in claims {
            let (name, way) = words::whole(&claim.way);
            let view = self.whole_way(way, claim);
            let at = figures.iter().position(|figure| figure.figure == name).unwrap_or_else(|| {
                figures.push(FigureView::same(&name));
                figures.len() - 1
            });
            figures[at].ways.push(view);
        }
        figures.iter_mut().for_each(FigureView::settle);
        figures
    }

    fn whole_way(&mut self, way: &'static str, claim: &WholeClaim) -> WayView {
        let Known::Case { case, .. } = &claim.known else { return self.by_luck(way, claim) };
        let reason = claim.reason.as_ref().and_then(|reason| self.weighing.record(case, reason));
        let with_rest = reason.clone().map(|mut record| {
            record.push(RecordEntry::RestGood);
            record
        });
        for record in with_rest.into_iter().chain(reason) {
            if let Some(view) = self.whole_shown(way, claim, &record) {
                return view;
            }
        }
        // All that is seen in the case: long, so it is made short once it shows the difference.
        let mut record = self.weighing.full_record(case);
        record.push(RecordEntry::RestGood);
        self.whole_shown(way, claim, &record).unwrap_or_else(|| WayView::open(way))
    }

    /// What no question about cases could decide: a record that showed something else may show it too.
    fn by_luck(&mut self, way: &'static str, claim: &WholeClaim) -> WayView {
        for record in self.with_the_rest() {
            if let Some(view) = self.whole_shown(way, claim, &record) {
                return view;
            }
        }
        WayView::open(way)
    }

    fn whole_shown(&mut self, way: &'static str, claim: &WholeClaim, record: &[RecordEntry]) -> Option<WayView> {
        let (record, seen) = self.shortened(record, &|books, seen| books.whole_differs(seen, &claim.way))?;
        let told = |books: &Books<'_>, seen: &Seen| {
            Some((words::outcome(books.old, &seen.old, &claim.way), words::outcome(books.new, &seen.new, &claim.way)))
        };
        let (record, seen, told) = as_read(&mut self.replay, &self.books, (record, seen), &told)?;
        self.witnesses.push(record.clone());
        Some(self.shown(way, &record, &seen, told))
    }

    /// A record without what it need not say to show a difference, and what comes of it; none where it does not show it.
    fn shortened(&mut self, record: &[RecordEntry], shows: &Shows<'_>) -> Option<(Vec<RecordEntry>, Seen)> {
        let mut seen = self.replay.judge(record).filter(|seen| shows(&self.books, seen))?;
        let mut record = record.to_vec();
        let mut piece = record.len().div_ceil(2);
        loop {
            let mut at = 0;
            while at < record.len() {
                let to = (at + piece).min(record.len());
                let stays = |entry: &RecordEntry| matches!(entry, RecordEntry::RestGood);
                let pieces = record[at..to].iter().filter(|entry| stays(entry));
                let fewer: Vec<RecordEntry> = record[..at].iter().chain(pieces).chain(&record[to..]).cloned().collect();
                let shorter = (fewer.len() < record.len()).then(|| self.replay.judge(&fewer)).flatten();
                match shorter.filter(|seen| shows(&self.books, seen)) {
                    Some(still) => (record, seen) = (fewer, still),
                    None => at = to,
                }
            }
            if piece <= 1 {
                return Some((record, seen));
            }
            piece = piece.div_ceil(2);
        }
    }

    /// The records that showed a difference, with all that they do not speak of good.
    fn with_the_rest(&self) -> Vec<Vec<RecordEntry>> {
        let mut all: Vec<Vec<RecordEntry>> = Vec::new();
        for record in &self.witnesses {
            let mut record = record.clone();
            if !record.iter().any(|entry| matches!(entry, RecordEntry::RestGood)) {
                record.push(RecordEntry::RestGood);
            }
            all.push(record);
        }
        all
    }

    /// Costs, funds, counsels that ask for totals, and days: the same where that is proved, else what a record shows.
    fn figures(&mut self, same: &SameFigures) -> Vec<FigureView> {
        let mut wanted: Vec<Wanted> = Vec::new();
        let mut figures = Vec::new();
        let sums = [("cost", same.cost, figure::cost as Told), ("left", same.left, figure::left as Told)];
        for (name, proved, told) in sums {
            let of = move |outcome: &Outcome| if name == "cost" { outcome.cost } else { outcome.left };
            if proved.same() {
                figures.push(FigureView::same(name));
            }
            if !proved.never_dearer {
                wanted.push(Wanted {
                    name: name.to_owned(),
                    way: "dearer",
                    told: Box::new(told),
                    differs: Box::new(move |_, seen| dearer(&of(&seen.old), &of(&seen.new))),
                    settled: Box::new(move |_, seen| of(&seen.new).from > of(&seen.old).to),
                    by_sums: false,
                    view: None,
                });
            }
            if !proved.never_cheaper {
                wanted.push(Wanted {
                    name: name.to_owned(),
                    way: "cheaper",
                    told: Box::new(told),
                    differs: Box::new(move |_, seen| dearer(&of(&seen.new), &of(&seen.old))),
                    settled: Box::new(move |_, seen| of(&seen.new).to < of(&seen.old).from),
                    by_sums: false,
                    view: None,
                });
            }
        }
        if same.cost.same() && same.tiers {
            figures.push(FigureView::same("tier"));
        } else {
            wanted.push(Wanted::another("tier", figure::tier, |outcome| {
                outcome.tier.from == outcome.tier.to && outcome.left_tier.from == outcome.left_tier.to
            }));
        }
        if same.when {
            figures.push(FigureView::same("due"));
        } else {
            wanted.push(Wanted::another("due", figure::due, |outcome| outcome.due.from == outcome.due.to));
        }
        for name in &same.aids {
            let (one, other) = (name.clone(), name.clone());
            let told = move |book: &Book, outcome: &Outcome| figure::aid(book, aid(book, outcome, &one));
            let differs = move |books: &Books<'_>, seen: &Seen| {
                aid_differs(aid(books.old, &seen.old, &other), aid(books.new, &seen.new, &other))
            };
            wanted.push(Wanted {
                name: format!("aid {name}"),
                way: "another",
                told: Box::new(told),
                differs: Box::new(differs),
                settled: Box::new(|_, seen| {
                    [&seen.old, &seen.new].iter().all(|outcome| outcome.aid.iter().all(|aid| aid.state != AidWord::Open))
                }),
                by_sums: true,
                view: None,
            });
        }
        for SumCounsel { name, .. } in &same.counsels {
            let (one, other, third) = (name.clone(), name.clone(), name.clone());
            let told = move |book: &Book, outcome: &Outcome| figure::counsel(counsel(book, outcome, &one));
            let differs = move |books: &Books<'_>, seen: &Seen| {
                counsel(books.old, &seen.old, &other) != counsel(books.new, &seen.new, &other)
            };
            wanted.push(Wanted {
                name: format!("counsel {name}"),
                way: "another",
                told: Box::new(told),
                differs: Box::new(differs),
                settled: Box::new(move |books, seen| {
                    let open = |book: &Book, outcome: &Outcome| counsel(book, outcome, &third) == Some(StateWord::Open);
                    !open(books.old, &seen.old) && !open(books.new, &seen.new)
                }),
                by_sums: true,
                view: None,
            });
        }
        let dated = |mut record: Vec<RecordEntry>| {
            if !record.iter().any(|entry| matches!(entry, RecordEntry::InspectedOn(_))) {
                record.push(RecordEntry::InspectedOn(SOME_DAY));
            }
            record
        };
        // First what is certain on both sides; what is not is better than nothing.
        let tried: Vec<Vec<RecordEntry>> = self.with_the_rest().into_iter().map(dated).collect();
        self.try_all(&mut wanted, tried.clone(), true);
        self.try_all(&mut wanted, tried, false);
        for case in same.counsels.iter().flat_map(|counsel| &counsel.cases) {
            let mut record = self.weighing.full_record(case);
            record.push(RecordEntry::RestGood);
            self.try_all(&mut wanted, vec![dated(record)], false);
        }
        // What no witness shows, a record of any single finding may.
        for pair in self.both.pairs.iter().take(MOST_TRIED) {
            if wanted.iter().all(|wanted| wanted.view.is_some()) {
                break;
            }
            if let Some(mut record) = self.weighing.showing(pair) {
                record.push(RecordEntry::RestGood);
                self.try_all(&mut wanted, vec![dated(record)], false);
            }
        }
        self.try_joined(&mut wanted, &dated);
        for Wanted { name, way, view, .. } in wanted {
            let view = view.unwrap_or_else(|| WayView::open(way));
            match figures.iter_mut().find(|figure| figure.figure == name) {
                Some(figure) => figure.ways.push(view),
                None => figures.push(FigureView { figure: name, known: "same", ways: vec![view] }),
            }
        }
        figures.iter_mut().for_each(FigureView::settle);
        figures
    }

    /// What no difference shows by itself, two together may, or one at the very sum that a counsel or a fund asks for.
    fn try_joined(&mut self, wanted: &mut [Wanted], dated: &dyn Fn(Vec<RecordEntry>) -> Vec<RecordEntry>) {
        if wanted.iter().all(|wanted| wanted.view.is_some()) {
            return;
        }
        let borders = Borders::of(self.replay.both, [self.books.old, self.books.new]);
        let mut singles: Vec<Vec<RecordEntry>> = self.with_the_rest().into_iter().map(dated).collect();
        singles.sort_by_key(Vec::len);
        singles.truncate(MOST_JOINED);
        let mut others = singles.clone();
        for pair in self.both.pairs.iter().take(MOST_JOINED) {
            if let Some(mut record) = self.weighing.showing(pair) {
                record.push(RecordEntry::RestGood);
                others.push(record);
            }
        }
        let by_sums = |wanted: &[Wanted]| wanted.iter().any(|wanted| wanted.view.is_none() && wanted.by_sums);
        if by_sums(wanted) && borders.has_limits() {
            let reaching = borders.reaching(&self.costing());
            self.try_all(wanted, reaching.into_iter().map(dated).collect(), false);
        }
        let pairs = singles.iter().enumerate().flat_map(|(at, one)| others[at + 1..].iter().map(|other| joined(one, other)));
        let records: Vec<Vec<RecordEntry>> = singles.iter().cloned().chain(pairs).collect();
        let mut trials = MOST_TRIALS;
        for record in records {
            let sums = by_sums(wanted);
            if trials == 0 || wanted.iter().all(|wanted| wanted.view.is_some()) {
                return;
            }
            let seen = if sums { self.replay.judge(&record) } else { None };
            let mut tried = vec![record];
            if let Some(seen) = seen {
                tried.extend(borders.between(self.replay.both, &tried[0], &seen));
            }
            trials = trials.saturating_sub(tried.len());
            self.try_all(wanted, tried, false);
        }
    }

    /// Records of single findings, the rest good, each with what it costs by the old rulebook.
    fn costing(&mut self) -> Vec<(Vec<RecordEntry>, [Number; 2])> {
        let mut costing: Vec<(Vec<RecordEntry>, [Number; 2])> = Vec::new();
        for pair in self.both.pairs.iter().take(MOST_COSTING) {
            let Some(mut record) = self.weighing.showing(pair) else { continue };
            record.push(RecordEntry::RestGood);
            let Some(seen) = self.replay.judge(&record) else { continue };
            costing.push((record, [seen.old.cost.from, seen.old.cost.to]));
        }
        costing
    }

    /// Tries records for the differences that are still wanted; `certain` takes only what both outcomes are certain of.
    fn try_all(&mut self, wanted: &mut [Wanted], records: Vec<Vec<RecordEntry>>, certain: bool) {
        for record in records {
            if wanted.iter().all(|wanted| wanted.view.is_some()) {
                return;
            }
            let Some(seen) = self.replay.judge(&record) else { continue };
            for wanted in wanted.iter_mut().filter(|wanted| wanted.view.is_none()) {
                let shows =
                    |books: &Books<'_>, seen: &Seen| (wanted.differs)(books, seen) && (!certain || (wanted.settled)(books, seen));
                if shows(&self.books, &seen) {
                    let Some((record, seen)) = self.shortened(&record, &shows) else { continue };
                    let told = |books: &Books<'_>, seen: &Seen| {
                        Some(((wanted.told)(books.old, &seen.old), (wanted.told)(books.new, &seen.new)))
                    };
                    let Some((record, seen, told)) = as_read(&mut self.replay, &self.books, (record, seen), &told) else {
                        continue;
                    };
                    wanted.view = Some(self.shown(wanted.way, &record, &seen, told));
                }
            }
        }
    }
}

/// What there is to tell of a finding that comes out differently, by the one and by the other.
fn way_told(books: &Books<'_>, seen: &Seen, named: Named, kind: Kind) -> Option<(String, String)> {
    let at = books.differs(seen, named, kind)?;
    Some(match (kind, at.old, at.new) {
        (Kind::Dearer | Kind::Cheaper | Kind::OnSight, Some(old), Some(new)) => {
            (sum(books.old, &old.cost), sum(books.new, &new.cost))
        }
        _ => (words::finding(books.old, named.old, at.old, &at.place), words::finding(books.new, named.new, at.new, &at.place)),
    })
}

/// Whether a difference shows.
type Shows<'s> = dyn Fn(&Books<'_>, &Seen) -> bool + 's;

/// What a figure says of an outcome, with what it is told by.
type Tells = dyn Fn(&Book, &Outcome) -> String;

/// What a figure says of an outcome.
type Told = fn(&Book, &Outcome) -> String;

/// A difference in a figure that is looked for.
struct Wanted {
    name: String,
    way: &'static str,
    told: Box<Tells>,
    differs: Box<Shows<'static>>,
    /// Whether both outcomes are certain of it.
    settled: Box<Shows<'static>>,
    /// Whether it asks what a sum comes to beside what the record says that something is worth.
    by_sums: bool,
    view: Option<WayView>,
}

impl Wanted {
    /// That what is told of an outcome is another. `one` says whether an outcome is certain of it.
    fn another(name: &str, told: Told, one: fn(&Outcome) -> bool) -> Self {
        Self {
            name: name.to_owned(),
            way: "another",
            told: Box::new(told),
            differs: Box::new(move |books, seen| told(books.old, &seen.old) != told(books.new, &seen.new)),
            settled: Box::new(move |_, seen| one(&seen.old) && one(&seen.new)),
            by_sums: false,
            view: None,
        }
    }
}
