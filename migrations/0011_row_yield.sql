-- What a turn was reckoned with: the mill learns how much cane a row brings, and a page that shows a
-- turn's sum must show the figure of that time.

alter table bookings add column row_kg_per_m real
  constraint booking_row_yield check (row_kg_per_m > 0); -- learned by then; null: by the season's rules of that time, or not told by row
