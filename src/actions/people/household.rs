//! Several people act for one member's card, each with a sign-in of their own: let somebody, and end it.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::store::WriteTx;
use crate::store::people::household::Latest;
use crate::store::people::{household, members};
use crate::units::MemberId;

/// What is a member's is changed by that member, by whoever acts for the card, and by crew.
pub(in crate::actions) async fn own(act: &Act, tx: &mut WriteTx, member: MemberId) -> Done<()> {
    if act.actor.is_crew() || act.actor.id == member {
        return Ok(());
    }
    if household::acts(member, act.actor.id).ask(tx).await? {
        return Ok(());
    }
    Err(Stop::Missing)
}

/// Lets somebody act for a card from here on; for stewards.
pub async fn let_act(act: &Act, member: MemberId, person: MemberId) -> Done<MemberId> {
    act.steward()?;
    let mut tx = begin!(act, "let_act_for_card");
    let card = members::find(member)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let other = members::find(person)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let refused =
        |code, sentence: String| Err(RuleRefusal::beside("person", code, sentence).into());
    if card.id == other.id {
        let sentence = format!(
            "{} acts for this card already: it is their own.",
            other.name
        );
        return refused("own-card", sentence);
    }
    if let Some(left) = [&card, &other]
        .into_iter()
        .find(|one| one.left_at.is_some())
    {
        let sentence = format!(
            "{} has left the co-op; take the member back first.",
            left.name
        );
        return refused("left", sentence);
    }
    let before = household::latest(member, person).ask(&mut tx).await?;
    if before.acts {
        let sentence = format!("{} acts for this card already.", other.name);
        return refused("acts-already", sentence);
    }
    let by = (act.actor.id, act.at);
    let says = Latest {
        version: before.version + 1,
        acts: true,
        letters: false,
    };
    household::insert(&mut tx, (member, person), says, by).await?;
    act.finish(tx, "let_act_for_card", member).await
}

/// The latest entry of somebody who must still act for a card.
async fn acting(tx: &mut WriteTx, member: MemberId, person: MemberId) -> Done<Latest> {
    let before = household::latest(member, person).ask(tx).await?;
    if !before.acts {
        let sentence = "That person does not act for this card any more.";
        return Err(RuleRefusal::new("does-not-act", sentence).into());
    }
    Ok(before)
}

/// Ends that somebody acts for a card; for stewards.
pub async fn end(act: &Act, member: MemberId, person: MemberId) -> Done<MemberId> {
    act.steward()?;
    let mut tx = begin!(act, "end_acting_for_card");
    let before = acting(&mut tx, member, person).await?;
    let by = (act.actor.id, act.at);
    household::insert(&mut tx, (member, person), ended(before.version), by).await?;
    act.finish(tx, "end_acting_for_card", member).await
}

/// Sends the card's letters and notices to somebody who acts for it, too, or not any more: for its member, and for stewards,
/// who ask the member.
pub async fn send_letters(
    act: &Act,
    member: MemberId,
    person: MemberId,
    letters: bool,
) -> Done<MemberId> {
    if act.actor.id != member {
        act.steward()?;
    }
    let mut tx = begin!(act, "letters_to_who_acts");
    let before = acting(&mut tx, member, person).await?;
    if before.letters != letters {
        let says = Latest {
            version: before.version + 1,
            acts: true,
            letters,
        };
        let by = (act.actor.id, act.at);
        household::insert(&mut tx, (member, person), says, by).await?;
    }
    act.finish(tx, "letters_to_who_acts", member).await
}

/// The entry that ends it, after this version.
const fn ended(version: i64) -> Latest {
    Latest {
        version: version + 1,
        acts: false,
        letters: false,
    }
}

/// Ends what somebody acts for, and who acts for their card: of whoever leaves. Taken back, a steward says it anew.
pub(super) async fn end_all(act: &Act, tx: &mut WriteTx, id: MemberId) -> Done<()> {
    for (member, person, version) in household::of_either(id).ask(tx).await? {
        let by = (act.actor.id, act.at);
        household::insert(tx, (member, person), ended(version), by).await?;
    }
    Ok(())
}
