-- Home, the members' cards and the shelf each summed up by itself what is set aside, two of them over every version of a division: a lot
-- that was divided again counted twice. What is set aside and what is gone of it (as in jars_gone) is asked here.
create view jars_set_aside as
select s.member_id, d.boil_id, j.size_name, j.net_g, j.part, j.count as set_aside,
  coalesce((select sum(h.count) from hand_over_jars h join hand_overs o on o.id = h.hand_over_id
    where h.boil_id = d.boil_id and o.member_id is s.member_id
    and h.size_name = j.size_name and h.net_g = j.net_g and h.part = j.part), 0)
  + coalesce((select sum(case when m.kind in ('broken', 'missing') then m.count else -m.count end) from jar_moves m
    where m.boil_id = d.boil_id and m.member_id is s.member_id
    and m.size_name = j.size_name and m.net_g = j.net_g and m.part = j.part), 0) as gone
from shares s
join latest_divisions d on d.id = s.division_id
join share_jars j on j.division_id = s.division_id and j.place = s.place;
