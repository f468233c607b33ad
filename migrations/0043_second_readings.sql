-- A sample read again: the season's rules may say that one ticket in so many, drawn by lot, has its juice read once more by a
-- second person. What the second person read is kept beside the first; it changes nothing by itself.

alter table season_rules add column read_again_one_in integer not null default 0
  constraint rules_read_again check (read_again_one_in = 0 or read_again_one_in between 2 and 100); -- 0: none

create table second_readings (
  juice_id text not null references juices (id),
  number integer not null constraint second_number check (number >= 1), -- the highest counts
  brix real not null constraint second_brix check (brix between 0 and 95), -- as read
  temp_c real not null constraint second_temp check (temp_c between -40 and 200), -- of juice and drop
  instrument text not null constraint second_instrument check (instrument in ('plain', 'self', 'digital')),
  note text not null default '' constraint second_note check (length(note) <= 200),
  by_id text not null references members (id),
  at integer not null,
  primary key (juice_id, number)
) strict, without rowid;
create trigger second_readings_stand before update on second_readings
begin select raise(abort, 'a second reading stands: read once more'); end;
create trigger second_readings_stay before delete on second_readings
begin select raise(abort, 'a second reading stands'); end;
create trigger second_readings_by_another before insert on second_readings
when exists (select 1 from juice_measures m where m.juice_id = new.juice_id and m.by_id = new.by_id)
begin select raise(abort, 'who measured a juice does not read it again'); end;
create trigger second_readings_closed before insert on second_readings
when exists (select 1 from draws d join closed_boils c on c.boil_id = d.boil_id where d.juice_id = new.juice_id)
begin select raise(abort, 'this juice is in a divided boil'); end;
