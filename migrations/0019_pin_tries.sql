-- PINs typed at a station and not yet known to be right: counted before they are looked at, by person and by station, so
-- that a restart gives no new tries. Bookkeeping of a quarter of an hour, not a record.
create table pin_tries (
  station_id text not null references stations (id),
  member_id text not null references members (id), -- whose PIN was tried
  at integer not null
) strict;
create index pin_tries_by_time on pin_tries (at);
