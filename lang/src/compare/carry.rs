//! One book's conditions and values in the terms of another: what both have under one name and with one meaning becomes
//! one thing, and everything else is added beside it.

mod guards;

use crate::book::{
    Book, Choice, Condition, Finding, FindingId, Good, Look, LookAt, LookId, LookKind, Part, PartId, Place, PlaceAt, Places,
    Reckon, ReckonId, Row, RowKey, StepId, Table, TableId, TableKey, Test, UrgencyLine, Value,
};
use crate::number::Number;
use crate::span::Span;

use super::guarded::Guarded;

/// A book on its way into another.
pub(super) struct Carry<'a> {
    /// The book that is carried.
    from: &'a Book,
    /// The other, with what was carried so far.
    pub book: Book,
    /// The step of each step of the ladder.
    steps: Vec<StepId>,
    parts: Vec<Option<PartId>>,
    looks: Vec<Option<LookId>>,
    /// The choices of each look, by index, in the other.
    choices: Vec<Vec<usize>>,
    tables: Vec<Option<TableId>>,
    reckons: Vec<Option<ReckonId>>,
    /// The finding that holds as each does.
    holding: Vec<Option<FindingId>>,
    /// What a record of one of the two may say of a look and one of the other may not.
    pub outside: Vec<Outside>,
    /// Looks of one name that are not the same: they apply by something else, or ask something else.
    pub apart: Vec<LookId>,
    /// Looks, parts and places that are taken as one although they apply in other cases.
    guarded: &'a Guarded,
    /// Looks that do not apply while a test is carried, so that only rows of `any` are there for them.
    absent: Vec<LookAt>,
    /// Whether a test of such a look cannot be written so that it says when that applies.
    pub unsaid: bool,
}

/// What one of two looks that are taken as one takes, and the other does not.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Outside {
    /// The look.
    pub look: LookId,
    /// Whether it is the carried one that takes it.
    pub carried: bool,
    /// What it is.
    pub what: Beyond,
}

/// What one of two looks takes and the other does not.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Beyond {
    /// Choices.
    Choices(Vec<usize>),
    /// Numbers below this.
    Below(Number),
    /// Numbers above this.
    Above(Number),
}

impl<'a> Carry<'a> {
    /// Nothing carried yet. `steps` are those of the carried book's ladder in the other.
    pub fn new(from: &'a Book, into: Book, steps: Vec<StepId>, guarded: &'a Guarded) -> Self {
        Self {
            guarded,
            absent: Vec::new(),
            unsaid: false,
            from,
            book: into,
            steps,
            parts: vec![None; from.parts.len()],
            looks: vec![None; from.looks.len()],
            choices: vec![Vec::new(); from.looks.len()],
            tables: vec![None; from.tables.len()],
            reckons: vec![None; from.reckons.len()],
            holding: vec![None; from.findings.len()],
            outside: Vec::new(),
            apart: Vec::new(),
        }
    }

    /// The book that is carried.
    pub fn from(&self) -> &'a Book {
        self.from
    }

    /// A finding, when it holds: the other's of that name where it holds in the same cases, by how it is written.
    fn holds(&mut self, id: FindingId) -> FindingId {
        if let Some(known) = self.holding[id.index()] {
            return known;
        }
        let finding = &self.from[id];
        let on = self.part(finding.on);
        let mut signs = vec![self.condition(&finding.signs)];
        signs.extend(self.stands(finding));
        let signs = if signs.len() == 1 { signs.swap_remove(0) } else { Condition::All(signs) };
        let unless: Vec<Condition> = finding.unless.iter().map(|unless| self.condition(unless)).collect();
        let carried = Finding { on, signs, unless, urgency: Vec::new(), ..bare(finding) };
        let known = self.book.find_finding(&finding.name).filter(|known| holds_alike(&self.book[*known], &carried));
        let at = known.unwrap_or_else(|| self.add(carried));
        self.holding[id.index()] = Some(at);
        at
    }

    /// A finding, when it holds and how grave it is then, raises taken as lines of its own. A raise may ask for the very
    /// finding that it raises, so this comes after all that asks only when one holds.
    pub fn finding(&mut self, id: FindingId) -> FindingId {
        let at = self.holds(id);
        let lines = lines(self.from, &self.from[id]);
        let urgency: Vec<UrgencyLine> = lines
            .into_iter()
            .map(|(step, when)| {
                let when = when.map(|when| self.condition(&when));
                UrgencyLine { step: self.steps[step.index()], when, span: Span::default() }
            })
            .collect();
        let there = &mut self.book.findings[at.index()];
        if there.urgency.is_empty() {
            there.urgency = urgency;
            return at;
        }
        if as_grave(&there.urgency, &urgency) {
            return at;
        }
        let other = Finding { urgency, ..there.clone() };
        self.add(other)
    }

    fn add(&mut self, finding: Finding) -> FindingId {
        let at = FindingId::from_index(self.book.findings.len());
        self.book.finding_names.entry(finding.name.clone()).or_insert(at);
        self.book.findings.push(finding);
        at
    }

    /// A part: the other's of that name where it has the same places and is there in the same cases.
    pub fn part(&mut self, id: PartId) -> PartId {
        if let Some(known) = self.parts[id.index()] {
            return known;
        }
        let part = &self.from[id];
        let guarded = self.guarded.part(self.from, id);
        let only_when = part.only_when.as_ref().filter(|_| !guarded).map(|when| self.condition(when));
        let guarded = self.guarded.places(self.from, id);
        let mut place = |place: &Place| {
            let only_when = place.only_when.as_ref().filter(|_| !guarded).map(|when| self.condition(when));
            Place { only_when, ..place.clone() }
        };
        let places = match &part.places {
            Places::Fixed(places) => Places::Fixed(places.iter().map(&mut place).collect()),
            other => other.clone(),
        };
        let known = self.book.find_part(&part.name).filter(|known| {
            let there = &self.book[*known];
            there.only_when == only_when && same_places(&there.places, &places)
        });
        let at = known.unwrap_or_else(|| {
            let at = PartId::from_index(self.book.parts.len());
            self.book.part_names.entry(part.name.clone()).or_insert(at);
            self.book.parts.push(Part { only_when, places, looks: Vec::new(), origin: Default::default(), ..part.clone() });
            at
        });
        self.parts[id.index()] = Some(at);
        at
    }

    /// A look: the other's of that name where it asks the same and applies in the same cases.
    pub fn look(&mut self, id: LookId) -> LookId {
        if let Some(known) = self.looks[id.index()] {
            return known;
        }
        let look = &self.from[id];
        let part = self.part(look.part);
        let guarded = self.guarded.look(self.from, id);
        let only_when = look.only_when.as_ref().filter(|_| !guarded).map(|when| self.condition(when));
        let named = self.book.find_look(part, &look.name);
        let known = named.filter(|known| self.book[*known].only_when == only_when && self.joined(*known, id));
        let at = known.unwrap_or_else(|| {
            let at = LookId::from_index(self.book.looks.len());
            let good = match &look.good {
                Some(Good::Range(_)) | None => None,
                good => good.clone(),
            };
            self.book.looks.push(Look { part, only_when, good, origin: Default::default(), ..look.clone() });
            self.book.parts[part.index()].looks.push(at);
            self.choices[id.index()] = (0..look.choices().len().max(2)).collect();
            at
        });
        let elsewhere = self
            .book
            .find_part(&self.from[look.part].name)
            .is_some_and(|other| other != part && self.book.find_look(other, &look.name).is_some());
        if known.is_none() && (named.is_some() || elsewhere) {
            self.apart.push(at);
        }
        self.looks[id.index()] = Some(at);
        at
    }

    /// Widens a look of the other to what the carried one may say as well; false where they ask different things.
    fn joined(&mut self, known: LookId, id: LookId) -> bool {
        let (from, into) = (&self.from[id].kind, &mut self.book.looks[known.index()].kind);
        let whole = |count: i64| Number::from_integer(i128::from(count));
        let mut beyond: Vec<(bool, Beyond)> = Vec::new();
        match (from, into) {
            (LookKind::YesNo, LookKind::YesNo) => self.choices[id.index()] = vec![0, 1],
            (LookKind::OneOf(new), LookKind::OneOf(old)) | (LookKind::SomeOf(new), LookKind::SomeOf(old)) => {
                let before = old.len();
                let place = |old: &mut Vec<Choice>, choice: &Choice| {
                    old.iter().position(|known| known.name == choice.name).unwrap_or_else(|| {
                        old.push(choice.clone());
                        old.len() - 1
                    })
                };
                let places: Vec<usize> = new.iter().map(|choice| place(old, choice)).collect();
                let alone: Vec<usize> = (0..before).filter(|at| !places.contains(at)).collect();
                beyond.push((false, Beyond::Choices(alone)));
                beyond.push((true, Beyond::Choices((before..old.len()).collect())));
                self.choices[id.index()] = places;
            }
            (LookKind::Measured { unit, from, to, .. }, LookKind::Measured { unit: there, from: low, to: high, .. })
                if unit.dimension() == there.dimension() =>
            {
                beyond = ends((*from, *to), (*low, *high));
                (*low, *high) = ((*low).min(*from), (*high).max(*to));
            }
            (LookKind::Priced { from, to }, LookKind::Priced { from: low, to: high }) => {
                beyond = ends((*from, *to), (*low, *high));
                (*low, *high) = ((*low).min(*from), (*high).max(*to));
            }
            (LookKind::Counted { from, to }, LookKind::Counted { from: low, to: high }) => {
                beyond = ends((whole(*from), whole(*to)), (whole(*low), whole(*high)));
                (*low, *high) = ((*low).min(*from), (*high).max(*to));
            }
            (LookKind::Dated, LookKind::Dated) | (LookKind::Written, LookKind::Written) => {}
            _ => return false,
        }
        beyond.retain(|(_, what)| *what != Beyond::Choices(Vec::new()));
        self.outside.extend(beyond.into_iter().map(|(carried, what)| Outside { look: known, carried, what }));
        true
    }

    fn look_at(&mut self, at: LookAt) -> LookAt {
        // Places of a part that is taken as one have the same numbers in both.
        LookAt { look: self.look(at.look), place: at.place }
    }

    fn choices_of(&self, look: LookId, choices: &[usize]) -> Vec<usize> {
        let known = &self.choices[look.index()];
        let mut there: Vec<usize> = choices.iter().filter_map(|choice| known.get(*choice).copied()).collect();
        there.sort_unstable();
        there
    }

    fn plain(&mut self, condition: &Condition) -> Condition {
        let mut all = |inner: &[Condition]| inner.iter().map(|one| self.condition(one)).collect::<Vec<_>>();
        match condition {
            Condition::All(inner) => Condition::All(all(inner)),
            Condition::Any(inner) => Condition::Any(all(inner)),
            Condition::AtLeast(count, inner) => Condition::AtLeast(*count, all(inner)),
            Condition::Not(inner) => Condition::Not(Box::new(self.condition(inner))),
            Condition::Test(test, _) => Condition::Test(self.test(test), Span::default()),
            Condition::Places { count, part, with, .. } => self.places(*count, *part, with),
            Condition::Found(finding, _) => Condition::Found(self.holds(*finding), Span::default()),
        }
    }

    fn test(&mut self, test: &Test) -> Test {
        match test {
            Test::IsOneOf { look, choices, not } => {
                let at = self.look_at(*look);
                Test::IsOneOf { look: at, choices: self.choices_of(look.look, choices), not: *not }
            }
            Test::HasAny { look, choices } => {
                let at = self.look_at(*look);
                Test::HasAny { look: at, choices: self.choices_of(look.look, choices) }
            }
            Test::NoDate { look, not } => Test::NoDate { look: self.look_at(*look), not: *not },
            Test::Compare(comparison, left, right) => Test::Compare(*comparison, self.value(left), self.value(right)),
            Test::Between(value, low, high) => Test::Between(self.value(value), self.value(low), self.value(high)),
            Test::PlaceIs { part, places, not } => Test::PlaceIs { part: self.part(*part), places: places.clone(), not: *not },
            Test::TotalUrgency { .. } | Test::TotalTier { .. } => test.clone(),
        }
    }

    /// A value in the other's terms.
    pub fn value(&mut self, value: &Value) -> Value {
        let mut boxed = |inner: &Value| Box::new(self.value(inner));
        match value {
            Value::Number(_) | Value::Range(..) | Value::Date(_) | Value::InspectedOn | Value::TotalCost => value.clone(),
            Value::Look(at) => Value::Look(self.look_at(*at)),
            Value::Last(at) => Value::Last(self.look_at(*at)),
            Value::Table(table) => Value::Table(self.table(*table)),
            Value::Reckon(reckon) => Value::Reckon(self.reckon(*reckon)),
            Value::Arithmetic(sign, left, right) => Value::Arithmetic(*sign, boxed(left), boxed(right)),
            Value::Negative(inner) => Value::Negative(boxed(inner)),
            Value::Lower(left, right) => Value::Lower(boxed(left), boxed(right)),
            Value::Higher(left, right) => Value::Higher(boxed(left), boxed(right)),
            Value::DaysFrom(left, right) => Value::DaysFrom(boxed(left), boxed(right)),
            Value::Formula(formula, all) => Value::Formula(*formula, all.iter().map(|one| self.value(one)).collect()),
        }
    }

    fn table(&mut self, id: TableId) -> TableId {
        let whole = self.absent.is_empty();
        if let Some(known) = self.tables[id.index()].filter(|_| whole) {
            return known;
        }
        let reduced = (!whole).then(|| self.without_absent(&self.from[id]));
        let table = reduced.as_ref().unwrap_or(&self.from[id]);
        let keys: Vec<TableKey> = table
            .keys
            .iter()
            .map(|key| match key {
                TableKey::Look(at) => TableKey::Look(self.look_at(*at)),
                TableKey::Place(part) => TableKey::Place(self.part(*part)),
            })
            .collect();
        let key = |this: &Self, column: usize, key: RowKey| match (&table.keys[column], key) {
            (TableKey::Look(at), RowKey::Is(choice)) => {
                RowKey::Is(this.choices[at.look.index()].get(choice).copied().unwrap_or(choice))
            }
            (_, key) => key,
        };
        let rows: Vec<Row> = table
            .rows
            .iter()
            .map(|row| Row {
                keys: row.keys.iter().enumerate().map(|(column, of)| key(self, column, *of)).collect(),
                value: self.value(&row.value),
            })
            .collect();
        let known = self
            .book
            .tables
            .iter()
            .position(|known| known.name == table.name && known.keys == keys && same_rows(&known.rows, &rows));
        let at = known.unwrap_or_else(|| {
            self.book.tables.push(Table { keys, rows, origin: Default::default(), ..table.clone() });
            self.book.tables.len() - 1
        });
        let at = TableId::from_index(at);
        if whole {
            self.tables[id.index()] = Some(at);
        }
        at
    }

    fn reckon(&mut self, id: ReckonId) -> ReckonId {
        let whole = self.absent.is_empty();
        if let Some(known) = self.reckons[id.index()].filter(|_| whole) {
            return known;
        }
        let reckon = &self.from[id];
        let value = self.value(&reckon.value);
        let known = self.book.reckons.iter().position(|known| known.name == reckon.name && known.value == value);
        let at = known.unwrap_or_else(|| {
            self.book.reckons.push(Reckon { value, origin: Default::default(), ..reckon.clone() });
            self.book.reckons.len() - 1
        });
        let at = ReckonId::from_index(at);
        if whole {
            self.reckons[id.index()] = Some(at);
        }
        at
    }
}

/// What a carried range takes beyond another, and the other beyond it.
fn ends((from, to): (Number, Number), (low, high): (Number, Number)) -> Vec<(bool, Beyond)> {
    let mut beyond = Vec::new();
    if from != low {
        beyond.push((from < low, Beyond::Below(from.max(low))));
    }
    if to != high {
        beyond.push((to > high, Beyond::Above(to.min(high))));
    }
    beyond
}

/// A look in the terms of the other book.
pub(super) struct CarriedLook {
    at: Option<LookId>,
    give_or_take: Option<Number>,
    good: Option<CarriedGood>,
}

/// What is good of a look, in the terms of the other book.
#[derive(PartialEq)]
enum CarriedGood {
    Choices(Vec<usize>),
    Range(Value),
    NoDate,
}

impl Carry<'_> {
    /// Looks of the other that are taken as one although they apply in other cases.
    pub fn guarded_looks(&self) -> Vec<LookId> {
        let guarded = (0..self.from.looks.len()).filter(|at| self.guarded.look(self.from, LookId::from_index(*at)));
        guarded.filter_map(|at| self.looks[at]).collect()
    }

    /// Every look of the book that is carried, once all of it is.
    pub fn carried_looks(&mut self) -> Vec<CarriedLook> {
        let from = self.from;
        let mut looks = Vec::with_capacity(from.looks.len());
        for (index, look) in from.looks.iter().enumerate() {
            let good = look.good.as_ref().map(|good| match good {
                Good::Choices(choices) => CarriedGood::Choices(self.choices_of(LookId::from_index(index), choices)),
                Good::Range(value) => CarriedGood::Range(self.value(value)),
                Good::NoDate => CarriedGood::NoDate,
            });
            let give_or_take = match &look.kind {
                LookKind::Measured { give_or_take, .. } => *give_or_take,
                _ => None,
            };
            looks.push(CarriedLook { at: self.looks[index], give_or_take, good });
        }
        looks
    }
}

/// Whether the looks that two books have in common are read with the same error and have the same for good.
pub(super) fn alike(one: &[CarriedLook], other: &[CarriedLook]) -> bool {
    let same = |look: &CarriedLook, other: &CarriedLook| look.give_or_take == other.give_or_take && look.good == other.good;
    one.iter().all(|look| other.iter().filter(|other| other.at == look.at).all(|other| same(look, other)))
}

/// Whether rows are the same; their order means nothing.
fn same_rows(one: &[Row], other: &[Row]) -> bool {
    let there = |row: &Row| other.iter().any(|other| other.keys == row.keys && other.value == row.value);
    one.len() == other.len() && one.iter().all(there)
}

pub(super) fn same_places(one: &Places, other: &Places) -> bool {
    match (one, other) {
        (Places::Single, Places::Single) | (Places::AsFound, Places::AsFound) => true,
        (Places::Fixed(one), Places::Fixed(other)) => {
            let same = |(one, other): (&Place, &Place)| one.name == other.name && one.only_when == other.only_when;
            one.len() == other.len() && one.iter().zip(other).all(same)
        }
        _ => false,
    }
}

/// Whether two findings of one book hold in the same cases, by how they are written.
fn holds_alike(one: &Finding, other: &Finding) -> bool {
    (one.on, one.each) == (other.on, other.each) && one.signs == other.signs && one.unless == other.unless
}

/// Whether lines give the same steps, by how they are written.
fn as_grave(one: &[UrgencyLine], other: &[UrgencyLine]) -> bool {
    let same = |(one, other): (&UrgencyLine, &UrgencyLine)| one.step == other.step && one.when == other.when;
    one.len() == other.len() && one.iter().zip(other).all(same)
}

/// A finding's urgency lines and, for each raise that hits it, what they become by it.
pub(super) fn lines(book: &Book, finding: &Finding) -> Vec<(StepId, Option<Condition>)> {
    let mut lines: Vec<(StepId, Option<Condition>)> = finding.urgency.iter().map(|line| (line.step, line.when.clone())).collect();
    for raise in book.raises.iter().filter(|raise| raise.on.contains(&finding.on)) {
        for line in &finding.urgency {
            let to = StepId((line.step.0 + raise.by).min(raise.cap.0).max(line.step.0));
            if to > line.step {
                let when = line.when.iter().cloned().chain([raise.when.clone()]).collect();
                lines.push((to, Some(Condition::All(when))));
            }
        }
    }
    lines
}

/// A finding with nothing but what decides when it holds and how grave it is.
pub(super) fn bare(finding: &Finding) -> Finding {
    Finding {
        cost: Default::default(),
        ways: Vec::new(),
        becomes: Vec::new(),
        yields_to: Vec::new(),
        first: Vec::new(),
        tell: Vec::new(),
        refer: Vec::new(),
        care: Vec::new(),
        basis: Vec::new(),
        origin: Default::default(),
        ..finding.clone()
    }
}

/// The place of a look as a finding at `here` reads it.
pub(super) fn place_at(book: &Book, look: LookId, spot: crate::evaluate::Spot, here: Option<PartId>) -> PlaceAt {
    use crate::book::PlaceId;
    use crate::evaluate::Spot;
    match spot {
        _ if here == Some(book[look].part) => PlaceAt::Here,
        Spot::Fixed(at) => PlaceAt::Fixed(PlaceId(at)),
        Spot::Single | Spot::Found(_) => PlaceAt::Single,
    }
}
