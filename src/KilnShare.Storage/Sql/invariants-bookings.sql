-- How bookings end. Each row that comes back is an offence. Run as kilnshare_audit, which sees all studios.
-- Nobody waits in a firing that is loaded or over: who still waits is let go when it is loaded.
select 'waiting-in-closed-firing' as invariant, b.studio_id, b.id::text as subject, f.state as detail
from booking b join firing f on f.studio_id = b.studio_id and f.id = b.firing_id
where b.state = 'Waiting' and f.state in ('Loaded', 'Heating', 'Cooling', 'Unloaded', 'Settled')
union all
-- Nothing is live in a firing that was called off.
select 'live-in-cancelled-firing', b.studio_id, b.id::text, b.state
from booking b join firing f on f.studio_id = b.studio_id and f.id = b.firing_id where b.state <> 'Withdrawn' and f.state = 'Cancelled'
union all
-- Whoever is let go is told.
select 'let-go-untold', b.studio_id, b.id::text, b.let_go_reason
from booking b where b.let_go_at is not null
  and not exists (select from outbox o where o.studio_id = b.studio_id and o.kind = 'bookings.let-go' and o.payload ->> 'id' = b.id::text)
order by 1, 2, 3
