-- Whoever acts for a card may get its letters and notices, too: where its member agrees, and a steward notes that.
alter table household add column letters integer not null default 0 constraint household_letters check (letters in (0, 1));
-- What is told to a member is told over again to whoever gets the card's letters; nobody has to be called for that.
alter table notices add column copied integer not null default 0 constraint notice_copied check (copied in (0, 1));
