//! Setting up, inviting, joining, signing in and out.

use crate::actions::{
    Act, Begun, Done, Hashing, Ids, SentForm, Stop, Token, begin, begin_form, finish_form,
    hash_token,
};
use crate::calc::RuleRefusal;
use crate::store::people::accounts::{self, Account, Invite};
use crate::store::people::coop::Coop;
use crate::store::people::members::Member;
use crate::store::people::{coop, members, sessions};
use crate::store::{Conn, Question, WriteTx, Writer};
use crate::units::{
    InviteId, MemberId, MemberName, Passphrase, Phone, Role, SignInName, UtcSecond,
};

/// Seconds without use after which a session ends: 12 hours, a long day at the mill.
pub const IDLE_S: i64 = 12 * 3600;
/// Seconds after which a session ends, used or not: 30 days.
pub const ABSOLUTE_S: i64 = 30 * 86_400;
/// Seconds for which an invitation can be used: 14 days.
pub const INVITE_S: i64 = 14 * 86_400;

/// Passphrases that everybody tries first: the 3,000 commonest of at least eight characters of the list of 30,000 in
/// zxcvbn (Dropbox, MIT licence; taken from its Python port `zxcvbn` 4.5.0), and a few of the trade.
const COMMON: &str = include_str!("common_passphrases.txt");

/// What the first steward fills in to set the site up.
#[derive(Debug)]
pub struct NewCoop {
    /// The co-op's card.
    pub coop: Coop,
    /// The steward's name.
    pub name: MemberName,
    /// The steward's telephone.
    pub phone: Phone,
    /// The name to sign in with.
    pub sign_in: SignInName,
    /// The passphrase.
    pub passphrase: Passphrase,
}

/// Fewest characters that a passphrase has beside names that anybody would try.
const OF_ITS_OWN: usize = 6;

/// Whether a passphrase may be used; `names` are those of the person, the co-op and its place.
fn uncommon(passphrase: &Passphrase, sign_in: &SignInName, names: &[&str]) -> Done<()> {
    let lower = passphrase.as_str().to_lowercase();
    let plain = |text: &str| -> String {
        let lower = text.to_lowercase();
        lower.chars().filter(|c| c.is_alphanumeric()).collect()
    };
    let mut left = plain(&lower);
    let of_names = names.iter().flat_map(|name| name.split_whitespace());
    let mut tried: Vec<String> = of_names.chain([sign_in.as_str()]).map(plain).collect();
    tried.sort_by_key(|part| std::cmp::Reverse(part.len()));
    for part in tried.iter().filter(|part| part.chars().count() >= 3) {
        left = left.replace(part.as_str(), "");
    }
    let nothing_else = left != plain(&lower) && left.chars().count() < OF_ITS_OWN;
    if nothing_else || COMMON.lines().any(|line| line == lower) || lower == sign_in.as_str() {
        return Err(RuleRefusal::beside(
            "passphrase",
            "passphrase-common",
            "That passphrase is one of the first that anybody would try. Please choose another, such as four or five words.",
        )
        .into());
    }
    Ok(())
}

/// As [`uncommon`], with the names of this co-op.
pub(super) async fn uncommon_here(
    conn: &mut Conn,
    passphrase: &Passphrase,
    sign_in: &SignInName,
    name: &MemberName,
) -> Done<()> {
    let coop = coop::find().ask(conn).await?;
    let of_coop = coop
        .as_ref()
        .map_or(["", ""], |c| [c.name.as_str(), c.place.as_str()]);
    uncommon(
        passphrase,
        sign_in,
        &[name.as_str(), of_coop[0], of_coop[1]],
    )
}

/// At first start: makes and keeps a new set-up code, unless the co-op is set up already.
pub async fn open_setup(writer: &Writer, at: UtcSecond) -> Done<Option<Token>> {
    let mut tx = writer.begin().await?;
    if coop::find().ask(&mut tx).await?.is_some() {
        return Ok(None);
    }
    let token = Token::new();
    accounts::put_setup_hash(&mut tx, &hash_token(token.as_str()), at).await?;
    tx.commit().await?;
    Ok(Some(token))
}

/// What an action is handed when nobody is signed in yet: setting up, and joining.
#[derive(Debug, Clone)]
pub struct Arrival {
    /// The one writer.
    pub writer: Writer,
    /// The moment of this action.
    pub at: UtcSecond,
    /// The source of new ids.
    pub ids: Ids,
    /// Hashes the new passphrase.
    pub hashing: Hashing,
    /// The form that asked for it.
    pub form: SentForm,
}

/// The code of the refusal when a form was done before with another passphrase.
pub const ANOTHER_PASSPHRASE: &str = "another-passphrase";

impl Arrival {
    async fn begin(&self, action: &'static str) -> Done<Begun<MemberId>> {
        begin_form(&self.writer, &self.form, action).await
    }

    async fn finish(&self, tx: WriteTx, action: &'static str, member: MemberId) -> Done<MemberId> {
        let nothing = Question::answered(());
        finish_form(tx, nothing, &self.form, (action, member), (member, self.at)).await
    }

    /// The answer to a form that was done before: the same, to whoever knows the passphrase. Nothing of a
    /// passphrase is kept with a form, so that it is compared with the account's.
    async fn done_before(&self, member: MemberId, passphrase: Passphrase) -> Done<MemberId> {
        let account = {
            let mut tx = self.writer.begin().await?;
            accounts::of_member(&mut tx, member).await?
        };
        let known = check_passphrase(&self.hashing, account, passphrase).await?;
        Ok(known.ok_or_else(|| {
            RuleRefusal::new(
                ANOTHER_PASSPHRASE,
                "This form was already sent, with another passphrase. Please sign in with that one.",
            )
        })?)
    }
}

/// Makes the co-op and its first steward; the set-up code is dead afterwards.
pub async fn set_up(arrival: &Arrival, code: &str, new: NewCoop) -> Done<MemberId> {
    let names = [new.name.as_str(), &new.coop.name, &new.coop.place];
    uncommon(&new.passphrase, &new.sign_in, &names)?;
    match arrival.begin("set_up").await? {
        Begun::Before(member) => return arrival.done_before(member, new.passphrase).await,
        Begun::Fresh(mut tx) => setup_is_open(&mut tx, code).await?,
    }
    // Hashing is slow: no transaction is open meanwhile.
    let hash = arrival.hashing.hash(new.passphrase.clone()).await?;
    let mut tx = match arrival.begin("set_up").await? {
        Begun::Before(member) => return arrival.done_before(member, new.passphrase).await,
        Begun::Fresh(tx) => tx,
    };
    setup_is_open(&mut tx, code).await?;
    let member = Member {
        clock: 24,
        address: String::new(),
        id: MemberId::new(arrival.ids.next(arrival.at)),
        number: members::next_number().ask(&mut tx).await?,
        name: new.name,
        phone: new.phone,
        email: None,
        units: new.coop.units,
        // As for whoever joins: a question that was not asked is answered no.
        pools: false,
        named: false,
        in_queue: false,
        call_by: String::new(),
        role: Role::Steward,
        left_at: None,
        version: 1,
    };
    coop::put(&mut tx, &new.coop).await?;
    members::insert(&mut tx, &member, arrival.at).await?;
    accounts::put(&mut tx, member.id, &new.sign_in, &hash, arrival.at).await?;
    accounts::clear_setup(&mut tx).await?;
    arrival.finish(tx, "set_up", member.id).await
}

/// Refuses when the co-op is set up already, or by another code than the one that was printed.
async fn setup_is_open(tx: &mut WriteTx, code: &str) -> Done<()> {
    let wanted = accounts::setup_hash(tx).await?;
    let there = coop::find().ask(tx).await?.is_some();
    if there || wanted != Some(hash_token(&code.trim().to_lowercase())) {
        return Err(RuleRefusal::beside(
            "code",
            "setup-code",
            "That is not the set-up code printed when the program started. It can be used once only; start the program again for a new one.",
        )
        .into());
    }
    Ok(())
}

/// Makes an invitation for a member; earlier unused ones end. Only the hash of `token` is kept: whoever asks shows it.
pub async fn invite(act: &Act, member: MemberId, token: &Token) -> Done<InviteId> {
    act.steward()?;
    let mut tx = begin!(act, "invite");
    let hash = hash_token(token.as_str());
    let id = invite_one(act, &mut tx, member, &hash).await?;
    act.finish(tx, "invite", id).await
}

/// As [`invite`], within a transaction that does more.
pub(super) async fn invite_one(
    act: &Act,
    tx: &mut WriteTx,
    member: MemberId,
    hash: &str,
) -> Done<InviteId> {
    let card = members::find(member).ask(tx).await?.ok_or(Stop::Missing)?;
    if card.left_at.is_some() {
        return Err(RuleRefusal::new(
            "member-left",
            format!(
                "{} has left the co-op. Take the member back first.",
                card.name
            ),
        )
        .into());
    }
    let (id, until) = (InviteId::new(act.id()), act.at.plus(INVITE_S));
    accounts::end_invites(tx, member, act.at).await?;
    accounts::insert_invite(tx, id, member, hash, act.actor.id, act.at, until).await?;
    Ok(id)
}

/// What a member who joins answers; none: not answered, which is a no: whoever was silent agreed to nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct JoinAnswers {
    /// The juice may be boiled together with others'.
    pub pools: Option<bool>,
    /// The name may stand on the public page of a lot.
    pub named: Option<bool>,
    /// Others see the first name in a day's queue.
    pub in_queue: Option<bool>,
}

/// Uses an invitation: the member gets an account, and any earlier session of theirs ends. Whoever had an account
/// before (a forgotten passphrase) keeps the name to sign in with, and is asked nothing anew.
pub async fn join(
    arrival: &Arrival,
    token: &str,
    sign_in: SignInName,
    passphrase: Passphrase,
    answers: JoinAnswers,
) -> Done<MemberId> {
    uncommon(&passphrase, &sign_in, &[])?;
    match arrival.begin("join").await? {
        Begun::Before(member) => return arrival.done_before(member, passphrase).await,
        Begun::Fresh(mut tx) => {
            let (invite, sign_in, _) = usable(&mut tx, token, &sign_in, arrival.at).await?;
            uncommon_here(&mut tx, &passphrase, &sign_in, &invite.name).await?;
        }
    }
    // Hashing is slow: no transaction is open meanwhile.
    let hash = arrival.hashing.hash(passphrase.clone()).await?;
    let mut tx = match arrival.begin("join").await? {
        Begun::Before(member) => return arrival.done_before(member, passphrase).await,
        Begun::Fresh(tx) => tx,
    };
    let (invite, sign_in, back) = usable(&mut tx, token, &sign_in, arrival.at).await?;
    if !back {
        write_answers(&mut tx, invite.member_id, answers).await?;
    }
    accounts::put(&mut tx, invite.member_id, &sign_in, &hash, arrival.at).await?;
    accounts::mark_invite_used(&mut tx, invite.id, arrival.at).await?;
    accounts::end_sessions(&mut tx, invite.member_id, "").await?;
    arrival.finish(tx, "join", invite.member_id).await
}

/// The sentence for an invitation that can no longer be used.
pub const USED_UP: &str =
    "This invitation has been used or has run out. A steward can give you a new one.";

/// Writes what a member answered on the card.
async fn write_answers(tx: &mut WriteTx, id: MemberId, answers: JoinAnswers) -> Done<()> {
    let before = members::find(id).ask(tx).await?.ok_or(Stop::Missing)?;
    let after = Member {
        pools: answers.pools.unwrap_or(false),
        named: answers.named.unwrap_or(false),
        in_queue: answers.in_queue.unwrap_or(false),
        ..before
    };
    Ok(members::update(tx, &after).await?)
}

/// The invitation of that token, when it can be used and nobody else signs in with that name; the name to sign in
/// with; and whether its member signed in before, and keeps the name of then.
async fn usable(
    tx: &mut WriteTx,
    token: &str,
    sign_in: &SignInName,
    at: UtcSecond,
) -> Done<(Invite, SignInName, bool)> {
    let invite = accounts::find_invite(tx, &hash_token(token), at)
        .await?
        .ok_or_else(|| RuleRefusal::new("invite-used", USED_UP))?;
    if let Some(kept) = accounts::sign_in_of(tx, invite.member_id).await? {
        return Ok((invite, kept, true));
    }
    if accounts::find(tx, sign_in)
        .await?
        .is_some_and(|other| other.member_id != invite.member_id)
    {
        return Err(RuleRefusal::beside(
            "sign_in",
            "sign-in-taken",
            "Somebody else signs in with that name. Please choose another.",
        )
        .into());
    }
    Ok((invite, sign_in.clone(), false))
}

/// Whether a passphrase belongs to the account that was named; takes the same time whoever asks. Hashing is
/// slow: the caller holds no moment of the database meanwhile.
pub async fn check_passphrase(
    hashing: &Hashing,
    account: Option<Account>,
    passphrase: Passphrase,
) -> Done<Option<MemberId>> {
    let looked = check_passphrase_if(hashing, account, passphrase, (|| true, |_| {})).await?;
    Ok(looked.flatten())
}

/// As [`check_passphrase`], if it is `still` asked once its turn has come; else `None`. Whether it was right is `told`
/// before the next one has its turn.
pub async fn check_passphrase_if(
    hashing: &Hashing,
    account: Option<Account>,
    passphrase: Passphrase,
    (still, told): (impl FnOnce() -> bool, impl FnOnce(bool) + Send + 'static),
) -> Done<Option<Option<MemberId>>> {
    let account = account.filter(|a| !a.left);
    let (id, hash) = account.map_or((None, None), |a| {
        (Some(a.member_id), Some(a.passphrase_hash))
    });
    let good = hashing.matches_if(passphrase, hash, (still, told)).await?;
    Ok(good.map(|good| id.filter(|_| good)))
}

/// The mark of a device that an account was signed in with: it can be told only by whoever knows what is stored of
/// the passphrase, and a new passphrase makes it void.
pub fn device_mark(sign_in: &str, account: &Account) -> Token {
    Token::derived(&format!("device:{sign_in}:{}", account.passphrase_hash))
}

/// The mark of a sign-in whose passphrase was right and whose code is still to be typed: good for the browser of
/// that cookie, from an instant on, and void with another passphrase.
pub fn second_mark(sign_in: &str, account: &Account, said: UtcSecond, cookie: &str) -> Token {
    Token::derived(&format!(
        "second:{sign_in}:{}:{cookie}:{}",
        said.get(),
        account.passphrase_hash
    ))
}

/// Opens a session for a member and gives its token, for the cookie. `old` is the cookie the
/// browser came with: its session ends, so that nobody can plant one.
pub async fn open_session(
    writer: &Writer,
    at: UtcSecond,
    member: MemberId,
    old: &str,
) -> Done<Token> {
    open_session_on(writer, at, member, old, "").await
}

/// As [`open_session`]; `device`: the name of the device, at most 60 characters; empty: unknown.
pub async fn open_session_on(
    writer: &Writer,
    at: UtcSecond,
    member: MemberId,
    old: &str,
    device: &str,
) -> Done<Token> {
    let token = Token::new();
    let mut tx = writer.begin().await?;
    accounts::end_session(&mut tx, &hash_token(old)).await?;
    accounts::insert_session(
        &mut tx,
        &hash_token(token.as_str()),
        member,
        at,
        at.plus(ABSOLUTE_S),
    )
    .await?;
    sessions::put_device(&mut tx, &hash_token(token.as_str()), device).await?;
    tx.commit().await?;
    Ok(token)
}

/// Notes that a session is in use; the caller asks at most once a minute.
pub async fn touch_session(writer: &Writer, at: UtcSecond, token_hash: &str) -> Done<()> {
    let mut tx = writer.begin().await?;
    accounts::touch_session(&mut tx, token_hash, at).await?;
    Ok(tx.commit().await?)
}

/// Ends a session.
pub async fn sign_out(writer: &Writer, token: &str) -> Done<()> {
    let mut tx = writer.begin().await?;
    accounts::end_session(&mut tx, &hash_token(token)).await?;
    Ok(tx.commit().await?)
}
