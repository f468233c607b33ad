-- Days on which a steward wants nothing proposed, until one allows them again: on every proposal of the season, whoever opens it.
create table forbidden_days (
  season_id text not null references seasons (id),
  date text not null constraint forbidden_date check (date glob '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  version integer not null constraint forbidden_version check (version >= 1),
  forbidden integer not null constraint forbidden_yes check (forbidden in (0, 1)), -- 0: allowed again
  by_id text not null references members (id),
  at integer not null,
  primary key (season_id, date, version)
) strict, without rowid;
create trigger forbidden_days_stand before update on forbidden_days
begin select raise(abort, 'what was said of a day is never changed: add a version'); end;
create trigger forbidden_days_stay before delete on forbidden_days
begin select raise(abort, 'what was said of a day is never deleted'); end;
