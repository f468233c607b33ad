-- A turn of the season's proposal that nobody took kept its place on the day's waiting list, which then offered the same cane again. It leaves
-- no place behind: its cane waits for the next proposal.
update waiting set state = 'left', version = version + 1
where state in ('waiting', 'declined', 'missed')
and exists (select 1 from offers o join offer_plantings p on p.offer_id = o.id where o.waiting_id = waiting.id)
and not exists (select 1 from offers o where o.waiting_id = waiting.id and o.answer is null);
