-- What a person sees of where somebody is signed in, and the second factor of signing in.
alter table sessions add column device text not null default '' -- as its browser names itself, shortened; empty: unknown
  constraint session_device check (length(device) <= 60);

-- Who types a code of an authenticator beside the passphrase. Each sign-in works the code out anew, so the secret
-- cannot be hashed: whoever reads the file has it.
create table second_factors (
  member_id text primary key references members (id),
  secret text not null constraint factor_secret check (length(secret) = 32), -- 160 bits in base32 (RFC 4648)
  made_at integer not null,
  last_step integer not null -- time step of the code that was used last: none opens twice (RFC 6238, section 5.2)
) strict, without rowid;

-- Codes for whoever lost the authenticator; each opens once.
create table recovery_codes (
  member_id text not null references second_factors (member_id) on delete cascade,
  code_hash text not null, -- SHA-256, hex
  used_at integer, -- null until used
  primary key (member_id, code_hash)
) strict, without rowid;
