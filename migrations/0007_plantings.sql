-- What stands in the field, so that the season can be planned; secret addresses of calendar feeds; and
-- the true time of a weighing that was noted on paper first.

create table plantings (
  id text primary key,
  season_id text not null references seasons (id),
  member_id text not null references members (id),
  made_by text not null references members (id),
  made_at integer not null
) strict;
create index plantings_by_season on plantings (season_id);
create index plantings_by_member on plantings (member_id);

-- What was said of a planting; the highest version counts.
create table planting_versions (
  planting_id text not null references plantings (id),
  version integer not null constraint planting_version check (version >= 1),
  variety text not null constraint planting_variety check (length(variety) between 1 and 60), -- in the member's own words
  planted_on text not null constraint planting_date check (planted_on glob '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  row_m real not null constraint planting_row check (row_m > 0 and row_m <= 100000), -- all rows together
  apart_m real constraint planting_apart check (apart_m between 0.2 and 3), -- from row to row; null: not said
  maturity_days integer not null constraint planting_days check (maturity_days between 60 and 200),
  note text not null default '',
  void integer not null default 0 constraint planting_void check (void in (0, 1)), -- 1: taken off the record
  by_id text not null references members (id),
  at integer not null,
  primary key (planting_id, version)
) strict, without rowid;
create trigger planting_versions_stand before update on planting_versions
begin select raise(abort, 'what was said of a planting is never changed: add a version'); end;
create trigger planting_versions_stay before delete on planting_versions
begin select raise(abort, 'what was said of a planting is never deleted'); end;

-- Addresses that a calendar program reads turns from, without signing in. Only the hash is kept.
create table feeds (
  id text primary key,
  member_id text references members (id), -- null: the crew's
  token_hash text not null unique,
  made_by text not null references members (id),
  made_at integer not null,
  revoked_at integer -- null while it answers
) strict;
create unique index feeds_in_use on feeds (coalesce(member_id, 'crew')) where revoked_at is null;

-- When the cane was really on the scale; null: when the weighing was written down.
alter table loads add column weighed_at integer constraint load_weighed check (weighed_at <= at);
