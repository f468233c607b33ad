-- Leaves, tops and mud in a load, by a sample that is stripped: whether a season's rules take them off the cane's weight, and
-- the samples.
alter table season_rules add column trash_off integer not null default 0
  constraint season_rules_trash_off check (trash_off in (0, 1)); -- 0: a sample is noted only

-- The highest version of a ticket's sample counts.
create table trash_samples (
  ticket_id text not null references tickets (id),
  version integer not null constraint trash_sample_version check (version >= 1),
  before_g integer not null constraint trash_sample_before check (before_g > 0), -- as it came
  after_g integer not null constraint trash_sample_after check (after_g > 0 and after_g <= before_g), -- stripped
  void integer not null constraint trash_sample_void check (void in (0, 1)), -- crossed out: there was none
  by_id text not null references members (id),
  at integer not null,
  primary key (ticket_id, version)
) strict, without rowid;
create trigger trash_samples_stand before update on trash_samples
begin select raise(abort, 'a sample is never changed: write another version'); end;
create trigger trash_samples_stay before delete on trash_samples
begin select raise(abort, 'a sample is never deleted'); end;
create trigger trash_samples_closed before insert on trash_samples
when exists (select 1 from closed_boils c join draws r on r.boil_id = c.boil_id join juices j on j.id = r.juice_id
  where j.ticket_id = new.ticket_id and (r.amount_g > 0 or r.whole = 1)
  and r.version = (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id))
begin select raise(abort, 'the boil of this cane is divided'); end;
