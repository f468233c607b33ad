//! The co-op of the rush: eleven Saturdays, one pan, two barrels, and members who are signed in. Made
//! through the actions; accounts and sessions straight in the store, where sign-in would put them.

use canewright::actions::boil::pans;
use canewright::actions::cane::mill;
use canewright::actions::people::{accounts, members};
use canewright::actions::season::seasons;
use canewright::actions::turns::press_days;
use canewright::actions::{Act, Actor, Hashing, Ids, Token, hash_token};
use canewright::calc::boil::pan::Settings;
use canewright::calc::physics::energy::Fuel;
use canewright::store::people::accounts as account_rows;
use canewright::store::people::coop::Coop;
use canewright::store::{Reader, WriteTx, Writer};
use canewright::units::{
    FormKey, Grams, MemberId, MemberName, Millilitres, MinuteOfDay, Minutes, Passphrase, Phone,
    PressDate, Role, SignInName, SquareMetres, Units, UtcSecond, Zone,
};

/// 2026-09-01 08:00 in Chicago (13:00 UTC): turn opens, the first press day is the Saturday after.
pub const AT: UtcSecond = UtcSecond::new(1_788_267_600);
/// Press days, a week apart.
const DAYS: i64 = 11;

/// Makes the co-op with so many members; gives each one's cookie.
pub async fn make(
    (reader, writer): (&Reader, &Writer),
    phones: usize,
) -> anyhow::Result<Vec<String>> {
    let hashing = Hashing::new();
    let act = steward((reader, writer), &hashing).await?;
    plan(&act).await?;
    let hash = hashing.hash(passphrase()).await?;
    let mut people = Vec::new();
    for n in 1..=phones {
        people.push((n, member(&next(&act), n).await?));
    }
    let mut tx = writer.begin().await?;
    let mut cookies = Vec::new();
    for (n, id) in people {
        cookies.push(signed_in(&mut tx, n, id, &hash).await?);
    }
    tx.commit().await?;
    Ok(cookies)
}

fn passphrase() -> Passphrase {
    Passphrase::typed("four mules in a row")
}

/// The same with the key of another form.
fn next(act: &Act) -> Act {
    Act {
        form: FormKey::new(act.ids.next(AT)).into(),
        ..act.clone()
    }
}

/// Sets the co-op up; gives what its steward acts with.
async fn steward((reader, writer): (&Reader, &Writer), hashing: &Hashing) -> anyhow::Result<Act> {
    let ids = Ids::Chance;
    let code = accounts::open_setup(writer, AT).await?.unwrap_or_default();
    let new = accounts::NewCoop {
        coop: Coop {
            name: "Coldwater Ridge Pressing Co-op".to_owned(),
            place: "Tolliver, TN 37999".to_owned(),
            zone: Zone::parse("America/Chicago")?,
            units: Units::Us,
            altitude_m: 180.0,
            contact_phone: "615 555 0100".to_owned(),
            way: String::new(),
            bring: String::new(),
            lies_at: None,
        },
        name: MemberName::parse("Ruth Bell")?,
        phone: Phone::parse("615 555 0100")?,
        sign_in: SignInName::parse("ruth")?,
        passphrase: passphrase(),
    };
    let arrival = accounts::Arrival {
        writer: writer.clone(),
        at: AT,
        ids: ids.clone(),
        hashing: hashing.clone(),
        form: FormKey::new(ids.next(AT)).into(),
    };
    let id = accounts::set_up(&arrival, code.as_str(), new).await?;
    Ok(Act {
        writer: writer.clone(),
        reader: reader.clone(),
        at: AT,
        form: FormKey::new(ids.next(AT)).into(),
        ids,
        actor: Actor {
            id,
            role: Role::Steward,
        },
    })
}

/// A season with its press days, and what stands at the mill: room for most of 500 small turns, not
/// for all, and on a full day the vessels are the limit as often as the rollers.
async fn plan(act: &Act) -> anyhow::Result<()> {
    let pan = Settings {
        area: SquareMetres::parse("30", Units::Us)?,
        least: Millilitres::parse("40", Units::Us)?,
        most: Millilitres::parse("125", Units::Us)?,
        rate_l_m2_h: 40.7,
        fuel: Fuel::Wood,
        efficiency_pct: 40.0,
    };
    pans::add(&next(act), "Long pan".to_owned(), pan, Units::Us).await?;
    for n in 1..=2 {
        let holds = Millilitres::parse("55", Units::Us)?;
        mill::add_vessel(&next(act), format!("Barrel {n}"), holds).await?;
    }
    let season = seasons::open(&next(act), 2026, seasons::NewRules::defaults()).await?;
    let first = PressDate::parse("2026-09-05")?;
    for week in 0..DAYS {
        let day = press_days::NewPressDay {
            date: first.plus_days(week * 7),
            opens: MinuteOfDay::new(7 * 60)?,
            closes: MinuteOfDay::new(17 * 60)?,
            mill_per_h: Grams::parse("1500", Units::Us)?,
            changeover: Minutes::new(5),
            note: String::new(),
        };
        press_days::plan(&next(act), season, day).await?;
    }
    Ok(())
}

async fn member(act: &Act, n: usize) -> anyhow::Result<MemberId> {
    let new = members::NewMember {
        clock: 24,
        address: String::new(),
        name: MemberName::parse(&format!("Grower {n:03}"))?,
        phone: Phone::parse("615 555 0199")?,
        email: None,
        units: Units::Us,
        wishes: Vec::new(),
        pools: true,
        named: true,
        in_queue: true,
        call_by: String::new(),
        role: Role::Member,
    };
    Ok(members::add(act, new).await?)
}

/// An account, and a session last used an hour ago; gives its cookie.
async fn signed_in(tx: &mut WriteTx, n: usize, id: MemberId, hash: &str) -> anyhow::Result<String> {
    let name = SignInName::parse(&format!("grower{n:03}"))?;
    let since = AT.plus(-3600);
    let token = Token::new();
    account_rows::put(tx, id, &name, hash, since).await?;
    let kept = hash_token(token.as_str());
    account_rows::insert_session(tx, &kept, id, since, since.plus(accounts::ABSOLUTE_S)).await?;
    Ok(format!("canewright={}", token.as_str()))
}
