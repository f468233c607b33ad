-- Who waits was estimated by the figure for a row of that day; the turn it comes to keeps it.

alter table waiting add column row_kg_per_m real
  constraint waiting_row_yield check (row_kg_per_m > 0); -- as for bookings
