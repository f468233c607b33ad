//! What is drawn or laid out: pictures, labels, QR codes, calendar text.

pub mod chart;
pub mod ics;
pub mod label;
pub mod label_face;
pub mod label_sheet;
pub(in crate::calc) mod lettering;
pub mod panel;
pub mod qr;
