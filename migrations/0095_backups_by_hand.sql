-- A backup that somebody makes on the server is noted as those are that the server makes by itself, and told apart from them.
alter table upkeep add column by_hand integer not null default 0
  constraint upkeep_by_hand check (by_hand in (0, 1)); -- 1: by a command on the server; 0: by the server itself
