-- What must hold of plans and of what they stand on. The same columns as in invariants.sql.
-- A plan on shelves that the kiln has no more, or not so many of, is marked, as long as it is not loaded.
select 'plan-on-shelves-gone' as invariant, s.studio_id, s.firing_id::text as subject, format('%s of shelf %s', count(*), s.shelf_id) as detail
from plan_shelf s join firing f on f.studio_id = s.studio_id and f.id = s.firing_id and f.state in ('Draft', 'Accepting', 'Fixed')
join kiln k on k.studio_id = f.studio_id and k.id = f.kiln_id
where not exists (select from plan_ground g where g.studio_id = s.studio_id and g.firing_id = s.firing_id and g.marked_at is not null)
group by s.studio_id, s.firing_id, s.shelf_id, k.furniture
having count(*) > coalesce((select sum((kind ->> 'count')::int) from jsonb_array_elements(k.furniture -> 'shelves') kind where kind ->> 'id' = s.shelf_id), 0)
union all
-- A plan keeps what it stands on.
select 'plan-without-ground', s.studio_id, s.firing_id::text, format('shelf %s', min(s.shelf_id))
from plan_shelf s
where not exists (select from plan_ground g where g.studio_id = s.studio_id and g.firing_id = s.firing_id)
group by s.studio_id, s.firing_id
order by 1, 2, 3
