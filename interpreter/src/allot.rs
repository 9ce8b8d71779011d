//! Sharing a repair fund over a batch: which instruments are helped, in which way, and with how much from which fund.

pub mod optimum;
