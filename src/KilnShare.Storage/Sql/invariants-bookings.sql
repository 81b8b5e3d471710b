-- How bookings end. Each row that comes back is an offence. Run as kilnshare_audit, which sees all studios.
-- Whoever is let go is told.
select 'let-go-untold' as rule, b.studio_id, b.id::text as subject, b.let_go_reason as detail
from booking b where b.let_go_at is not null
  and not exists (select from outbox o where o.studio_id = b.studio_id and o.kind = 'bookings.let-go' and o.payload ->> 'id' = b.id::text)
order by 1, 2, 3
