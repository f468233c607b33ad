//! Facts of divided boils: the parts of a division, a member's season, jars and balances.
