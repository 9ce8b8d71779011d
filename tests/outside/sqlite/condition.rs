//! Random conditions over a few looks, and how SQL writes them.

use proptest::prelude::*;

use super::judged::State;

/// A look of the instrument these tests are about.
pub struct Look {
    pub name: &'static str,
    /// Its values, as a record writes them.
    pub values: &'static [&'static str],
    pub kind: Kind,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    YesNo,
    OneOf,
    /// In mm; its values are the ends of its range and what lies between the limits that conditions draw.
    Measured,
}

/// The looks. Yes and no stand first and second in the values of a yes-or-no look.
pub const LOOKS: [Look; 7] = [
    Look { name: "slips", values: &["yes", "no"], kind: Kind::YesNo },
    Look { name: "rattles", values: &["yes", "no"], kind: Kind::YesNo },
    Look { name: "creaks", values: &["yes", "no"], kind: Kind::YesNo },
    Look { name: "sits", values: &["straight", "crooked", "pulling-out"], kind: Kind::OneOf },
    Look { name: "grain", values: &["fine", "coarse", "curly", "mixed"], kind: Kind::OneOf },
    Look { name: "gap", values: &["0", "1", "1.5", "2", "2.5", "3", "4"], kind: Kind::Measured },
    Look { name: "width", values: &["0", "1", "1.5", "2", "2.5", "3", "4"], kind: Kind::Measured },
];

/// The limits that conditions draw through a measured look, in mm.
const LIMITS: [&str; 3] = ["1", "2", "3"];

/// What was seen of each look: the index of one of its values, or nothing.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Row(pub [Option<usize>; LOOKS.len()]);

impl Row {
    /// Each value as SQL writes it.
    pub fn sql(&self) -> impl Iterator<Item = String> {
        LOOKS.iter().zip(self.0).map(|(look, value)| match value.map(|value| look.values[value]) {
            None => "NULL".to_owned(),
            Some("yes") => "TRUE".to_owned(),
            Some("no") => "FALSE".to_owned(),
            Some(value) if look.kind == Kind::Measured => value.to_owned(),
            Some(value) => format!("'{value}'"),
        })
    }

    /// The same row with a value for everything: the first one for what was not seen.
    pub fn completed(self) -> Self {
        Self(self.0.map(|value| value.or(Some(0))))
    }
}

pub fn any_row() -> impl Strategy<Value = Row> {
    let values: Vec<_> = LOOKS.iter().map(|look| proptest::option::of(0..look.values.len())).collect();
    values.prop_map(|values| {
        let mut row = Row::default();
        row.0.copy_from_slice(&values);
        row
    })
}

/// A condition as a rulebook can write it.
#[derive(Debug, Clone)]
pub enum Condition {
    Test(Test),
    Not(Box<Condition>),
    All(Vec<Condition>),
    Any(Vec<Condition>),
    AtLeast(usize, Vec<Condition>),
}

/// One test of one look, by its index.
#[derive(Debug, Clone)]
pub enum Test {
    Yes(usize),
    No(usize),
    OneOf(usize, Vec<usize>),
    NotOneOf(usize, Vec<usize>),
    /// `above`, `below`, `at least`, `at most` one of [`LIMITS`].
    Compared(usize, &'static str, &'static str),
}

const COMPARISONS: [(&str, &str); 4] = [("above", ">"), ("below", "<"), ("at least", ">="), ("at most", "<=")];

impl Condition {
    /// As a condition of SQL.
    pub fn sql(&self) -> String {
        let joined = |inner: &[Condition], word: &str| {
            let inner: Vec<String> = inner.iter().map(Condition::sql).collect();
            format!("({})", inner.join(word))
        };
        match self {
            Condition::Test(test) => test.sql(),
            Condition::Not(inner) => format!("(NOT {})", inner.sql()),
            Condition::All(inner) => joined(inner, " AND "),
            Condition::Any(inner) => joined(inner, " OR "),
            // SQL has no such word: every choice of that many of them, joined by OR.
            Condition::AtLeast(count, inner) => {
                let some: Vec<String> = choices(*count, inner).iter().map(|some| joined(some, " AND ")).collect();
                format!("({})", some.join(" OR "))
            }
        }
    }

    /// Whether it holds for a row in which everything was seen.
    pub fn holds(&self, row: &[usize; LOOKS.len()]) -> bool {
        match self {
            Condition::Test(test) => test.holds(row),
            Condition::Not(inner) => !inner.holds(row),
            Condition::All(inner) => inner.iter().all(|one| one.holds(row)),
            Condition::Any(inner) => inner.iter().any(|one| one.holds(row)),
            Condition::AtLeast(count, inner) => inner.iter().filter(|one| one.holds(row)).count() >= *count,
        }
    }
}

/// Every choice of `count` of them.
pub fn choices(count: usize, of: &[Condition]) -> Vec<Vec<Condition>> {
    match of {
        _ if count == 0 => vec![Vec::new()],
        [] => Vec::new(),
        [first, rest @ ..] => {
            let with = choices(count - 1, rest).into_iter().map(|some| std::iter::once(first.clone()).chain(some).collect());
            with.chain(choices(count, rest)).collect()
        }
    }
}

impl Test {
    fn sql(&self) -> String {
        let list = |look: &usize, values: &[usize]| {
            let values: Vec<String> = values.iter().map(|&value| format!("'{}'", LOOKS[*look].values[value])).collect();
            values.join(", ")
        };
        match self {
            Test::Yes(look) => LOOKS[*look].name.to_owned(),
            Test::No(look) => format!("{} = FALSE", LOOKS[*look].name),
            Test::OneOf(look, values) => format!("{} IN ({})", LOOKS[*look].name, list(look, values)),
            Test::NotOneOf(look, values) => format!("{} NOT IN ({})", LOOKS[*look].name, list(look, values)),
            Test::Compared(look, word, limit) => {
                let sign = COMPARISONS.iter().find(|(known, _)| known == word).unwrap().1;
                format!("{} {sign} {limit}", LOOKS[*look].name)
            }
        }
    }

    fn holds(&self, row: &[usize; LOOKS.len()]) -> bool {
        match self {
            Test::Yes(look) => row[*look] == 0,
            Test::No(look) => row[*look] == 1,
            Test::OneOf(look, values) => values.contains(&row[*look]),
            Test::NotOneOf(look, values) => !values.contains(&row[*look]),
            Test::Compared(look, word, limit) => {
                let tenths = |text: &str| (text.parse::<f64>().unwrap() * 10.0) as i64;
                let (value, limit) = (tenths(LOOKS[*look].values[row[*look]]), tenths(limit));
                match *word {
                    "above" => value > limit,
                    "below" => value < limit,
                    "at least" => value >= limit,
                    _ => value <= limit,
                }
            }
        }
    }
}

/// A test of one look that some value of the look meets and another does not: what is always or never so is known
/// without looking, and SQL does not know it.
fn test_of(look: usize) -> BoxedStrategy<Condition> {
    let test = match LOOKS[look].kind {
        Kind::YesNo => prop_oneof![Just(Test::Yes(look)), Just(Test::No(look))].boxed(),
        Kind::OneOf => {
            let values: Vec<usize> = (0..LOOKS[look].values.len()).collect();
            (proptest::sample::subsequence(values.clone(), 1..values.len()), any::<bool>())
                .prop_map(move |(values, not)| if not { Test::NotOneOf(look, values) } else { Test::OneOf(look, values) })
                .boxed()
        }
        Kind::Measured => (0..COMPARISONS.len(), 0..LIMITS.len())
            .prop_map(move |(comparison, limit)| Test::Compared(look, COMPARISONS[comparison].0, LIMITS[limit]))
            .boxed(),
    };
    test.prop_map(Condition::Test).boxed()
}

/// A condition with the looks of the list in it, each as often as it is listed.
fn over(looks: Vec<usize>) -> BoxedStrategy<Condition> {
    match looks.as_slice() {
        [] | [_] => test_of(looks.first().copied().unwrap_or(0)),
        _ => {
            let count = looks.len();
            (1..count, 2..=count.min(4), 0..4_usize, any::<bool>())
                .prop_flat_map(move |(cut, parts, joint, not)| {
                    // The looks in two to four parts, the first one `cut` long.
                    let mut groups = vec![looks[..cut].to_vec()];
                    let rest = &looks[cut..];
                    groups.extend(rest.chunks(rest.len().div_ceil((parts - 1).min(rest.len()))).map(<[usize]>::to_vec));
                    let inner: Vec<BoxedStrategy<Condition>> = groups.into_iter().map(over).collect();
                    let most = inner.len();
                    (inner, 1..=most).prop_map(move |(inner, at_least)| {
                        let joined = match joint {
                            0 | 1 => Condition::All(inner),
                            2 => Condition::Any(inner),
                            _ => Condition::AtLeast(at_least, inner),
                        };
                        if not { Condition::Not(Box::new(joined)) } else { joined }
                    })
                })
                .boxed()
        }
    }
}

/// Conditions in which no look stands twice.
pub fn read_once() -> impl Strategy<Value = Condition> {
    let all: Vec<usize> = (0..LOOKS.len()).collect();
    proptest::sample::subsequence(all, 1..=LOOKS.len()).prop_shuffle().prop_flat_map(over)
}

/// Conditions in which looks may stand several times.
pub fn with_repeats() -> impl Strategy<Value = Condition> {
    proptest::collection::vec(0..LOOKS.len(), 1..8).prop_flat_map(over)
}

/// Conditions that are settled before anybody looks, and how.
pub fn known_without_looking() -> Vec<(Condition, State)> {
    let slips = || Condition::Test(Test::Yes(0));
    let sits = |values: &[usize]| Condition::Test(Test::OneOf(3, values.to_vec()));
    let gap = |word: &'static str, limit: &'static str| Condition::Test(Test::Compared(5, word, limit));
    let not = |condition: Condition| Condition::Not(Box::new(condition));
    vec![
        (Condition::Any(vec![slips(), not(slips())]), State::Found),
        (Condition::All(vec![slips(), not(slips())]), State::Clear),
        (Condition::Any(vec![sits(&[0]), sits(&[1, 2])]), State::Found),
        (Condition::All(vec![sits(&[0, 1]), sits(&[2])]), State::Clear),
        (sits(&[0, 1, 2]), State::Found),
        (Condition::Any(vec![gap("below", "2"), gap("above", "1")]), State::Found),
        (Condition::All(vec![gap("below", "1"), gap("above", "2")]), State::Clear),
        (Condition::AtLeast(2, vec![slips(), not(slips()), gap("at most", "2"), gap("above", "2")]), State::Found),
    ]
}
