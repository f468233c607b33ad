-- A loss that was written down can be put right or taken back until the season bears it: a further line with who, when and why. The first
-- line, in losses, stands as it was written.
create table loss_changes (
  boil_id text not null references losses (boil_id),
  number integer not null constraint loss_change_number check (number >= 2), -- runs on for each boil; the row in losses is the first; the last counts
  what text not null constraint loss_change_what check (what in ('scorched', 'spilled', 'other')),
  lost_g integer not null constraint loss_change_g check (lost_g >= 0), -- of syrup; 0: taken back, nothing counts as lost
  whole integer not null constraint loss_change_whole check (whole in (0, 1) and (whole = 0 or lost_g > 0)), -- 1: nothing was left to put in jars
  why text not null constraint loss_change_why check (length(why) between 1 and 300),
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, number)
) strict, without rowid;
create trigger loss_changes_stand before update on loss_changes begin select raise(abort, 'a loss stands'); end;
create trigger loss_changes_stay before delete on loss_changes begin select raise(abort, 'a loss stands'); end;
create trigger loss_changes_until_borne before insert on loss_changes
when exists (select 1 from ledger l where l.boil_id = new.boil_id and l.kind = 'loss')
begin select raise(abort, 'the season bears this loss already'); end;
create trigger loss_changes_locked_insert before insert on loss_changes
when exists (select 1 from locked_seasons s where s.season_id = (select b.season_id from boils b where b.id = new.boil_id))
begin select raise(abort, 'this season is locked'); end;

-- The losses that count, each by its last line.
create view counted_losses as
select
  l.boil_id,
  coalesce(c.what, l.what) as what,
  coalesce(c.lost_g, l.lost_g) as lost_g,
  coalesce(c.whole, l.whole) as whole,
  coalesce(c.why, l.why) as why,
  coalesce(c.by_id, l.by_id) as by_id,
  coalesce(c.at, l.at) as at
from losses l
left join loss_changes c
  on c.boil_id = l.boil_id
  and c.number = (select max(v.number) from loss_changes v where v.boil_id = l.boil_id)
where coalesce(c.lost_g, l.lost_g) > 0;

-- As before, with a whole loss that was taken back counting no more.
drop view closed_boils;
create view closed_boils as
select
  b.id as boil_id,
  d.id as division_id,
  coalesce(d.version, 0) as version,
  coalesce(d.at, l.at) as at
from boils b
left join divisions d
  on d.boil_id = b.id
  and d.version = (select max(v.version) from divisions v where v.boil_id = b.id)
  and not exists (select 1 from corrections c where c.boil_id = b.id and c.version > d.version)
left join losses l
  on l.boil_id = b.id
  and coalesce((select c.whole from loss_changes c where c.boil_id = b.id order by c.number desc limit 1), l.whole) = 1
where d.id is not null or l.boil_id is not null;
