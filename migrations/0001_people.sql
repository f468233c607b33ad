-- The co-op itself, its members, and how they sign in. Secrets sit apart from the member's card.
pragma application_id = 1128353367; -- "CANW": `check` refuses a file that is not ours.

create table coop (
  id integer primary key constraint coop_is_one check (id = 1),
  name text not null constraint coop_name check (length(name) between 1 and 80),
  place text not null constraint coop_place check (length(place) between 1 and 120), -- city, state, ZIP: goes on labels
  zone text not null, -- IANA time zone; press dates and turn times are civil times there
  units text not null constraint coop_units check (units in ('us', 'metric')),
  altitude_m real not null default 0 constraint coop_altitude check (altitude_m between -300 and 5000),
  contact_phone text not null default ''
) strict;

create table members (
  id text primary key,
  number integer not null unique, -- the co-op's own running number, on cards and statements
  name text not null constraint member_name check (length(name) between 1 and 60),
  phone text not null,
  email text, -- null: none given
  units text not null constraint member_units check (units in ('us', 'metric')),
  pools integer not null constraint member_pools check (pools in (0, 1)), -- agrees to boil together with others
  named integer not null constraint member_named check (named in (0, 1)), -- may stand on a lot's public page
  role text not null constraint member_role check (role in ('member', 'crew', 'steward')),
  left_at integer, -- null while a member
  version integer not null default 1, -- counts changes: an edit names the version it saw
  made_at integer not null
) strict;

-- The jar sizes a member likes best, by net weight; a wish, never a promise.
create table member_jar_wishes (
  member_id text not null references members (id),
  net_g integer not null constraint wish_net check (net_g > 0),
  primary key (member_id, net_g)
) strict, without rowid;

create table accounts (
  member_id text primary key references members (id),
  sign_in text not null unique,
  passphrase_hash text not null, -- argon2id, PHC string
  changed_at integer not null
) strict;

create table invites (
  id text primary key,
  member_id text not null references members (id),
  token_hash text not null unique, -- SHA-256 of the token in the link, hex; the link is shown once
  made_by text not null references members (id),
  made_at integer not null,
  ends_at integer not null,
  used_at integer -- null until used; a used one is dead
) strict;

-- The one-time code printed at first start; the row goes when the steward's account is made.
create table setup_codes (
  id integer primary key constraint setup_is_one check (id = 1),
  code_hash text not null,
  made_at integer not null
) strict;

create table sessions (
  token_hash text primary key, -- SHA-256 of the cookie, hex
  member_id text not null references members (id),
  made_at integer not null,
  seen_at integer not null, -- for the idle limit; written at most once a minute
  ends_at integer not null -- the absolute limit
) strict;
create index sessions_by_member on sessions (member_id);

-- Which forms have been done: the same key again gets the same answer.
create table form_keys (
  key text primary key,
  action text not null,
  result text not null, -- the id the action answered with
  member_id text references members (id),
  done_at integer not null
) strict;
