//! Adding members, changing their cards, and letting them go or come back.

use super::household::end_all;
use super::own_passphrase::own_passphrase;
use crate::actions::{Act, Done, Hashing, Stop, as_seen, begin};
use crate::calc::RuleRefusal;
use crate::calc::shares::ledger::{grams_says, money_says};
use crate::store::WriteTx;
use crate::store::home;
use crate::store::people::members::Member;
use crate::store::people::{accounts, coop, forgotten, members};
use crate::units::{
    Email, Grams, MemberId, MemberName, Passphrase, Phone, Role, Units, count_of, look_alike_forms,
};

/// A member's card as a steward fills it in.
#[derive(Debug, Clone)]
pub struct NewMember {
    /// Name as on a statement.
    pub name: MemberName,
    /// The member's telephone.
    pub phone: Phone,
    /// E-mail, if given.
    pub email: Option<Email>,
    /// Units this person reads and types in.
    pub units: Units,
    /// Hours of the clock that this person reads times on: 12 or 24.
    pub clock: i64,
    /// Postal address; empty: none.
    pub address: String,
    /// Jar sizes liked best, by net weight.
    pub wishes: Vec<Grams>,
    /// Agrees to boil together with others.
    pub pools: bool,
    /// May stand on a lot's public page.
    pub named: bool,
    /// Others see the first name in a day's queue.
    pub in_queue: bool,
    /// Whom to ask for a member without a telephone; empty: nobody.
    pub call_by: String,
    /// What the person may do.
    pub role: Role,
}

/// Adds a member.
pub async fn add(act: &Act, new: NewMember) -> Done<MemberId> {
    act.steward()?;
    let mut tx = begin!(act, "add_member");
    let id = add_one(act, &mut tx, new).await?;
    act.finish(tx, "add_member", id).await
}

/// As [`add`], within a transaction that does more.
pub(super) async fn add_one(act: &Act, tx: &mut WriteTx, new: NewMember) -> Done<MemberId> {
    nobody_elses(tx, None, &new.name).await?;
    let member = Member {
        id: MemberId::new(act.id()),
        number: members::next_number().ask(tx).await?,
        name: new.name,
        phone: new.phone,
        email: new.email,
        units: new.units,
        clock: new.clock,
        address: new.address,
        pools: new.pools,
        named: new.named,
        in_queue: new.in_queue,
        call_by: new.call_by,
        role: new.role,
        left_at: None,
        version: 1,
    };
    members::insert(tx, &member, act.at).await?;
    write_wishes(tx, member.id, &new.wishes).await?;
    Ok(member.id)
}

/// The proof that whoever changes a card is its owner.
#[derive(Debug)]
pub struct Proof<'a> {
    /// The queue in which passphrases are hashed.
    pub hashing: &'a Hashing,
    /// The passphrase as typed.
    pub passphrase: Passphrase,
}

/// Changes a member's card. A member may change their own, but not their role and name; telephone, e-mail and address
/// only with the passphrase, since notices and new invitations go there.
pub async fn change(
    act: &Act,
    id: MemberId,
    version: i64,
    new: NewMember,
    proof: Proof<'_>,
) -> Done<MemberId> {
    if let Some(done) = act.done_before("change_member").await? {
        return Ok(done);
    }
    if notices_go_elsewhere(act, id, &new).await? {
        let sentence =
            "That is not your passphrase. Telephone, e-mail and address are changed only with it.";
        own_passphrase(act, proof.hashing, proof.passphrase, sentence).await?;
    }
    let mut tx = begin!(act, "change_member");
    let before = members::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    if !act.actor.is_steward() && act.actor.id != id {
        return Err(Stop::Missing);
    }
    not_forgotten(&mut tx, &before).await?;
    if new.name != before.name {
        if !act.actor.is_steward() {
            return Err(RuleRefusal::beside(
                "name",
                "name-by-steward",
                "A name is changed by a steward, so that nobody takes another’s. Please ask one.",
            )
            .into());
        }
        nobody_elses(&mut tx, Some(id), &new.name).await?;
        members::insert_name(&mut tx, id, &new.name, (act.actor.id, act.at)).await?;
    }
    let role = if act.actor.is_steward() {
        new.role
    } else {
        before.role
    };
    keep_a_steward(&mut tx, &before, role).await?;
    card_as_seen(&before, version)?;
    let after = Member {
        name: new.name,
        phone: new.phone,
        email: new.email,
        units: new.units,
        clock: new.clock,
        address: new.address,
        pools: new.pools,
        named: new.named,
        in_queue: new.in_queue,
        call_by: new.call_by,
        role,
        ..before
    };
    members::update(&mut tx, &after).await?;
    write_wishes(&mut tx, id, &new.wishes).await?;
    act.finish(tx, "change_member", id).await
}

/// Whether somebody changes where the own notices go, which takes the passphrase; a steward changes another's card without, and so
/// does whoever has none yet.
async fn notices_go_elsewhere(act: &Act, id: MemberId, new: &NewMember) -> Done<bool> {
    let mut now = act.reader.snapshot().await?;
    let before = members::find(id).ask(&mut now).await?;
    let before = before.ok_or(Stop::Missing)?;
    let same =
        (&before.phone, &before.email, &before.address) == (&new.phone, &new.email, &new.address);
    let guarded = accounts::of_member(&mut now, id).await?.is_some();
    Ok(!same && act.actor.id == id && guarded)
}

/// Whether one name is taken for the other.
fn alike(one: &[String; 2], other: &MemberName) -> bool {
    let other = look_alike_forms(other.as_str());
    one[0] == other[0] || one[1] == other[1]
}

/// Refuses the name of another member, and one that looks like it; one that another member bore, too, since tickets, divisions and
/// receipts of then keep it.
async fn nobody_elses(tx: &mut WriteTx, own: Option<MemberId>, name: &MemberName) -> Done<()> {
    let all = members::names_of_all().ask(tx).await?;
    let wanted = look_alike_forms(name.as_str());
    let others = all.iter().filter(|m| Some(m.member_id) != own);
    let mut alike = others.filter(|m| alike(&wanted, &m.name));
    let Some(other) = alike.next() else {
        return Ok(());
    };
    let how = if other.now {
        "is called that already"
    } else {
        "was called that before"
    };
    let sentence = format!(
        "Member {} {how}, or so that it looks the same. Please add what tells the two apart, like “Amos Trout, Mill Road”.",
        other.number
    );
    Err(RuleRefusal::beside("name", "name-taken", sentence).into())
}

/// Lets a member go: no more turns, no more sign-in, nobody acts for the card any more; every record stays.
/// Whoever owes or is owed something is let go only by a steward who `knows`.
pub async fn let_go(act: &Act, id: MemberId, knows: bool) -> Done<MemberId> {
    act.steward()?;
    let mut tx = begin!(act, "let_member_go");
    let before = members::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    keep_a_steward(&mut tx, &before, Role::Member).await?;
    let stands = home::balance(id).ask(&mut tx).await?;
    if !knows && stands.is_open() {
        return Err(RuleRefusal::new(
            "owes-or-is-owed",
            format!(
                "{} owes something or is owed something: {}. Please settle it first, or tick on the member’s page that you know.",
                before.name,
                stands_says(&stands, coop::find().ask(&mut tx).await?.map_or(Units::Us, |c| c.units))
            ),
        )
        .into());
    }
    members::update(
        &mut tx,
        &Member {
            left_at: Some(act.at),
            ..before
        },
    )
    .await?;
    accounts::end_sessions(&mut tx, id, "").await?;
    accounts::end_invites(&mut tx, id, act.at).await?;
    end_all(act, &mut tx, id).await?;
    act.finish(tx, "let_member_go", id).await
}

/// What stands for a member, in words: "$15.10 to pay, 2.3 lb still to come, 4 jars at the mill".
pub fn stands_says(stands: &home::Balance, units: Units) -> String {
    let jars = count_of(stands.jars, "jar", "jars");
    let money = money_says(stands.cents);
    let syrup = grams_says(stands.grams, units);
    format!("{money}, {syrup}, {jars} at the mill")
}

/// Takes a member back.
pub async fn take_back(act: &Act, id: MemberId) -> Done<MemberId> {
    act.steward()?;
    let mut tx = begin!(act, "take_member_back");
    let before = members::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    not_forgotten(&mut tx, &before).await?;
    members::update(
        &mut tx,
        &Member {
            left_at: None,
            ..before
        },
    )
    .await?;
    // If nobody ended the right to act for a card when they left, it does not come back with them.
    end_all(act, &mut tx, id).await?;
    act.finish(tx, "take_member_back", id).await
}

/// Refuses what the card of a forgotten member takes no more.
pub(super) async fn not_forgotten(tx: &mut WriteTx, member: &Member) -> Done<()> {
    if forgotten::find(member.id).ask(tx).await?.is_none() {
        return Ok(());
    }
    Err(RuleRefusal::new(
        "forgotten",
        format!(
            "Member {} was forgotten. Somebody who comes back is added as a new member.",
            member.number
        ),
    )
    .into())
}

async fn write_wishes(tx: &mut WriteTx, id: MemberId, wishes: &[Grams]) -> Done<()> {
    members::clear_wishes(tx, id).await?;
    for net in wishes {
        members::insert_wish(tx, id, *net).await?;
    }
    Ok(())
}

/// The last steward who can sign in may not step down or go: nobody could open the door again.
async fn keep_a_steward(tx: &mut WriteTx, before: &Member, role: Role) -> Done<()> {
    let steps_down = before.role == Role::Steward && role != Role::Steward;
    if steps_down && members::stewards_besides(before.id).ask(tx).await? == 0 {
        return Err(RuleRefusal::beside(
            "role",
            "last-steward",
            format!(
                "{} is the last steward who can sign in. Make somebody else a steward first.",
                before.name
            ),
        )
        .into());
    }
    Ok(())
}

fn card_as_seen(before: &Member, version: i64) -> Result<(), RuleRefusal> {
    as_seen(before.version, version, || {
        format!("{}’s card was changed", before.name)
    })
}
