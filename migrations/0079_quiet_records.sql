-- A record of what comes and goes with every turn and sign-in is quiet: nothing that is kept from page to page rests on its table.
-- The last one that is not quiet is found by the index, however many quiet ones were written after it.

alter table records add column quiet integer generated always as (what in (
  'typed_in', 'invites', 'sessions', 'stations', 'feeds', 'plantings', 'planting_versions', 'season_frosts',
  'possible_days', 'day_answers', 'member_tasks', 'roster', 'turns', 'turn_events', 'waiting', 'offers',
  'offer_plantings', 'day_changes', 'day_change_turns', 'standstills', 'notices', 'letters', 'probes',
  'probe_offsets', 'upkeep'
)) virtual;
create index records_by_quiet on records (quiet);
