//! Checks against sources outside the project, and of what stands by itself: one program, so that the crate is
//! linked once for all of them. `cargo test --test checks published::` runs one of its parts.

#[path = "calendar.rs"]
mod calendar;
#[path = "calls/main.rs"]
mod calls;
#[path = "demo_file.rs"]
mod demo_file;
#[expect(dead_code, reason = "most of it is for the bench of the same name")]
mod fire;
#[path = "forgetting/main.rs"]
mod forgetting;
#[path = "full_jars.rs"]
mod full_jars;
#[path = "grid.rs"]
mod grid;
#[path = "labels.rs"]
mod labels;
#[path = "migrations.rs"]
mod migrations;
#[path = "plans.rs"]
mod plans;
#[path = "pooling.rs"]
mod pooling;
#[path = "proposal.rs"]
mod proposal;
#[path = "published.rs"]
mod published;
#[path = "queue.rs"]
mod queue;
#[path = "rooms.rs"]
mod rooms;
#[path = "shares/main.rs"]
mod shares;
#[path = "tampered_around.rs"]
mod tampered_around;
#[path = "tampering.rs"]
mod tampering;
#[path = "time_zones.rs"]
mod time_zones;
#[path = "trace.rs"]
mod trace;
