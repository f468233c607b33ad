-- A thermometer in a pan that sends by itself: who let it in, what it sent, and how far it is off boiling water.

create table probes (
  id text primary key,
  pan_id text not null references pans (id), -- the one pan that it writes for
  name text not null constraint probe_name check (length(name) between 1 and 60),
  token_hash text not null unique constraint probe_token check (length(token_hash) = 64), -- SHA-256 in hex; the token is shown once
  made_by text not null references members (id),
  made_at integer not null,
  revoked_by text references members (id),
  revoked_at integer, -- null while its token is taken
  last_at integer, -- when it read last, whether a boil was lit or not; null: never heard
  last_c real constraint probe_last check (last_c between -40 and 200), -- as sent
  last_boil_id text references boils (id), -- the boil it read that in; null: none was lit
  constraint probe_revoked check ((revoked_at is null) = (revoked_by is null)),
  constraint probe_spoke check ((last_at is null) = (last_c is null) and (last_boil_id is null or last_at is not null))
) strict;
create index probes_by_pan on probes (pan_id);

-- What a probe sent while a boil was lit in its pan, thinned. Never mixed with what a hand noted.
create table probe_readings (
  probe_id text not null references probes (id),
  at integer not null, -- when the probe read
  boil_id text not null references boils (id),
  celsius real not null constraint probe_reading_range check (celsius between -40 and 200), -- as sent, nothing taken off
  received_at integer not null,
  primary key (probe_id, at),
  constraint probe_reading_received check (received_at >= at)
) strict, without rowid;
create index probe_readings_by_boil on probe_readings (boil_id, at);
create trigger probe_readings_stand before update on probe_readings
begin select raise(abort, 'what a probe sent is never changed'); end;
create trigger probe_readings_stay before delete on probe_readings
begin select raise(abort, 'what a probe sent is never deleted'); end;
create trigger probe_readings_closed before insert on probe_readings
when exists (select 1 from closed_boils c where c.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;

-- What a probe showed in boiling water against where water boiled that day; the latest before a reading counts for it.
create table probe_offsets (
  probe_id text not null references probes (id),
  at integer not null,
  celsius real not null constraint probe_offset_range check (celsius between -40 and 200), -- as sent, in boiling water
  water_c real not null constraint probe_offset_water check (water_c between 60 and 110), -- where water boiled
  measured integer not null constraint probe_offset_measured check (measured in (0, 1)), -- 1: read that morning; 0: by the mill's height
  by_id text not null references members (id),
  primary key (probe_id, at),
  constraint probe_offset_near check (abs(celsius - water_c) <= 5)
) strict, without rowid;
create trigger probe_offsets_stand before update on probe_offsets
begin select raise(abort, 'an offset is never changed: learn it again'); end;
create trigger probe_offsets_stay before delete on probe_offsets
begin select raise(abort, 'an offset is never deleted: learn it again'); end;
