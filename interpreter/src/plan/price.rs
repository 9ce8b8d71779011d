//! Prices of bench steps and goods, as tables over the cells that decide them.

use num_integer::Integer;
use num_traits::CheckedMul;
use purfle_lang::book::{Book, Value};
use purfle_lang::evaluate::InHand;
use purfle_lang::number::Number;

use purfle_lang::finite::node::{Atom, Node, VariableId};

/// Money as a whole number of the plan's smallest share of the major unit.
pub type Scaled = i128;

/// A price.
#[derive(Debug, Clone, PartialEq)]
pub enum Price {
    /// Alternatives, of which exactly one's guard is met in a case.
    Table(Vec<PriceTable>),
    /// Worked out anew for each record, by index of the layout's open prices.
    Open(u32),
}

/// A price for every combination of cells of a few variables.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceTable {
    /// When this alternative counts.
    pub guard: Node,
    /// The variables, and by how much one cell more moves along the table.
    pub variables: Vec<(VariableId, u32)>,
    /// Lower and upper end; none where there is no price.
    pub prices: Vec<Option<(Scaled, Scaled)>>,
}

impl Price {
    /// The price in one case; none where there is none, or where it is open.
    pub fn at(&self, atoms: &[Atom], case: &[u8], holds: &[bool]) -> Option<(Scaled, Scaled)> {
        let Price::Table(tables) = self else {
            return None;
        };
        let table = match tables.as_slice() {
            [only] => only,
            many => many.iter().find(|table| table.guard.met(atoms, case, holds))?,
        };
        let at: u32 = table.variables.iter().map(|(variable, stride)| u32::from(case[*variable as usize]) * stride).sum();
        table.prices[at as usize]
    }

    /// The variables it reads, those of its guards included.
    pub fn variables(&self, atoms: &[Atom], tell: &mut impl FnMut(VariableId)) {
        let Price::Table(tables) = self else {
            return;
        };
        for table in tables {
            for (variable, _) in &table.variables {
                tell(*variable);
            }
            table.guard.visit(
                &mut |atom| {
                    for (variable, _) in &atoms[atom as usize].variables {
                        tell(*variable);
                    }
                },
                &mut |_| {},
            );
        }
    }
}

/// A price that a record's own measures decide.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenPrice {
    /// The amount.
    pub value: Value,
    /// The places in hand.
    pub hand: InHand,
    /// What one base unit of the amount costs.
    pub rate: Number,
}

/// How finely money is counted: every price of the book is a whole number of this share of the major unit.
pub fn scale_of(book: &Book) -> Scaled {
    const MOST: Scaled = 1_000_000_000_000;
    let mut scale: Scaled = 10_i128.pow(book.money.minor_places().min(4));
    let mut amounts: Scaled = 1;
    let mut factors: Scaled = 60;
    let collect = |value: &Value, into: &mut Scaled| {
        denominators(value, &mut |number| {
            let next = into.lcm(number.denom());
            if next <= MOST {
                *into = next;
            }
        });
    };
    for work in &book.works {
        collect(&work.amount, &mut amounts);
    }
    for finding in &book.findings {
        for cost in std::iter::once(&finding.cost).chain(finding.ways.iter().map(|way| &way.cost)) {
            for goods in &cost.goods {
                collect(&goods.price, &mut amounts);
            }
        }
    }
    for table in &book.tables {
        for row in &table.rows {
            collect(&row.value, &mut factors);
        }
    }
    for reckon in &book.reckons {
        collect(&reckon.value, &mut factors);
    }
    for hand in &book.hands {
        if let Some(rate) = hand.rate {
            collect(&Value::Number(rate), &mut factors);
        }
    }
    for share in [amounts, factors] {
        if let Some(next) = scale.checked_mul(share)
            && next <= MOST
        {
            scale = next;
        }
    }
    scale
}

fn denominators(value: &Value, tell: &mut impl FnMut(&Number)) {
    match value {
        Value::Number(number) => tell(number),
        Value::Range(low, high) => {
            tell(low);
            tell(high);
        }
        Value::Arithmetic(_, a, b) | Value::Lower(a, b) | Value::Higher(a, b) | Value::DaysFrom(a, b) => {
            denominators(a, tell);
            denominators(b, tell);
        }
        Value::Negative(a) => denominators(a, tell),
        Value::Formula(_, arguments) => arguments.iter().for_each(|a| denominators(a, tell)),
        Value::Date(_)
        | Value::Look(_)
        | Value::Last(_)
        | Value::InspectedOn
        | Value::Table(_)
        | Value::Reckon(_)
        | Value::TotalCost => {}
    }
}

/// A sum as a whole number of shares, the lower end rounded down and the upper up where it is none, and whether
/// both ends are exact.
pub fn to_scaled(low: Number, high: Number, scale: Scaled) -> Option<(Scaled, Scaled, bool)> {
    let share = Number::from_integer(scale);
    let (low, high) = (low.checked_mul(&share)?, high.checked_mul(&share)?);
    Some((low.floor().to_integer(), high.ceil().to_integer(), low.is_integer() && high.is_integer()))
}
