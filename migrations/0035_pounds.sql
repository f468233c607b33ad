-- Money rules keep the unit they were voted in, and a load weighed in pounds counts as the pounds that the scale showed: gross and
-- tare rounded to whole grams apart gave a net that a pencil does not get. What was written before keeps its way.

alter table season_rules rename column cane_mc_per_kg to cane_mc; -- thousandths of a cent per pound or kilogram: see rates_in
alter table season_rules rename column juice_mc_per_l to juice_mc; -- per gallon or litre
alter table season_rules rename column syrup_mc_per_kg to syrup_mc; -- per pound or kilogram
alter table season_rules add column rates_in text not null default 'metric'
  constraint rules_rates_in check (rates_in in ('us', 'metric')); -- us: per pound and gallon; metric: per kilogram and litre

alter table loads add column net_g integer -- what counts; null: gross less tare, as before this was kept
  constraint load_net check (net_g is null or abs(net_g - (gross_g - tare_g)) <= 1);
alter table loads add column net_lb integer -- ten-thousandths of a pound; null: not read in pounds, or from before
  constraint load_net_lb check (net_lb is null or net_lb >= 0);
