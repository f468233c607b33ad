-- The day itself: cane weighed, juice measured, boils, jars. Measured rows are append-only; the
-- highest version counts.

create table deliveries (
  id text primary key,
  season_id text not null references seasons (id),
  ticket integer not null constraint delivery_ticket check (ticket >= 1), -- runs through the season without gaps
  press_day_id text not null references press_days (id),
  member_id text not null references members (id),
  booking_id text unique references bookings (id), -- null: walked in; unique: one ticket a turn
  cut_at integer, -- null: not known; the cane's clock starts here
  stripped integer not null constraint delivery_stripped check (stripped in (0, 1)), -- leaves off
  headed integer not null constraint delivery_headed check (headed in (0, 1)), -- seed heads off
  clean integer not null constraint delivery_clean check (clean in (0, 1)), -- no mud or trash
  frosted integer not null constraint delivery_frosted check (frosted in (0, 1)),
  note text not null default '',
  made_by text not null references members (id),
  made_at integer not null,
  unique (season_id, ticket)
) strict;
create index deliveries_by_day on deliveries (press_day_id);
create index deliveries_by_member on deliveries (member_id);

create table loads (
  delivery_id text not null references deliveries (id),
  number integer not null constraint load_number check (number >= 1), -- first load, second load …
  version integer not null constraint load_version check (version >= 1),
  scale_id text not null references scales (id),
  graduation_g real not null, -- d of the scale at that time
  gross_g integer not null constraint load_gross check (gross_g between 0 and 40000000),
  tare_g integer not null constraint load_tare check (tare_g between 0 and gross_g),
  void integer not null default 0 constraint load_void check (void in (0, 1)), -- 1: crossed out
  why text not null default '', -- of a correction
  by_id text not null references members (id), -- who weighed
  at integer not null,
  primary key (delivery_id, number, version)
) strict, without rowid;
create trigger loads_stand before update on loads
begin select raise(abort, 'a weighing is never changed: correct it with a new version'); end;
create trigger loads_stay before delete on loads
begin select raise(abort, 'a weighing is never deleted'); end;

create table juices (
  id text primary key,
  delivery_id text not null references deliveries (id),
  vessel_id text not null references vessels (id),
  pressed_at integer not null, -- the juice's clock starts here
  made_by text not null references members (id),
  made_at integer not null,
  unique (delivery_id, vessel_id)
) strict;

create table juice_measures (
  juice_id text not null references juices (id),
  version integer not null constraint measure_version check (version >= 1),
  amount_kind text not null constraint measure_kind check (amount_kind in ('mass', 'volume')),
  amount integer not null constraint measure_amount check (amount >= 0), -- g or mL, everything in the vessel
  sediment integer not null constraint measure_sediment check (sediment between 0 and amount), -- same unit, drawn off
  temp_c real not null constraint measure_temp check (temp_c between -40 and 200), -- of the juice as measured
  instrument text not null constraint measure_instrument check (instrument in ('plain', 'self', 'digital')),
  brix_1 real not null constraint measure_brix_1 check (brix_1 between 0 and 95), -- as read
  brix_2 real not null constraint measure_brix_2 check (brix_2 between 0 and 95),
  brix_3 real constraint measure_brix_3 check (brix_3 between 0 and 95), -- null unless the first two differed
  void integer not null default 0 constraint measure_void check (void in (0, 1)), -- 1: poured away, or never was
  why text not null default '',
  by_id text not null references members (id),
  at integer not null,
  primary key (juice_id, version)
) strict, without rowid;
create trigger juice_measures_stand before update on juice_measures
begin select raise(abort, 'a juice reading is never changed: correct it with a new version'); end;
create trigger juice_measures_stay before delete on juice_measures
begin select raise(abort, 'a juice reading is never deleted'); end;

create table boils (
  id text primary key,
  lot_code text not null unique,
  season_id text not null references seasons (id),
  rules_id text not null references season_rules (id), -- in force when lit; kept for good
  press_day_id text not null references press_days (id),
  solo_member_id text references members (id), -- null: pooled
  target_bx real not null,
  water_boil_c real, -- this morning's reading of boiling water; null: not taken
  lit_at integer not null,
  cook_id text not null references members (id),
  note text not null default ''
) strict;
create index boils_by_day on boils (press_day_id);
create trigger boils_stand before update on boils
begin select raise(abort, 'a boil is never rewritten'); end;
create trigger boils_stay before delete on boils
begin select raise(abort, 'a boil is never deleted'); end;

-- What was poured from a juice into a boil. `whole` 1: all that was left in the vessel, so that a
-- corrected reading of the juice still leaves nothing behind.
create table draws (
  boil_id text not null references boils (id),
  juice_id text not null references juices (id),
  version integer not null constraint draw_version check (version >= 1),
  amount_g integer not null constraint draw_amount check (amount_g >= 0), -- 0: taken out again
  whole integer not null constraint draw_whole check (whole in (0, 1)),
  why text not null default '',
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, juice_id, version)
) strict, without rowid;
create index draws_by_juice on draws (juice_id);
create trigger draws_stand before update on draws
begin select raise(abort, 'a draw is never changed: correct it with a new version'); end;
create trigger draws_stay before delete on draws
begin select raise(abort, 'a draw is never deleted'); end;

create table boil_readings (
  boil_id text not null references boils (id),
  number integer not null constraint reading_number check (number >= 1),
  read_at integer not null,
  temp_c real constraint reading_temp check (temp_c between -40 and 200), -- null: not read
  brix real constraint reading_brix check (brix between 0 and 95), -- as read; null: not read
  note text not null default '',
  replaces integer, -- number of the reading this one puts right; null: none
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, number),
  constraint reading_says_something check (temp_c is not null or brix is not null or note <> '')
) strict, without rowid;
create trigger boil_readings_stand before update on boil_readings
begin select raise(abort, 'a reading is never changed: put it right with another'); end;
create trigger boil_readings_stay before delete on boil_readings
begin select raise(abort, 'a reading is never deleted'); end;

create table finishes (
  boil_id text not null references boils (id),
  version integer not null constraint finish_version check (version >= 1),
  syrup_g integer not null constraint finish_syrup check (syrup_g > 0),
  brix real not null constraint finish_brix check (brix between 0 and 95), -- refractometer, as read
  instrument text not null constraint finish_instrument check (instrument in ('plain', 'self', 'digital')),
  sample_c real not null constraint finish_sample check (sample_c between -40 and 200), -- of the cooled sample
  brix_20c real not null constraint finish_brix_20c check (brix_20c between 0 and 95),
  finish_c real constraint finish_temp check (finish_c between -40 and 200), -- of the pan when drawn off; null: not read
  skimmed_g integer not null default 0 constraint finish_skimmed check (skimmed_g >= 0),
  finished_at integer not null,
  why text not null default '',
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, version)
) strict, without rowid;
create trigger finishes_stand before update on finishes
begin select raise(abort, 'a finish is never changed: correct it with a new version'); end;
create trigger finishes_stay before delete on finishes
begin select raise(abort, 'a finish is never deleted'); end;

create table fills (
  boil_id text not null references boils (id),
  number integer not null constraint fill_number check (number >= 1),
  version integer not null constraint fill_version check (version >= 1),
  size_name text not null,
  net_g integer not null constraint fill_net check (net_g > 0),
  count integer not null constraint fill_count check (count >= 0), -- 0: crossed out
  part integer not null constraint fill_part check (part in (0, 1) and (part = 0 or count <= 1)), -- 1: a part-jar
  price_cents integer not null constraint fill_price check (price_cents >= 0), -- of one empty jar
  why text not null default '',
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, number, version)
) strict, without rowid;
create trigger fills_stand before update on fills
begin select raise(abort, 'a fill is never changed: correct it with a new version'); end;
create trigger fills_stay before delete on fills
begin select raise(abort, 'a fill is never deleted'); end;
