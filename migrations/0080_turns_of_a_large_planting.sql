-- A large planting needs more than one turn, also on one day: places that come with turns of the season's proposal are told apart by
-- their part; of the places that members ask for themselves there is one a day.
alter table waiting add column part integer not null default 0 constraint waiting_part check (part >= 0);
drop index waiting_once;
create unique index waiting_once on waiting (press_day_id, member_id, part)
  where state in ('waiting', 'declined', 'missed') and from_turn_id is null;
-- How much cane of a planting an offer is for, so that what is booked counts for the planting it was offered for.
alter table offer_plantings add column cane_g integer constraint offer_plantings_cane check (cane_g > 0); -- null: offered before that was kept
