//! Facts of a season: its rules, what was planted, what its close goes by.
