//! The tier of a sum, without working its printed amount out: for each tier the greatest sum that is still in it.

use num_traits::CheckedMul;
use purfle_lang::book::{Book, TierId};
use purfle_lang::number::Number;

use crate::plan::price::Scaled;

/// The greatest sum of each tier, in shares of the major unit, in the order of the tiers.
#[derive(Debug, Default)]
pub struct Tiers(Vec<Scaled>);

impl Tiers {
    /// Those of a book. A sum belongs to a tier by its amount as it is printed, rounded half to even.
    pub fn of(book: &Book, scale: Scaled) -> Self {
        let unit = 10_i128.pow(book.money.minor_places());
        let greatest = |limit: Number| {
            // Printed, it has to come to so many minor units at most.
            let minor = limit.checked_mul(&Number::from_integer(unit))?.floor().to_integer();
            // So it is below a half more, or just that where the half is rounded down.
            let twice = minor.checked_mul(2)?.checked_add(1)?.checked_mul(scale)?;
            Some((twice - minor.rem_euclid(2)).div_euclid(unit * 2))
        };
        Self(
            book.tiers
                .iter()
                .map(|tier| tier.up_to.map_or(Scaled::MAX, |limit| greatest(limit).unwrap_or(Scaled::MAX)))
                .collect(),
        )
    }

    /// The tier of a sum; of the last one where it is above all.
    pub fn tier_of(&self, sum: Scaled) -> TierId {
        let at = self.0.iter().position(|greatest| sum <= *greatest);
        TierId::from_index(at.unwrap_or(self.0.len().saturating_sub(1)))
    }
}

#[cfg(test)]
mod tests {
    use purfle_lang::number::round_scaled;
    use purfle_lang::resolve::resolve;
    use purfle_lang::span::FileId;
    use purfle_lang::syntax::parse;

    use super::*;

    #[test]
    fn the_tier_of_a_sum_is_that_of_its_printed_amount() {
        let text = r#"rulebook tried "Tried"
  edition 1
  money USD

urgency
  step fine "Nothing to do"

hands
  hand luthier "A luthier"

tiers
  tier low "Low" up to 0.10 USD
  tier odd "Odd" up to 0.15 USD
  tier whole "Whole" up to 3 USD
  tier high "High"
"#;
        let parsed = parse(FileId(0), text);
        let resolved = resolve(&[parsed.tree]);
        let book = resolved.book.unwrap_or_else(|| panic!("{:?}", resolved.diagnostics));
        assert_eq!(book.tiers.len(), 4);
        for scale in [100, 200, 300, 700, 1_000, 4_000] {
            let tiers = Tiers::of(&book, scale);
            for sum in 0..=scale * 4 {
                let printed = Number::new(round_scaled(Number::new(sum, scale), 2), 100);
                assert_eq!(tiers.tier_of(sum), book.tier_of(printed), "{sum} of {scale}");
            }
            assert_eq!(tiers.tier_of(Scaled::MAX), book.tier_of(Number::from_integer(4)));
        }
    }
}
