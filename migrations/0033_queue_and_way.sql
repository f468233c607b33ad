-- Who may stand in the queue by first name, whom to ask for a member without a telephone of the own, and how to get
-- to the mill. Whoever could be named on the public page of a lot stood on the board by first name up to now.
alter table members add column in_queue integer not null default 0
  constraint member_in_queue check (in_queue in (0, 1)); -- others see the first name in the day's queue
alter table members add column call_by text not null default ''
  constraint member_call_by check (length(call_by) <= 80); -- 'neighbour Bea Lund, 615 555 0112'; empty: the own telephone
update members set in_queue = named;

alter table coop add column way text not null default ''
  constraint coop_way check (length(way) <= 600); -- how to get to the mill, in words
alter table coop add column bring text not null default ''
  constraint coop_bring check (length(bring) <= 600); -- what to bring; empty: the usual
alter table coop add column latitude real
  constraint coop_latitude check (latitude between -90 and 90); -- degrees, WGS 84, north positive; null: not given
alter table coop add column longitude real
  constraint coop_longitude check (longitude between -180 and 180); -- degrees, WGS 84, east positive
