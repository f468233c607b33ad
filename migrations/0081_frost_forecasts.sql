-- The night for which frost is forecast: what is pressed after it counts as killed in a season's proposal.
create table frost_forecasts (
  season_id text not null references seasons (id),
  version integer not null constraint forecast_version check (version >= 1),
  night_on text constraint forecast_night check (night_on glob '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'), -- the night after that day; null: none is forecast any more
  by_id text not null references members (id),
  at integer not null,
  primary key (season_id, version)
) strict, without rowid;
create trigger frost_forecasts_stand before update on frost_forecasts
begin select raise(abort, 'what was said of frost is never changed: add a version'); end;
create trigger frost_forecasts_stay before delete on frost_forecasts
begin select raise(abort, 'what was said of frost is never deleted'); end;
