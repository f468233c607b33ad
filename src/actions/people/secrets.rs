//! Tokens of 160 bits, kept only as SHA-256, and passphrase hashing (argon2id), one at a
//! time and away from the threads that serve pages.

use crate::actions::{Done, Stop};
use crate::store::StoreError;
use crate::units::Passphrase;
use argon2::password_hash::phc::{Output, ParamsString, PasswordHash, Salt};
use argon2::{Algorithm, Argon2, Block, Params, Version};
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::sync::Arc;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::task::spawn_blocking;

/// A secret of 160 bits, from the operating system or derived from another secret, as 32 letters and digits (Crockford's base 32,
/// lower case). Shown once; only its hash is stored.
#[derive(Clone)]
pub struct Token(String);

const ALPHABET: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";

impl Token {
    /// A new token from random bytes.
    pub fn new() -> Self {
        let mut bytes = [0_u8; 32];
        getrandom::fill(&mut bytes).expect("the operating system gives random bytes");
        Self::spelt(&bytes)
    }

    /// The one that a text gives, by SHA-256: the same text gives the same again. As secret as the text is.
    pub fn derived(from: &str) -> Self {
        Self::spelt(&Sha256::digest(from.as_bytes()))
    }

    /// Five bits of each byte: 32 letters of 5 bits are 160 bits, none favoured.
    fn spelt(bytes: &[u8]) -> Self {
        Self(
            bytes
                .iter()
                .map(|b| char::from(ALPHABET[usize::from(b & 31)]))
                .collect(),
        )
    }

    /// 160 bits that follow from it and do not give it away.
    pub fn bytes(&self) -> [u8; 20] {
        let mut bytes = [0_u8; 20];
        bytes.copy_from_slice(&Sha256::digest(format!("bytes:{}", self.0).as_bytes())[..20]);
        bytes
    }

    /// The text that goes into a cookie, a link or onto a card.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Default for Token {
    fn default() -> Self {
        Self::new()
    }
}

impl std::fmt::Debug for Token {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Token(…)")
    }
}

/// SHA-256 of a token, in hex. A token is long and random, so no slow hash is needed.
pub fn hash_token(token: &str) -> String {
    let digest = Sha256::digest(token.as_bytes());
    digest
        .iter()
        .fold(String::with_capacity(64), |mut text, byte| {
            let _ = write!(text, "{byte:02x}");
            text
        })
}

/// Hashes passphrases with argon2id, 19 MiB, t=2, p=1 (OWASP Password Storage Cheat Sheet, 2026):
/// one at a time, so that eight people signing in at once do not take 150 MB.
#[derive(Debug, Clone)]
pub struct Hashing(Arc<Semaphore>);

impl Default for Hashing {
    fn default() -> Self {
        Self::new()
    }
}

fn cost() -> Params {
    Params::new(19 * 1024, 2, 1, None).expect("19 MiB, t=2, p=1 are valid parameters")
}

/// A hash nobody knows the passphrase of: an unknown name takes the same time as a wrong one.
const NOBODY: &str = "$argon2id$v=19$m=19456,t=2,p=1$Y2FuZXdyaWdodG5vYm9keQ$AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA";

impl Hashing {
    /// A new queue that hashes one passphrase at a time.
    pub fn new() -> Self {
        Self(Arc::new(Semaphore::new(1)))
    }

    /// The hash of a passphrase, as a PHC string.
    ///
    /// # Errors
    /// The hashing failed.
    pub async fn hash(&self, passphrase: Passphrase) -> Done<String> {
        let turn = self.turn().await?;
        off_thread(turn, move || {
            let mut salt = [0; Salt::RECOMMENDED_LENGTH];
            getrandom::fill(&mut salt).expect("the operating system gives random bytes");
            let hash = PasswordHash {
                algorithm: Algorithm::Argon2id.ident(),
                version: Some(Version::V0x13.into()),
                params: ParamsString::try_from(&cost()).ok()?,
                salt: Some(Salt::new(&salt).ok()?),
                hash: Some(digest(&passphrase, &salt, cost())?),
            };
            Some(hash.to_string())
        })
        .await?
        .ok_or_else(|| fault("argon2id gave no hash".to_owned()))
    }

    /// Whether a passphrase belongs to a hash; with no hash, takes the same time and says no.
    ///
    /// # Errors
    /// The hashing failed.
    pub async fn matches(&self, passphrase: Passphrase, hash: Option<String>) -> Done<bool> {
        let looked = self.matches_if(passphrase, hash, (|| true, |_| {})).await?;
        Ok(looked == Some(true))
    }

    /// As [`Hashing::matches`], if it is `still` asked once its turn has come; else `None`. What came of it is `told`
    /// before the next one has its turn.
    ///
    /// # Errors
    /// The hashing failed.
    pub async fn matches_if(
        &self,
        passphrase: Passphrase,
        hash: Option<String>,
        (still, told): (impl FnOnce() -> bool, impl FnOnce(bool) + Send + 'static),
    ) -> Done<Option<bool>> {
        let turn = self.turn().await?;
        if !still() {
            return Ok(None);
        }
        off_thread(turn, move || {
            let right = belongs(&passphrase, hash.as_deref());
            told(right);
            right
        })
        .await
        .map(Some)
    }

    /// Waits for the turn to hash.
    async fn turn(&self) -> Done<OwnedSemaphorePermit> {
        let turn = Arc::clone(&self.0).acquire_owned().await;
        turn.map_err(|e| fault(e.to_string()))
    }
}

/// Whether a passphrase belongs to a hash; with no hash, takes the same time and says no.
fn belongs(passphrase: &Passphrase, hash: Option<&str>) -> bool {
    let right = PasswordHash::new(hash.unwrap_or(NOBODY)).is_ok_and(|stored| {
        let (Some(salt), Some(expected)) = (stored.salt, stored.hash) else {
            return false;
        };
        let Ok(params) = Params::try_from(&stored) else {
            return false;
        };
        // Compared in constant time.
        digest(passphrase, &salt, params).is_some_and(|found| found == expected)
    });
    right && hash.is_some()
}

/// Least memory that is asked for at once, in blocks of a KiB: above 32 MiB the system gives it back at once when it
/// is let go (`mallopt(3)`, `M_MMAP_THRESHOLD`), so that no thread keeps 19 MiB that it has done with. What is not
/// written to takes no memory.
const GIVEN_BACK: usize = 33 * 1024;

/// The argon2id hash of a passphrase; `None` when the parameters do not go together.
fn digest(passphrase: &Passphrase, salt: &[u8], params: Params) -> Option<Output> {
    let argon = Argon2::new(Algorithm::Argon2id, Version::V0x13, params);
    let blocks = argon.params().block_count();
    let mut memory = Vec::with_capacity(blocks.max(GIVEN_BACK));
    memory.resize(blocks, Block::new());
    let mut out = [0; Params::DEFAULT_OUTPUT_LEN];
    argon
        .hash_password_into_with_memory(passphrase.as_bytes(), salt, &mut out, &mut memory)
        .ok()?;
    Output::new(&out).ok()
}

async fn off_thread<T: Send + 'static>(
    turn: OwnedSemaphorePermit,
    work: impl FnOnce() -> T + Send + 'static,
) -> Done<T> {
    spawn_blocking(move || {
        let done = work();
        drop(turn);
        done
    })
    .await
    .map_err(|e| fault(e.to_string()))
}

fn fault(found: String) -> Stop {
    Stop::Fault(StoreError::Corrupt {
        what: "passphrase hash",
        found,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn a_hash_is_argon2id_with_the_stated_cost_and_matches_only_its_passphrase() {
        let hashing = Hashing::new();
        let hash = hashing
            .hash(Passphrase::typed("four mules in a row"))
            .await
            .unwrap();
        assert!(
            hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
            "{hash}"
        );
        let tries = |text: &'static str, hash: Option<String>| {
            let hashing = hashing.clone();
            async move {
                hashing
                    .matches(Passphrase::typed(text), hash)
                    .await
                    .unwrap()
            }
        };
        assert!(tries("four mules in a row", Some(hash.clone())).await);
        assert!(!tries("four mules in a row ", Some(hash)).await);
        assert!(!tries("four mules in a row", None).await);
    }

    #[test]
    fn the_stand_in_hash_for_nobody_is_well_formed() {
        assert!(PasswordHash::new(NOBODY).is_ok());
    }

    #[test]
    fn tokens_have_160_bits_and_never_repeat() {
        let (a, b) = (Token::new(), Token::new());
        assert_eq!(a.as_str().len(), 32);
        assert_ne!(a.as_str(), b.as_str());
        // SHA-256 of "abc" (FIPS 180-2, appendix B.1) begins ba 78 16 bf and ends 15 ad: 26, 24, 22, 31 and
        // 21, 13 of the alphabet.
        let derived = Token::derived("abc");
        assert_eq!(derived.as_str().len(), 32);
        assert!(
            derived.as_str().starts_with("trpz") && derived.as_str().ends_with("nd"),
            "{}",
            derived.as_str()
        );
        assert_eq!(
            hash_token("abc"),
            // FIPS 180-2, appendix B.1.
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
