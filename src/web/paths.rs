//! Every address, as the pattern the router takes and as a function that fills it in. No other file
//! spells a URL. Nouns in the order the cane travels.

use crate::units::MemberId;

macro_rules! fixed {
    ($($(#[$doc:meta])* $name:ident = $path:literal;)*) => {$(
        $(#[$doc])*
        pub const $name: &str = $path;
    )*};
}

fixed! {
    /// Home, by role.
    HOME = "/";
    /// Whether the server lives.
    HEALTH = "/health";
    /// Style sheets and pictures, by hashed name.
    STATIC = "/static/{name}";
    /// For crawlers: stay out.
    ROBOTS = "/robots.txt";
    // accounts
    /// First start.
    SET_UP = "/set-up";
    /// Sign in.
    SIGN_IN = "/sign-in";
    /// Sign out.
    SIGN_OUT = "/sign-out";
    /// Change of passphrase.
    PASSPHRASE = "/passphrase";
    /// Use of an invitation.
    JOIN = "/join/{token}";
    // members
    /// All members.
    MEMBERS = "/members";
    /// A new member.
    NEW_MEMBER = "/members/new";
    /// One member.
    MEMBER = "/members/{id}";
    /// Change a member's card.
    EDIT_MEMBER = "/members/{id}/edit";
    /// Invite a member.
    INVITE_MEMBER = "/members/{id}/invite";
    /// Let a member go.
    LET_GO = "/members/{id}/let-go";
    /// Take a member back.
    TAKE_BACK = "/members/{id}/take-back";
}

/// One member.
pub fn member(id: MemberId) -> String {
    format!("/members/{id}")
}
/// Change a member's card.
pub fn edit_member(id: MemberId) -> String {
    format!("/members/{id}/edit")
}
/// Invite a member.
pub fn invite_member(id: MemberId) -> String {
    format!("/members/{id}/invite")
}
/// Let a member go.
pub fn let_go(id: MemberId) -> String {
    format!("/members/{id}/let-go")
}
/// Take a member back.
pub fn take_back(id: MemberId) -> String {
    format!("/members/{id}/take-back")
}
/// Use of an invitation.
pub fn join(token: &str) -> String {
    format!("/join/{token}")
}
/// Sign in, then go to `next`.
pub fn sign_in_then(next: &str) -> String {
    format!("{SIGN_IN}?next={}", encode(next))
}

/// Percent-encodes all but letters, digits and `-._~/` (RFC 3986, section 2.3).
fn encode(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}
