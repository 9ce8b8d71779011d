//! Two published formulas of the trade: how moist wood gets, and how far it moves.
