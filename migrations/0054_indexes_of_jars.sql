-- What became of jars is looked up by lot and by owner, what was filled by its size, however many seasons there are.
create index jar_moves_by_boil on jar_moves (boil_id);
create index jar_moves_by_member on jar_moves (member_id);
create index fills_by_size on fills (size_name);
