-- A season that is closed is locked: nothing more is measured, boiled, divided or voted in it, and its ledger takes payments alone. A
-- lock is lifted with a reason, and both stand.
create table season_locks (
  season_id text not null references seasons (id),
  number integer not null constraint season_lock_number check (number >= 1), -- runs on for each season; the last counts
  locked integer not null constraint season_lock_locked check (locked in (0, 1)), -- 0: lifted
  why text not null constraint season_lock_why check (length(why) <= 300 and (locked = 1 or length(why) > 0)),
  by_id text not null references members (id),
  at integer not null,
  primary key (season_id, number)
) strict, without rowid;
create trigger season_locks_stand before update on season_locks begin select raise(abort, 'a lock stands'); end;
create trigger season_locks_stay before delete on season_locks begin select raise(abort, 'a lock stands'); end;
create trigger season_locks_in_turn before insert on season_locks
when new.locked = coalesce((select l.locked from season_locks l where l.season_id = new.season_id order by l.number desc limit 1), 0)
begin select raise(abort, 'a season is locked, then opened again'); end;

-- The seasons that are locked by their last line.
create view locked_seasons as
select l.season_id from season_locks l
where l.locked = 1 and l.number = (select max(x.number) from season_locks x where x.season_id = l.season_id);

-- Each table that belongs to a season; the words are those that `store/refused.rs` knows.
create trigger press_days_locked_insert before insert on press_days
when exists (select 1 from locked_seasons s where s.season_id = new.season_id)
begin select raise(abort, 'this season is locked'); end;
create trigger press_days_locked_update before update on press_days
when exists (select 1 from locked_seasons s where s.season_id = new.season_id)
begin select raise(abort, 'this season is locked'); end;
create trigger turns_locked_insert before insert on turns
when exists (select 1 from locked_seasons s where s.season_id = (select d.season_id from press_days d where d.id = new.press_day_id))
begin select raise(abort, 'this season is locked'); end;
create trigger tickets_locked_insert before insert on tickets
when exists (select 1 from locked_seasons s where s.season_id = new.season_id)
begin select raise(abort, 'this season is locked'); end;
create trigger tickets_locked_update before update on tickets
when exists (select 1 from locked_seasons s where s.season_id = new.season_id)
begin select raise(abort, 'this season is locked'); end;
create trigger loads_locked_insert before insert on loads
when exists (select 1 from locked_seasons s where s.season_id = (select t.season_id from tickets t where t.id = new.ticket_id))
begin select raise(abort, 'this season is locked'); end;
create trigger ticket_ends_locked_insert before insert on ticket_ends
when exists (select 1 from locked_seasons s where s.season_id = (select t.season_id from tickets t where t.id = new.ticket_id))
begin select raise(abort, 'this season is locked'); end;
create trigger juices_locked_insert before insert on juices
when exists (select 1 from locked_seasons s where s.season_id = (select t.season_id from tickets t where t.id = new.ticket_id))
begin select raise(abort, 'this season is locked'); end;
create trigger juice_measures_locked_insert before insert on juice_measures
when exists (select 1 from locked_seasons s where s.season_id = (select t.season_id from juices j join tickets t on t.id = j.ticket_id where j.id = new.juice_id))
begin select raise(abort, 'this season is locked'); end;
create trigger juice_losses_locked_insert before insert on juice_losses
when exists (select 1 from locked_seasons s where s.season_id = (select t.season_id from juices j join tickets t on t.id = j.ticket_id where j.id = new.juice_id))
begin select raise(abort, 'this season is locked'); end;
create trigger boils_locked_insert before insert on boils
when exists (select 1 from locked_seasons s where s.season_id = new.season_id)
begin select raise(abort, 'this season is locked'); end;
create trigger draws_locked_insert before insert on draws
when exists (select 1 from locked_seasons s where s.season_id = (select b.season_id from boils b where b.id = new.boil_id))
begin select raise(abort, 'this season is locked'); end;
create trigger finishes_locked_insert before insert on finishes
when exists (select 1 from locked_seasons s where s.season_id = (select b.season_id from boils b where b.id = new.boil_id))
begin select raise(abort, 'this season is locked'); end;
create trigger fills_locked_insert before insert on fills
when exists (select 1 from locked_seasons s where s.season_id = (select b.season_id from boils b where b.id = new.boil_id))
begin select raise(abort, 'this season is locked'); end;
create trigger losses_locked_insert before insert on losses
when exists (select 1 from locked_seasons s where s.season_id = (select b.season_id from boils b where b.id = new.boil_id))
begin select raise(abort, 'this season is locked'); end;
create trigger divisions_locked_insert before insert on divisions
when exists (select 1 from locked_seasons s where s.season_id = (select b.season_id from boils b where b.id = new.boil_id))
begin select raise(abort, 'this season is locked'); end;
create trigger corrections_locked_insert before insert on corrections
when exists (select 1 from locked_seasons s where s.season_id = (select b.season_id from boils b where b.id = new.boil_id))
begin select raise(abort, 'this season is locked'); end;
create trigger season_rules_locked_insert before insert on season_rules
when exists (select 1 from locked_seasons s where s.season_id = new.season_id)
begin select raise(abort, 'this season is locked'); end;
create trigger rules_confirmed_locked_insert before insert on rules_confirmed
when exists (select 1 from locked_seasons s where s.season_id = (select r.season_id from season_rules r where r.id = new.rules_id))
begin select raise(abort, 'this season is locked'); end;
create trigger ledger_locked_insert before insert on ledger
when new.kind not in ('payment', 'answer')
  and exists (select 1 from locked_seasons s where s.season_id = new.season_id)
begin select raise(abort, 'this season is locked'); end;
