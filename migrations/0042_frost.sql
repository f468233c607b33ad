-- When a killing frost first comes, by the place's climate table: what the season's proposal reckons with.
create table season_frosts (
  season_id text not null references seasons (id),
  version integer not null constraint frost_version check (version >= 1),
  early_on text not null constraint frost_early check (early_on glob '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'), -- in 10 of 100 years it has come by then
  middle_on text not null constraint frost_middle check (middle_on >= early_on), -- in 50
  late_on text not null constraint frost_late check (late_on >= middle_on), -- in 90
  source text not null constraint frost_source check (length(source) between 1 and 200), -- which table
  by_id text not null references members (id),
  at integer not null,
  primary key (season_id, version)
) strict, without rowid;
create trigger season_frosts_stand before update on season_frosts
begin select raise(abort, 'what was said of frost is never changed: add a version'); end;
create trigger season_frosts_stay before delete on season_frosts
begin select raise(abort, 'what was said of frost is never deleted'); end;
