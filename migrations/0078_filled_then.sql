-- When jars were filled, where that was before it was written down: keyed in from paper, or tapped on a phone without network.
-- Null: as it was written down.
alter table fills add column filled_at integer constraint filled_before check (filled_at <= at);

drop trigger fills_stand;
create trigger fills_stand before update on fills
when not exists (select 1 from forgetting)
  or (new.boil_id, new.number, new.version, new.size_name, new.net_g, new.count, new.part, new.price_cents, new.by_id,
    new.at, new.filled_at)
  is not (old.boil_id, old.number, old.version, old.size_name, old.net_g, old.count, old.part, old.price_cents, old.by_id,
    old.at, old.filled_at)
begin select raise(abort, 'a fill is never changed: correct it with a new version'); end;
