-- What counts how much when a season's turns are proposed: voted with the rules, one row for each version. A version that was made
-- before has none and means the defaults.
create table season_weights (
  rules_id text primary key references season_rules (id),
  day_g integer not null constraint weights_day check (day_g between 0 and 5000000), -- what opening the mill for a day counts, as cane lost
  person_g integer not null constraint weights_person check (person_g between 0 and 1000000), -- each of the crew who comes, as cane lost
  short_pct real not null constraint weights_short check (short_pct between 0 and 100), -- of cane missing to fill a pan
  wait_pct real not null constraint weights_wait check (wait_pct between 0 and 100), -- of cane whose juice waits for the pan
  move_pct real not null constraint weights_move check (move_pct between 0 and 100), -- of cane that was put on another day before
  step_pct real not null constraint weights_step check (step_pct between 1 and 50), -- the worst-off member's loss is told apart in such steps
  edge_pct real not null constraint weights_edge check (edge_pct between 0 and 50), -- of its sugar, at either end of the days ready
  early_pct real not null constraint weights_early check (early_pct between 0.1 and 20), -- for each day before
  late_pct real not null constraint weights_late check (late_pct between 0.1 and 20), -- for each day after
  frost_pct real not null constraint weights_frost check (frost_pct between 0 and 100) -- of cane that a frost has killed
) strict, without rowid;
create trigger season_weights_stand before update on season_weights
begin select raise(abort, 'rules are never changed: make a new version'); end;
create trigger season_weights_stay before delete on season_weights
begin select raise(abort, 'rules are never deleted'); end;
