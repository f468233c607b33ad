//! An invented co-op in the middle of a season: one press day finished, one running, one open for
//! booking, one full. Everything is made through the actions, at its own time, as people would have done it.
//! People, place and figures are made up.

mod boiling;
mod comings;
mod days;
mod fields;
mod helping;
mod maker;
mod people;
mod probe;

use crate::actions::people::accounts::{self, NewCoop};
use crate::actions::shares::lot_looks;
use crate::actions::{Done, Hashing, Ids, Stop, Token};
use crate::store::people::coop::Coop;
use crate::store::{Reader, Writer};
use crate::units::{MemberName, Passphrase, Phone, Role, SignInName, Units, UtcSecond, Zone};
use maker::Demo;

/// The names to sign in with, and who they are.
pub const SIGN_INS: [(&str, &str); 6] = [
    ("ruth", "steward"),
    ("delia", "crew"),
    ("june", "member, with a turn this afternoon"),
    (
        "otis",
        "member, whose syrup is being boiled; is offered a turn",
    ),
    ("minnie", "member, boils alone"),
    ("ida", "member, who acts for her father’s card too"),
];

pub use maker::{PASSPHRASE, STARTS_AT, TODAY};
pub use probe::{DemoProbe, EVERY_S as PROBE_EVERY_S};

/// Fills an empty database with the demo's co-op, and gives the instant its clock starts at.
///
/// # Errors
/// The database is not empty, or the disk is full.
pub async fn make(writer: &Writer, reader: &Reader) -> Done<UtcSecond> {
    made(writer, reader).await?.at(TODAY, STARTS_AT)
}

/// As [`make`], with a simulated probe in the pan of the boil that is lit: whoever runs the demo has it send.
///
/// # Errors
/// The database is not empty, or the disk is full.
pub async fn make_with_probe(writer: &Writer, reader: &Reader) -> Done<(UtcSecond, DemoProbe)> {
    let demo = made(writer, reader).await?;
    Ok((demo.at(TODAY, STARTS_AT)?, demo.probe_in_pan().await?))
}

/// The demo's co-op.
async fn made(writer: &Writer, reader: &Reader) -> Done<Demo> {
    let zone = Zone::parse("America/Chicago")?;
    let mut demo = Demo {
        writer: writer.clone(),
        reader: reader.clone(),
        ids: Ids::counted(),
        zone,
        hashing: Hashing::new(),
        members: Vec::new(),
        roles: Vec::new(),
    };
    demo.set_up().await?;
    demo.add_members().await?;
    demo.invite().await?;
    demo.household().await?;
    let season = demo.furnish().await?;
    demo.fields().await?;
    demo.finished_day(season).await?;
    demo.change_rules(season).await?;
    demo.running_day(season).await?;
    demo.open_day(season).await?;
    demo.full_day(season).await?;
    demo.helping(season).await?;
    demo.colour_card().await?;
    Ok(demo)
}

impl Demo {
    async fn set_up(&mut self) -> Done<()> {
        let at = self.at("2026-07-06", "19:30")?;
        let code = accounts::open_setup(&self.writer, at)
            .await?
            .ok_or(Stop::Missing)?;
        let first = people::PEOPLE.first().ok_or(Stop::Missing)?;
        let new = NewCoop {
            coop: Coop {
                name: "Coldwater Ridge Pressing Co-op".to_owned(),
                place: "Tolliver Gap, TN 37999".to_owned(),
                zone: self.zone.clone(),
                units: Units::Us,
                altitude_m: 289.6,
                contact_phone: first.phone.to_owned(),
                way: "From the crossroads at Tolliver Gap two miles up Coldwater Road; the mill is the red barn behind the church. Trailers turn round on the meadow.".to_owned(),
                bring: String::new(),
                lies_at: Some((35.874_1, -83.561_2)),
            },
            name: MemberName::parse(first.name)?,
            phone: Phone::parse(first.phone)?,
            sign_in: SignInName::parse("ruth")?,
            passphrase: Passphrase::typed(PASSPHRASE),
        };
        let steward = accounts::set_up(&self.arrival(at), code.as_str(), new).await?;
        self.members.push(steward);
        self.roles.push(Role::Steward);
        Ok(())
    }

    /// The colours that looks at lots pick from.
    async fn colour_card(&self) -> Done<()> {
        for (name, shade) in [
            ("straw", "#dcb75c"),
            ("light amber", "#c58a2b"),
            ("amber", "#9a5a16"),
            ("dark", "#5a2c0c"),
        ] {
            let act = self.act(0, TODAY, "07:10")?;
            lot_looks::add_colour(&act, name.to_owned(), shade.to_owned()).await?;
        }
        Ok(())
    }

    /// Those of the sign-ins who are not the steward.
    async fn invite(&self) -> Done<()> {
        for (place, person) in people::PEOPLE.iter().enumerate().skip(1) {
            let Some(sign_in) = person.signs_in else {
                continue;
            };
            let act = self.act(0, "2026-07-14", "19:00")?;
            let token = Token::new();
            accounts::invite(&act, self.member(place)?, &token).await?;
            let at = self.at("2026-07-15", "20:10")?;
            let name = SignInName::parse(sign_in)?;
            let passphrase = Passphrase::typed(PASSPHRASE);
            let answers = accounts::JoinAnswers {
                pools: Some(person.pools),
                named: Some(person.named),
                in_queue: Some(person.named),
            };
            accounts::join(&self.arrival(at), token.as_str(), name, passphrase, answers).await?;
        }
        Ok(())
    }
}
