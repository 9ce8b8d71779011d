//! The ways to mend a finding, each with costs, hands and words of its own.

use super::costs::{Place, cost};
use super::draft::Draft;
use super::finding::Mending;
use super::ladders::words;
use super::noted::Target;
use super::scope::Scope;
use crate::book::{FindingId, HandId, PartId, Way};
use crate::diagnostic::Diagnostic;
use crate::syntax::tree::{Clause, Entry, Kind, Name, Says, UNKNOWN};

impl<'t> Mending<'t> {
    /// Takes a clause that says something of mending; passes over any other.
    pub fn take(&mut self, clause: &'t Clause) {
        match &clause.says {
            Says::Work(work) => {
                self.cost.work.extend(work);
                self.cost.spans.push(clause.span);
            }
            Says::Goods(goods) => {
                self.cost.goods.push(goods);
                self.cost.spans.push(clause.span);
            }
            Says::CostOnSight | Says::CostNothing => {
                self.cost.cost = Some((matches!(clause.says, Says::CostOnSight), clause.span));
                self.cost.spans.push(clause.span);
            }
            Says::Hands(hand) => self.hands = Some(hand),
            Says::Tell(text) => self.tell.push(text.value.clone()),
            Says::Refer(text) => self.refer.push(text.value.clone()),
            // A cost that could not be read is no missing one.
            Says::Broken if ["work", "goods", "cost", UNKNOWN].contains(&clause.word) => self.cost.broken = true,
            _ => {}
        }
    }
}

/// The ways of the finding of this number on `part` (and on each of its places, where that is set); `hands` are the
/// finding's own.
pub fn ways(
    draft: &Draft,
    scope: &Scope,
    (id, finding): (FindingId, &Entry),
    on: (Option<PartId>, bool),
    hands: Option<HandId>,
) -> Vec<Way> {
    let mut names: Vec<&Name> = Vec::new();
    let mut ways = Vec::new();
    for entry in finding.entries(Kind::Way) {
        let Some(name) = &entry.name else { continue };
        if let Some(first) = names.iter().find(|other| other.value == name.value) {
            let says = format!("There are two ways called `{}`.", name.value);
            draft.sink.push(
                Diagnostic::error("name-twice", name.span, says)
                    .help("Give this one another name.")
                    .place(first.span, "first written here"),
            );
        }
        names.push(name);
        draft.names.notes.writes(name.span, Target::Way(id, u32::try_from(ways.len()).unwrap_or(u32::MAX)));
        let mut mending = Mending::default();
        for clause in &entry.clauses {
            mending.take(clause);
        }
        let own = mending.hands.and_then(|hand| draft.sink.keep(draft.names.hand(hand)));
        ways.push(Way {
            name: name.value.clone(),
            words: words(entry),
            hands: own.or(hands).unwrap_or(HandId::from_index(0)),
            cost: cost(draft, scope, &mending.cost, &Place { part: on.0, each: on.1, name }),
            tell: mending.tell,
            refer: mending.refer,
        });
    }
    ways
}
