-- A version of the rules is a draft until a steward confirms it with the day from which it holds; no boil is lit and no ticket
-- opened under rules that nobody confirmed. An undivided boil can be moved to another version, with a reason. A row that
-- was written stands.

create table rules_confirmed (
  rules_id text primary key references season_rules (id),
  holds_from text not null constraint rules_confirmed_date check (holds_from glob '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'), -- civil date, in the co-op's place
  by_id text not null references members (id),
  at integer not null
) strict;
create trigger rules_confirmed_stand before update on rules_confirmed
begin select raise(abort, 'rules that were confirmed stand: make a new version'); end;
create trigger rules_confirmed_stay before delete on rules_confirmed
begin select raise(abort, 'rules that were confirmed stand: make a new version'); end;

-- Everything made before this version was in force when it was made, the first of a season for all of its year. SQL knows
-- no time zone: twelve hours back is still the same day in the evening of any American zone.
insert into rules_confirmed (rules_id, holds_from, by_id, at)
select r.id, case when r.number = 1 then printf('%04d-01-01', s.year) else date(r.made_at, 'unixepoch', '-12 hours') end,
  r.made_by, r.made_at
from season_rules r join seasons s on s.id = r.season_id;

-- An undivided boil moved to another version than it was lit under; the highest version counts.
create table boil_rules (
  boil_id text not null references boils (id),
  version integer not null constraint boil_rules_version check (version >= 1),
  rules_id text not null references rules_confirmed (rules_id),
  why text not null constraint boil_rules_why check (length(why) between 1 and 300),
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, version)
) strict, without rowid;
create trigger boil_rules_stand before update on boil_rules
begin select raise(abort, 'a boil that was moved to other rules is moved again, not rewritten'); end;
create trigger boil_rules_stay before delete on boil_rules
begin select raise(abort, 'a boil that was moved to other rules is moved again, not rewritten'); end;
create trigger boil_rules_closed before insert on boil_rules
when exists (select 1 from closed_boils c where c.boil_id = new.boil_id)
  or exists (select 1 from divisions d where d.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;

-- The version that a boil is divided by.
create view rules_of_boils as
select b.id as boil_id, coalesce((select m.rules_id from boil_rules m where m.boil_id = b.id order by m.version desc limit 1),
  b.rules_id) as rules_id
from boils b;
