-- A season and its rules, what stands at the mill, press days and turns.

create table seasons (
  id text primary key,
  year integer not null unique constraint season_year check (year between 2000 and 2199),
  opened_at integer not null
) strict;

-- Each change of the rules is a new numbered version; a boil keeps the one in force when it was lit.
create table season_rules (
  id text primary key,
  season_id text not null references seasons (id),
  number integer not null constraint rules_number check (number >= 1),
  basis text not null constraint rules_basis check (basis in ('solids', 'juice_mass', 'juice_volume', 'cane_mass')),
  toll_bp integer not null constraint rules_toll check (toll_bp between 0 and 10000), -- hundredths of a percent of the syrup
  cane_mc_per_kg integer not null default 0 constraint rules_cane check (cane_mc_per_kg >= 0), -- thousandths of a cent
  juice_mc_per_l integer not null default 0 constraint rules_juice check (juice_mc_per_l >= 0),
  jar_fee_cents integer not null default 0 constraint rules_jar_fee check (jar_fee_cents >= 0),
  least_cents integer not null default 0 constraint rules_least check (least_cents >= 0), -- per member and boil
  target_bx real not null constraint rules_target check (target_bx between 60 and 90), -- finish, at 20 °C
  floor_bx real not null constraint rules_floor check (floor_bx between 0 and 30), -- juice below this is warned about
  hold_amber_min integer not null constraint rules_amber check (hold_amber_min > 0), -- juice clock
  hold_red_min integer not null constraint rules_red check (hold_red_min >= hold_amber_min),
  cane_warn_days integer not null default 4 constraint rules_cane_days check (cane_warn_days between 1 and 30), -- cane clock
  yield_amber_pct real not null default 45 constraint rules_yield_amber check (yield_amber_pct between 0 and 100), -- juice per 100 of cane
  yield_red_pct real not null default 38 constraint rules_yield_red check (yield_red_pct between 0 and 100),
  recovery_pct real not null default 80 constraint rules_recovery check (recovery_pct between 1 and 100), -- solids expected out of those in
  juice_pct real not null default 45 constraint rules_juice_pct check (juice_pct between 1 and 100), -- juice expected per 100 of cane
  row_kg_per_m real not null default 2.0 constraint rules_row check (row_kg_per_m > 0), -- stripped cane expected per metre of row
  stalk_g integer not null default 450 constraint rules_stalk check (stalk_g > 0), -- one stripped stalk
  note text not null default '',
  made_by text not null references members (id),
  made_at integer not null,
  unique (season_id, number)
) strict;
create trigger season_rules_stand before update on season_rules
begin select raise(abort, 'rules are never changed: make a new version'); end;
create trigger season_rules_stay before delete on season_rules
begin select raise(abort, 'rules are never deleted'); end;

create table jar_sizes (
  rules_id text not null references season_rules (id),
  position integer not null, -- order on pages: largest first
  name text not null constraint jar_size_name check (length(name) between 1 and 30),
  net_g integer not null constraint jar_size_net check (net_g > 0),
  price_cents integer not null constraint jar_size_price check (price_cents >= 0), -- of the empty jar
  primary key (rules_id, position)
) strict, without rowid;

create table scales (
  id text primary key,
  name text not null unique,
  graduation_g real not null constraint scale_graduation check (graduation_g > 0), -- d: what one step of the display is
  capacity_g integer not null constraint scale_capacity check (capacity_g > 0),
  retired_at integer
) strict;

create table vessels (
  id text primary key,
  name text not null unique,
  capacity_ml integer not null constraint vessel_capacity check (capacity_ml > 0),
  retired_at integer
) strict;

create table press_days (
  id text primary key,
  season_id text not null references seasons (id),
  date text not null unique constraint press_day_date check (date glob '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  opens_min integer not null constraint press_day_opens check (opens_min between 0 and 1435 and opens_min % 5 = 0), -- minutes after local midnight
  closes_min integer not null constraint press_day_closes check (closes_min between opens_min + 5 and 1440 and closes_min % 5 = 0),
  mill_g_per_h integer not null constraint press_day_rate check (mill_g_per_h between 1000 and 10000000), -- grams of cane an hour
  changeover_min integer not null constraint press_day_changeover check (changeover_min between 0 and 120),
  note text not null default '',
  closed_at integer, -- null while it takes turns and tickets
  version integer not null default 1,
  made_by text not null references members (id),
  made_at integer not null
) strict;

create table bookings (
  id text primary key,
  press_day_id text not null references press_days (id),
  member_id text not null references members (id),
  start_min integer not null constraint booking_start check (start_min between 0 and 1435 and start_min % 5 = 0),
  minutes integer not null constraint booking_minutes check (minutes between 5 and 1440 and minutes % 5 = 0), -- pressing and change-over
  cane_g integer not null constraint booking_cane check (cane_g > 0), -- expected
  told_as text not null constraint booking_told check (told_as in ('weight', 'row', 'stalks')), -- how the member put it
  told_amount real not null, -- grams, metres or stalks, as told
  note text not null default '',
  state text not null constraint booking_state check (state in ('held', 'cancelled')),
  version integer not null default 1, -- counts moves
  made_by text not null references members (id),
  made_at integer not null
) strict;
create index bookings_by_day on bookings (press_day_id);
create index bookings_by_member on bookings (member_id);

-- Every five minutes of a press day has room for one turn: the key itself keeps two turns apart.
create table booked_minutes (
  press_day_id text not null references press_days (id),
  minute integer not null constraint booked_minute check (minute between 0 and 1435 and minute % 5 = 0),
  booking_id text not null references bookings (id),
  primary key (press_day_id, minute)
) strict, without rowid;
create index booked_minutes_by_booking on booked_minutes (booking_id);

-- What happened to a turn, in order: made, moved, cancelled; by whom and why.
create table booking_events (
  booking_id text not null references bookings (id),
  version integer not null,
  what text not null constraint booking_event_what check (what in ('made', 'moved', 'cancelled')),
  start_min integer not null,
  minutes integer not null,
  press_day_id text not null references press_days (id),
  why text not null default '',
  by_id text not null references members (id),
  at integer not null,
  primary key (booking_id, version)
) strict, without rowid;
create trigger booking_events_stand before update on booking_events
begin select raise(abort, 'what happened to a turn is never changed'); end;
create trigger booking_events_stay before delete on booking_events
begin select raise(abort, 'what happened to a turn is never deleted'); end;
