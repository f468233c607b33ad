-- A secret that somebody put in the place of another opens the account with a code of theirs. The secret itself is not copied into the
-- records; its digest is, and is compared with it when the books are looked over. The program fills it in for those that are there.
alter table second_factors add column secret_hash text not null default '' -- SHA-256 of the secret, hex
  constraint factor_secret_hash check (length(secret_hash) in (0, 64));
