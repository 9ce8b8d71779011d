//! What an editor asks: functions of an analysis, a file and a byte offset, that answer with plain values.
