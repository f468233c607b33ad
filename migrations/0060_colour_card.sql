-- The co-op's own colour card: what a look at a lot calls its colour. A colour out of use is picked no more; what was written with it
-- stands.
create table colours (
  number integer primary key constraint colour_number check (number >= 1), -- runs on; light to dark as the steward adds them
  name text not null unique constraint colour_name check (length(name) between 1 and 40),
  shade text not null constraint colour_shade check (shade glob '#[0-9a-f][0-9a-f][0-9a-f][0-9a-f][0-9a-f][0-9a-f]'), -- red, green, blue
  retired_at integer
) strict;
