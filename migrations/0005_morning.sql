-- The pans that boils are planned for, the opening checks before a day's first ticket, and what was
-- added to a boil beside juice.

create table pans (
  id text primary key,
  name text not null constraint pan_name check (length(name) between 1 and 60),
  area_m2 real not null constraint pan_area check (area_m2 between 0.05 and 50), -- boiling surface
  least_ml integer not null constraint pan_least check (least_ml > 0), -- juice below which it scorches
  most_ml integer not null constraint pan_most check (most_ml >= least_ml), -- juice above which it boils over
  rate_l_per_m2_h real not null constraint pan_rate check (rate_l_per_m2_h between 5 and 400), -- water it drives off
  fuel text not null constraint pan_fuel check (length(fuel) between 1 and 30),
  efficiency_pct real not null constraint pan_efficiency check (efficiency_pct between 5 and 95), -- of the fuel's heat, into the juice
  retired_at integer -- null while in use
) strict;
create unique index pans_in_use on pans (name) where retired_at is null;

-- One row each time an item of the morning's list was looked at; the highest version counts.
create table opening_checks (
  press_day_id text not null references press_days (id),
  item text not null constraint check_item check (item in
    ('weight', 'refractometer', 'water_boil', 'guards', 'extinguisher', 'engine', 'pan', 'first_aid')),
  version integer not null constraint check_version check (version >= 1),
  outcome text not null constraint check_outcome check (outcome in ('done', 'waived')),
  figure real, -- as read, in `unit`; null: nothing is read for this item, or it was waived
  unit text not null constraint check_unit check (unit in ('', 'g', 'Bx', 'C')),
  against real constraint check_against check ((against is not null) = (unit = 'g')), -- the check weight's own weight, g
  scale_id text references scales (id) constraint check_scale check ((scale_id is not null) = (unit = 'g')),
  sure integer not null default 0 constraint check_sure check (sure in (0, 1)), -- 1: read again, though it looked wrong
  note text not null default '', -- why it was waived, or a remark
  by_id text not null references members (id),
  at integer not null,
  primary key (press_day_id, item, version),
  constraint check_figure check ((figure is not null) = (unit <> '')),
  constraint check_unit_fits check (unit = case
    when outcome = 'waived' then '' when item = 'weight' then 'g'
    when item = 'refractometer' then 'Bx' when item = 'water_boil' then 'C' else '' end),
  constraint check_waived_why check (outcome = 'done' or note <> '')
) strict, without rowid;
create trigger opening_checks_stand before update on opening_checks
begin select raise(abort, 'an opening check is never changed: make it again'); end;
create trigger opening_checks_stay before delete on opening_checks
begin select raise(abort, 'an opening check is never deleted'); end;

-- Enzyme, defoamer and the like, as measured out by the crew from the maker's own sheet.
create table additions (
  boil_id text not null references boils (id),
  number integer not null constraint addition_number check (number >= 1),
  what text not null constraint addition_what check (what in ('enzyme', 'defoamer', 'other')),
  maker text not null constraint addition_maker check (length(maker) between 1 and 80), -- product and maker, as on the pack
  its_lot text not null constraint addition_lot check (length(its_lot) between 1 and 40), -- of the pack
  dose text not null constraint addition_dose check (length(dose) between 1 and 40), -- as measured, with its unit
  temp_c real constraint addition_temp check (temp_c between -40 and 200), -- of the juice or syrup; null: not read
  void integer not null default 0 constraint addition_void check (void in (0, 1)), -- 1: it never went in
  replaces integer, -- number of the addition this one puts right; null: none
  why text not null default '',
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, number),
  foreign key (boil_id, replaces) references additions (boil_id, number),
  constraint addition_replaces check (replaces is null or (replaces < number and why <> '')),
  constraint addition_void_which check (void = 0 or replaces is not null)
) strict, without rowid;
create unique index additions_put_right on additions (boil_id, replaces) where replaces is not null;
create trigger additions_stand before update on additions
begin select raise(abort, 'an addition is never changed: put it right with another'); end;
create trigger additions_stay before delete on additions
begin select raise(abort, 'an addition is never deleted'); end;
create trigger additions_closed before insert on additions
when exists (select 1 from divisions d where d.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;
