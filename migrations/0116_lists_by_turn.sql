-- A turn that found no room any more: the place on a list that its member has instead.
create index waiting_by_from_turn on waiting (from_turn_id) where from_turn_id is not null;
