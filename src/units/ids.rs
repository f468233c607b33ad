//! Record ids: UUID version 7 (RFC 9562) kept as hyphenated text. Not secrets.

use std::fmt;
use uuid::Uuid;
use uuid::fmt::Hyphenated;

macro_rules! id {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, sqlx::Type)]
        #[sqlx(transparent)]
        pub struct $name(Hyphenated);

        impl $name {
            /// The id made of this UUID.
            pub fn new(uuid: Uuid) -> Self {
                Self(uuid.hyphenated())
            }

            /// Reads the hyphenated text; `None` when it is not a UUID.
            pub fn parse(text: &str) -> Option<Self> {
                Uuid::try_parse(text).ok().map(Self::new)
            }

            /// The id as a UUID.
            pub fn uuid(self) -> Uuid {
                *self.0.as_uuid()
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                fmt::Display::fmt(&self.0, f)
            }
        }
    )*};
}

id! {
    /// A member.
    MemberId;
    /// An invitation to make an account.
    InviteId;
    /// A tablet that is signed in as the mill's own station.
    StationId;
    /// A season.
    SeasonId;
    /// A numbered version of a season's rules.
    RulesId;
    /// A scale.
    ScaleId;
    /// A vessel that juice stands in.
    VesselId;
    /// A pan that juice is boiled in.
    PanId;
    /// A thermometer in a pan that sends by itself.
    ProbeId;
    /// A planting: what a member planted in one place.
    PlantingId;
    /// A calendar feed.
    FeedId;
    /// A press day.
    PressDayId;
    /// A turn on a press day.
    TurnId;
    /// A place on a press day's waiting list.
    WaitingId;
    /// Room offered to one who waits.
    OfferId;
    /// A change that moved several turns together.
    DayChangeId;
    /// A notice: what a member was told.
    NoticeId;
    /// A ticket: one member's cane on one press day.
    TicketId;
    /// A juice: what one ticket gave, in one vessel.
    JuiceId;
    /// A pan-full with a lot code.
    BoilId;
    /// The dividing of a finished boil.
    DivisionId;
    /// A hand-over: jars leaving the mill.
    HandOverId;
    /// Jars looked for, in earnest or to practise.
    RecallId;
    /// The key of one form as it was shown: sent twice, done once.
    FormKey;
}
