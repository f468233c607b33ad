//! Facts of cane at the mill: tickets with their loads and juice, what a morning still needs.

pub mod yields;
