-- As before, with a boil that was lost, taken back and lost again dated by the loss that counts; answered by the key of losses,
-- without reading all of them.
drop view closed_boils;
create view closed_boils as
select
  b.id as boil_id,
  d.id as division_id,
  coalesce(d.version, 0) as version,
  coalesce(d.at, (select c.at from loss_changes c where c.boil_id = b.id order by c.number desc limit 1), l.at) as at
from boils b
left join divisions d
  on d.boil_id = b.id
  and d.version = (select max(v.version) from divisions v where v.boil_id = b.id)
  and not exists (select 1 from corrections c where c.boil_id = b.id and c.version > d.version)
left join losses l
  on l.boil_id = b.id
  and coalesce((select c.whole from loss_changes c where c.boil_id = b.id order by c.number desc limit 1), l.whole) = 1
where d.id is not null or l.boil_id is not null;
