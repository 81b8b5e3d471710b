-- What must hold of ware in kilns and of how firings came out. Each row that comes back is an offence. Run as kilnshare_audit, which sees all studios.
with in_kiln as (
  select i.*, f.kiln_id from load_item i join firing f on f.studio_id = i.studio_id and f.id = i.firing_id
  where i.fate = 'Placed' and f.state in ('Loaded', 'Heating', 'Cooling')
)
-- What is in a kiln is live there, so that no other place can be sold to it.
select 'in-kiln-not-live' as invariant, k.studio_id, k.piece_id::text as subject, format('copy %s in firing %s', k.copy, k.firing_id) as detail
from in_kiln k
where not exists (
  select from booked_copy b where b.studio_id = k.studio_id and b.firing_id = k.firing_id and b.piece_id = k.piece_id and b.copy = k.copy and b.state <> 'Withdrawn' and b.step >= 0)
union all
-- A copy is in one kiln at a time.
select 'in-two-kilns', k.studio_id, k.piece_id::text, format('copy %s in %s firings', k.copy, count(*))
from in_kiln k group by k.studio_id, k.piece_id, k.copy having count(*) > 1
union all
-- A firing that is over keeps no step that it did not do: the copy could not be booked for it again.
select 'undone-step-kept', b.studio_id, b.piece_id::text, format('copy %s, step %s, firing %s', b.copy, b.step, b.firing_id)
from booked_copy b
join firing f on f.studio_id = b.studio_id and f.id = b.firing_id and f.state in ('Unloaded', 'Settled')
join piece_copy c on c.studio_id = b.studio_id and c.piece_id = b.piece_id and c.copy = b.copy
where b.state <> 'Withdrawn' and not b.is_room and b.step >= c.step
union all
-- Who answers for lighting without the checks is named only where the checks were not done.
select 'answered-for-nothing', f.studio_id, f.id::text, f.lit_answered_by
from firing f where f.lit_answered_by is not null and not f.lit_without_checks
order by 1, 2, 3
