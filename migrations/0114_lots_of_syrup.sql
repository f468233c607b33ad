-- Twenty seasons made a member's home thirteen times as slow as one: every share of every lot was looked at, most of them of no jar,
-- and sums of money went through whole lines of the ledger.
create index shares_of_syrup on shares (member_id) where entitled_g > 0 or jarred_g > 0;

drop index ledger_by_member;
create index ledger_by_member on ledger (member_id, season_id, grams, cents);

-- Moves of jars are looked up by their lot: the mill, whose member is null, has some in every lot.
drop view jars_set_aside;
create view jars_set_aside as
select s.member_id, d.boil_id, j.size_name, j.net_g, j.part, j.count as set_aside,
  coalesce((select sum(h.count) from hand_over_jars h join hand_overs o on o.id = h.hand_over_id
    where h.boil_id = d.boil_id and o.member_id is s.member_id
    and h.size_name = j.size_name and h.net_g = j.net_g and h.part = j.part), 0)
  + coalesce((select sum(case when m.kind in ('broken', 'missing') then m.count else -m.count end) from jar_moves m
    where m.boil_id = d.boil_id and +m.member_id is s.member_id
    and m.size_name = j.size_name and m.net_g = j.net_g and m.part = j.part), 0) as gone
from shares s
join latest_divisions d on d.id = s.division_id
join share_jars j on j.division_id = s.division_id and j.place = s.place
where s.jarred_g > 0;
