-- The day from which a confirmed version of the rules holds, put right with a reason while no boil hangs on it. The first day
-- stands in rules_confirmed; of these the one with the highest number counts.
create table rules_days (
  rules_id text not null references rules_confirmed (rules_id),
  number integer not null constraint rules_day_number check (number >= 1),
  holds_from text not null constraint rules_day_date check (holds_from glob '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'), -- civil date, in the co-op's place
  why text not null constraint rules_day_why check (length(why) between 1 and 300),
  by_id text not null references members (id),
  at integer not null,
  primary key (rules_id, number)
) strict, without rowid;
create trigger rules_days_stand before update on rules_days
when not exists (select 1 from forgetting)
  or (new.rules_id, new.number, new.holds_from, new.by_id, new.at)
  is not (old.rules_id, old.number, old.holds_from, old.by_id, old.at)
begin select raise(abort, 'a day that was put right is put right again, not rewritten'); end;
create trigger rules_days_stay before delete on rules_days
begin select raise(abort, 'a day that was put right is put right again, not rewritten'); end;
create trigger rules_days_locked_insert before insert on rules_days
when exists (select 1 from locked_seasons s where s.season_id = (select r.season_id from season_rules r where r.id = new.rules_id))
begin select raise(abort, 'this season is locked'); end;

-- Confirmed versions with the day from which each holds now.
create view rules_held as
select c.rules_id, coalesce((select d.holds_from from rules_days d where d.rules_id = c.rules_id order by d.number desc limit 1),
  c.holds_from) as holds_from, c.by_id, c.at
from rules_confirmed c;
