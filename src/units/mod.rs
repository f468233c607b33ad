//! Quantities, ids, codes and names: what every other floor is written in. Each is checked once,
//! at the door, so that inside the house a value is true. Knows nothing else of the project.
#![deny(clippy::disallowed_methods)]

mod air;
mod area;
mod brix;
mod day_clock;
mod ids;
mod length;
mod look_alike;
mod lot_code;
mod mass;
mod money;
mod number;
mod person;
mod pounds;
mod rate;
mod refused;
mod share;
mod temperature;
mod time;
mod twelve_hours;
mod two_ways;
mod volume;
mod zone;

pub use air::{Altitude, Hectopascals};
pub use area::SquareMetres;
pub use brix::{BrixAt20C, BrixRead};
pub use day_clock::{ClockTime, ClockTyped, DayClock, DayMinute};
pub use ids::{
    BoilId, DayChangeId, DivisionId, FeedId, FormKey, HandOverId, InviteId, JuiceId, MemberId,
    NoticeId, OfferId, PanId, PlantingId, PressDayId, ProbeId, RecallId, RulesId, ScaleId,
    SeasonId, StationId, TicketId, TurnId, VesselId, WaitingId,
};
pub use length::{Metres, Millimetres};
pub use look_alike::look_alike_forms;
pub use lot_code::{LotCode, check_character};
pub use mass::Grams;
pub use money::{Cents, MilliCents};
pub use number::{Units, count_of, decimal, fixed, whole};
pub use person::{
    Email, MemberName, Passphrase, Phone, Role, SignInName, by_name, one_line, people_order,
    plain_text,
};
pub use pounds::Pounds;
pub use rate::{Measured, RateUnit, parse_row_yield, show_row_yield, typed_row_yield};
pub use refused::Refused;
pub use share::BasisPoints;
pub use temperature::{Celsius, CelsiusDifference};
pub use time::{MinuteOfDay, Minutes, PressDate, UtcSecond, hours_typed};
pub use twelve_hours::twelve_hours;
pub use volume::Millilitres;
pub use zone::Zone;
