//! Facts of press days and turns: room, habits, who waits, what a change would do.
