//! Clauses.

use super::Lower;
use crate::book::{AidWord, PlayedWord, StateWord};
use crate::syntax::grammar::{Pair, Rule};
use crate::syntax::split::Slice;
use crate::syntax::tree::{
    Arrow, BuildsOn, Cond, Ends, Expect, Expr, Good, Goods, Name, On, Path, Quantity, Row, Says, Text, UrgencyLine,
};

impl Lower<'_> {
    /// What a clause says; [`Says::Broken`] where a part of it could not be read, which has been reported.
    pub fn clause(&mut self, pair: &Pair<'_>, bullets: &[Slice]) -> Says {
        let takes_bullets = || pair.clone().into_inner().flatten().any(|inner| inner.as_rule() == Rule::condition);
        if !bullets.is_empty() && !takes_bullets() {
            self.no_bullets(bullets);
        }
        self.says(pair, bullets).unwrap_or(Says::Broken)
    }

    fn says(&mut self, pair: &Pair<'_>, bullets: &[Slice]) -> Option<Says> {
        let inside = |rule: Rule| pair.clone().into_inner().find(|inner| inner.as_rule() == rule);
        let has = |rule: Rule| inside(rule).is_some();
        Some(match pair.as_rule() {
            Rule::edition_clause => Says::Edition(self.edition(pair)?),
            Rule::keeper_clause => Says::Keeper(self.words(pair)?),
            Rule::money_clause => Says::Money(self.first_name(pair, Rule::name)?),
            Rule::language_clause => Says::Language(match inside(Rule::quoted) {
                Some(quoted) => self.text(&quoted),
                None => self.first_name(pair, Rule::name)?,
            }),
            Rule::notice_clause => Says::Notice(self.words(pair)?),
            Rule::least_clause => Says::LeastCharge(self.one_quantity(pair)?),
            Rule::builds_clause => Says::BuildsOn(self.builds_on(pair)?),
            Rule::includes_clause => Says::Includes(self.names(pair, Rule::work_name)),
            Rule::row_clause => Says::Row(self.row(pair)?),
            Rule::only_clause => Says::OnlyWhen(self.one_condition(&inside(Rule::only_when)?, bullets)?),
            Rule::places_clause => Says::PlacesAsFound,
            Rule::how_clause => Says::How(self.words(pair)?),
            Rule::care_clause => Says::Care(self.words(pair)?),
            Rule::private_clause => Says::Private,
            Rule::good_clause => Says::Good(match inside(Rule::choices) {
                Some(choices) => Good::Choices(self.choices(&choices)),
                None => Good::Value(self.one_amount(pair)?),
            }),
            Rule::on_clause => Says::On(On { each: has(Rule::k_each), part: self.first_name(pair, Rule::part_name)? }),
            Rule::parts_clause => Says::OnParts(self.names(pair, Rule::part_name)),
            Rule::signs_clause => Says::Signs(self.one_condition(pair, bullets)?),
            Rule::unless_clause => Says::Unless(self.one_condition(pair, bullets)?),
            Rule::when_clause => Says::When(self.one_condition(pair, bullets)?),
            Rule::for_clause => Says::For(self.one_condition(pair, bullets)?),
            Rule::urgency_clause => {
                let step = match inside(Rule::how_soon) {
                    // However many spaces stand between its words.
                    Some(said) => {
                        let words = said.as_str().split_whitespace().collect::<Vec<_>>().join(" ");
                        Name::new(words, self.span(&said))
                    }
                    None => self.first_name(pair, Rule::step_name)?,
                };
                let when = match inside(Rule::condition) {
                    Some(condition) => Some(self.condition(&condition, bullets)?),
                    None => None,
                };
                Says::Urgency(UrgencyLine { step, when })
            }
            Rule::hands_clause => Says::Hands(self.first_name(pair, Rule::hand_name)?),
            Rule::work_clause => Says::Work(self.names(pair, Rule::work_name)),
            Rule::goods_clause => Says::Goods(Goods { words: self.words(pair)?, price: self.one_amount(pair)? }),
            Rule::cost_clause if has(Rule::k_nothing) => Says::CostNothing,
            Rule::cost_clause => Says::CostOnSight,
            Rule::left_clause => Says::Left(Arrow {
                to: self.first_name(pair, Rule::finding_name)?,
                odds: inside(Rule::odds).and_then(|odds| self.one_quantity(&odds)),
                within: inside(Rule::within).and_then(|within| self.one_quantity(&within)),
            }),
            Rule::again_clause => Says::Again(self.one_quantity(pair)?),
            Rule::yields_clause => Says::YieldsTo(self.names(pair, Rule::finding_name)),
            Rule::first_clause => Says::First(self.words(pair)?),
            Rule::tell_clause => Says::Tell(self.words(pair)?),
            Rule::refer_clause => Says::Refer(self.words(pair)?),
            Rule::basis_clause => Says::Basis(self.words(pair)?),
            Rule::by_clause => Says::By {
                steps: self.first_name(pair, Rule::whole)?,
                cap: inside(Rule::no_higher).and_then(|cap| self.first_name(&cap, Rule::step_name)),
            },
            Rule::covers_clause if has(Rule::k_above) => Says::CoversAbove(self.one_quantity(pair)?),
            Rule::covers_clause => Says::Covers(self.names(pair, Rule::finding_name)),
            Rule::pays_clause => Says::Pays(self.one_quantity(pair)?),
            Rule::cap_clause => Says::Cap(self.one_quantity(pair)?),
            Rule::family_clause => Says::FamilyPays(self.one_quantity(pair)?),
            Rule::not_clause => Says::NotBeyond(self.one_quantity(pair)?, self.paths(pair, Rule::path).pop()?),
            Rule::needs_clause => Says::Needs(self.paths(pair, Rule::path)),
            _ => return self.expectation(pair).map(Says::Expect),
        })
    }

    fn expectation(&mut self, pair: &Pair<'_>) -> Option<Expect> {
        let inside = |rule: Rule| pair.clone().into_inner().find(|inner| inner.as_rule() == rule);
        let has = |rule: Rule| inside(rule).is_some();
        Some(match pair.as_rule() {
            Rule::finds_clause if has(Rule::k_nothing) => Expect::NothingElse,
            Rule::finds_clause => self.finding(pair, StateWord::Found)?,
            Rule::clear_clause => self.finding(pair, StateWord::Clear)?,
            Rule::open_clause => self.finding(pair, StateWord::Open)?,
            Rule::suspects_clause => self.finding(pair, StateWord::Suspected)?,
            Rule::all_urgency_clause => Expect::Urgency(self.name_ends(&inside(Rule::step_ends)?, Rule::step_name)?),
            Rule::played_clause if has(Rule::k_yes) => Expect::Played(PlayedWord::Yes),
            Rule::played_clause if has(Rule::k_no) => Expect::Played(PlayedWord::No),
            Rule::played_clause => Expect::Played(PlayedWord::Open),
            Rule::all_cost_clause => Expect::Cost(self.one_amount(pair)?),
            Rule::all_left_clause => Expect::Left(self.one_amount(pair)?),
            Rule::all_tier_clause => Expect::Tier(self.name_ends(pair, Rule::tier_name)?),
            Rule::all_hands_clause => Expect::Hands(self.name_ends(pair, Rule::hand_name)?),
            Rule::due_clause => Expect::Due(self.name_ends(pair, Rule::date)?),
            Rule::looks_clause => Expect::Looks { not: has(Rule::k_not), look: self.paths(pair, Rule::look_path).pop()? },
            Rule::counsel_clause => {
                let state = match () {
                    () if has(Rule::k_found) => StateWord::Found,
                    () if has(Rule::k_clear) => StateWord::Clear,
                    () => StateWord::Open,
                };
                Expect::Counsel(self.first_name(pair, Rule::counsel_name)?, state)
            }
            Rule::refused_clause => Expect::Refused,
            Rule::aid_clause => {
                let word = match () {
                    () if has(Rule::k_eligible) => AidWord::Eligible,
                    () if has(Rule::k_refused) => AidWord::Refused,
                    () => AidWord::Open,
                };
                Expect::Aid(self.first_name(pair, Rule::aid_name)?, word)
            }
            _ => return None,
        })
    }

    fn finding(&mut self, pair: &Pair<'_>, state: StateWord) -> Option<Expect> {
        let inside = |rule: Rule| pair.clone().into_inner().find(|inner| inner.as_rule() == rule);
        let finding = self.first_name(pair, Rule::finding_name)?;
        let place = inside(Rule::on_place).and_then(|place| self.paths(&place, Rule::place_path).pop());
        let ends = inside(Rule::at_step).and_then(|at| at.into_inner().last());
        let at = ends.and_then(|ends| self.name_ends(&ends, Rule::step_name));
        Some(Expect::Finding { state, finding, place, at })
    }

    fn name_ends(&mut self, pair: &Pair<'_>, rule: Rule) -> Option<Ends<Name>> {
        let mut names = self.names(pair, rule).into_iter();
        let from = names.next()?;
        let to = names.next().unwrap_or_else(|| from.clone());
        Some(Ends { from, to })
    }

    fn edition(&mut self, pair: &Pair<'_>) -> Option<Name> {
        let edition = pair.clone().into_inner().find(|inner| matches!(inner.as_rule(), Rule::edition | Rule::quoted))?;
        Some(self.choice(&edition))
    }

    fn builds_on(&mut self, pair: &Pair<'_>) -> Option<BuildsOn> {
        let mut after = |rule: Rule| {
            let part = pair.clone().into_inner().find(|inner| inner.as_rule() == rule)?;
            part.into_inner().last().map(|text| self.text(&text))
        };
        let (from, seal) = (after(Rule::from_file), after(Rule::sealed));
        Some(BuildsOn { name: self.first_name(pair, Rule::name)?, edition: self.edition(pair)?, from, seal })
    }

    fn row(&mut self, pair: &Pair<'_>) -> Option<Row> {
        let keys = pair.clone().into_inner().filter(|inner| matches!(inner.as_rule(), Rule::row_name | Rule::quoted));
        let keys = keys.collect::<Vec<_>>().iter().map(|key| self.choice(key)).collect();
        Some(Row { keys, value: self.one_amount(pair)? })
    }

    fn words(&mut self, pair: &Pair<'_>) -> Option<Text> {
        let text = pair.clone().into_inner().find(|inner| inner.as_rule() == Rule::text)?;
        Some(self.text(&text))
    }

    fn first_name(&self, pair: &Pair<'_>, rule: Rule) -> Option<Name> {
        pair.clone().into_inner().find(|inner| inner.as_rule() == rule).map(|inner| self.token(&inner))
    }

    fn paths(&self, pair: &Pair<'_>, rule: Rule) -> Vec<Path> {
        pair.clone().into_inner().filter(|inner| inner.as_rule() == rule).map(|inner| self.path(&inner)).collect()
    }

    fn one_quantity(&self, pair: &Pair<'_>) -> Option<Quantity> {
        let quantity = pair.clone().into_inner().find(|inner| inner.as_rule() == Rule::quantity)?;
        Some(self.quantity(&quantity))
    }

    fn one_amount(&mut self, pair: &Pair<'_>) -> Option<Expr> {
        let amount = pair.clone().into_inner().find(|inner| inner.as_rule() == Rule::amount)?;
        self.value(&amount)
    }

    fn one_condition(&mut self, pair: &Pair<'_>, bullets: &[Slice]) -> Option<Cond> {
        let condition = pair.clone().into_inner().find(|inner| inner.as_rule() == Rule::condition)?;
        self.condition(&condition, bullets)
    }
}
