//! A simulated boil of sorghum syrup, made from a heat balance, and the judge of whoever watches such a boil.
//!
//! What the simulator is made of, bottom up: [`dice`] (chance, from a seed), [`liquor`] (boiling point, heat and
//! viscosity of the juice by its composition), [`fire`] (wood charges or gas), [`pan`] (heat balance of wall and
//! liquid), [`tools`] (thermometer, probe and refractometer with their errors), [`mill`] (pan, fire and juice of
//! one mill and what it knows of itself), [`sim`] (one boil).
//! [`judge`] runs a crew with such tools through many boils and measures the watcher against the goals.
//!
//! Ranges that carry no source beside them are common practice or the author's guess; they are wide on purpose.

pub mod dice;
pub mod fire;
pub mod liquor;
pub mod mill;
pub mod pan;
pub mod sim;
pub mod tools;

pub use sim::Sim;
