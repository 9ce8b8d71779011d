//! Which states another one beats: it uses no more of any purse and is worth more.

use std::collections::BTreeMap;

use super::MOST_PURSES;

/// How many states are looked back at where there are more than two purses. A state that is beaten and yet kept costs
/// work and nothing else.
const LOOK_BACK: usize = 96;

/// What has been seen of states with the same counts, in the order of what they use of the first purse.
#[derive(Default)]
pub struct Best {
    /// What was worth most, whatever it used of a second purse.
    value: Option<i128>,
    /// Where there are two purses: for what is used of the second, the most that was worth.
    second: BTreeMap<i64, i128>,
    /// Where there are more: those kept, the ones that beat many last.
    recent: Vec<([i64; MOST_PURSES], i128)>,
}

impl Best {
    /// Whether a state is beaten. While ties are kept apart, one that is worth the same is not.
    pub fn beats<const D: usize>(&mut self, uses: &[i64; D], value: i128, ties: bool) -> bool {
        let worse = |known: i128| if ties { known > value } else { known >= value };
        match D {
            1 => self.value.is_some_and(worse),
            2 => self.second.range(..=uses[1]).next_back().is_some_and(|(_, known)| worse(*known)),
            _ => {
                let beats = |(known, worth): &([i64; MOST_PURSES], i128)| {
                    worse(*worth) && known.iter().zip(uses).all(|(known, here)| known <= here)
                };
                let found = self.recent.iter().rev().take(LOOK_BACK).position(beats);
                if let Some(back) = found {
                    // What beats one state beats many: next time it is looked at sooner.
                    let last = self.recent.len() - 1;
                    self.recent.swap(last - back, last - back / 2);
                }
                found.is_some()
            }
        }
    }

    /// Notes a state that is kept.
    pub fn take<const D: usize>(&mut self, uses: &[i64; D], value: i128) {
        match D {
            1 => self.value = self.value.max(Some(value)),
            2 => {
                let here = self.second.range(uses[1]..);
                let beaten: Vec<i64> = here.take_while(|(_, known)| **known <= value).map(|(used, _)| *used).collect();
                for used in beaten {
                    self.second.remove(&used);
                }
                // While ties are kept apart there may be one that is worth more already.
                if self.second.range(..=uses[1]).next_back().is_none_or(|(_, known)| *known < value) {
                    self.second.insert(uses[1], value);
                }
            }
            _ => {
                let mut all = [0; MOST_PURSES];
                all[..D].copy_from_slice(uses);
                self.recent.push((all, value));
            }
        }
    }
}
