-- What was told of a turn's cane is never changed: another turn is booked. What a season's turns teach is kept while no record
-- changes, and rests on this (facts/kept.rs); turns themselves are not among the records.
create trigger turns_told_stands before update of told_as, told_amount on turns
when new.told_as is not old.told_as or new.told_amount is not old.told_amount
begin select raise(abort, 'what was told of a turn stands'); end;
