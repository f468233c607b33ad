-- A tablet at the mill that is signed in as the mill's own station, and who stands at it: an entry made there
-- bears that person's name, and says that it came from the station.

create table stations (
  id text primary key,
  name text not null constraint station_name check (length(name) between 1 and 40),
  token_hash text not null unique, -- SHA-256 of the cookie, hex
  made_by text not null references members (id),
  made_at integer not null,
  seen_at integer not null, -- last use; written at most once in half a minute
  picked_id text references members (id), -- who stands at it; null: nobody is picked
  picked_at integer, -- when that person last used it
  ended_by text references members (id), -- null while it is signed in
  ended_at integer,
  constraint station_picked check ((picked_id is null) = (picked_at is null)),
  constraint station_ended check ((ended_by is null) = (ended_at is null)),
  constraint station_ended_empty check (ended_at is null or picked_id is null)
) strict;
create unique index stations_signed_in on stations (name) where ended_at is null;
create trigger stations_stay before delete on stations
begin select raise(abort, 'a station is never deleted: it is signed out'); end;

-- The short number with which one of the crew says at a station who it is; opens nothing elsewhere.
create table station_pins (
  member_id text primary key references members (id),
  pin_hash text not null, -- argon2id, PHC string
  set_by text not null references members (id), -- oneself, or a steward
  changed_at integer not null
) strict, without rowid;

-- One row a form that was sent from a station; what it made is found by `record`.
create table sent_from_station (
  form_key text not null,
  action text not null,
  target text not null, -- the address it was sent to
  record text not null, -- the id that the action answered with; '' when it answers with none
  member_id text not null references members (id),
  station_id text not null references stations (id),
  at integer not null,
  primary key (form_key, action, target)
) strict;
create index sent_from_station_by_record on sent_from_station (record);
create trigger sent_from_station_stand before update on sent_from_station
begin select raise(abort, 'what a station sent is never changed'); end;
create trigger sent_from_station_stay before delete on sent_from_station
begin select raise(abort, 'what a station sent is never deleted'); end;
