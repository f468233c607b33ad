-- Which pan a boil was made in, what burned under it and what was spilt: without them a mill never learns how much of its
-- own fuel's heat reaches the juice. All null or nought for boils from before.

alter table boils add column pan_id text references pans (id); -- null: not known

alter table finishes add column fuel_kind text constraint finish_fuel_kind check (length(fuel_kind) between 1 and 30); -- null: not measured
alter table finishes add column fuel_amount real -- burnt, in the kind's own unit: gal, therm, cord
  constraint finish_fuel check ((fuel_amount is null) = (fuel_kind is null) and (fuel_amount is null or fuel_amount between 0.00001 and 10000));
alter table finishes add column spilt_g integer not null default 0 constraint finish_spilt check (spilt_g >= 0); -- syrup spilt or scorched
