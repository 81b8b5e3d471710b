-- What must hold in the books. Each rule returns the rows that break it: no row at all is a sound ledger.
-- Columns: rule, studio_id, subject (the row concerned), detail. Run as kilnshare_audit, over all studios.

-- An entry names an account that does not exist.
select 'ledger-account-missing' as rule, e.studio_id, e.id::text as subject, named.account as detail
from ledger_entry e cross join lateral (values (e.debit), (e.credit)) as named(account)
where not exists (select from account a where a.studio_id = e.studio_id and a.account = named.account)

union all
-- The balances of all accounts of a studio do not sum to 0 in a currency.
select 'ledger-not-balanced', s.studio_id, s.currency, s.balance::text
from (
  select a.studio_id, moved.currency, sum(moved.amount) as balance
  from account a join (
    select studio_id, debit as account, currency, amount_minor as amount from ledger_entry
    union all select studio_id, credit, currency, -amount_minor from ledger_entry
  ) moved using (studio_id, account)
  group by a.studio_id, moved.currency
) s where s.balance <> 0

union all
-- An entry is not in its studio's currency.
select 'ledger-other-currency', e.studio_id, e.id::text, e.currency
from ledger_entry e join studio s using (studio_id) where e.currency <> s.currency

union all
-- An entry of no amount, or from an account to itself.
select 'ledger-empty-entry', studio_id, id::text, amount_minor::text from ledger_entry where amount_minor <= 0 or debit = credit

union all
-- An entry belongs to no firing, payment, incident or fee.
select 'ledger-subject-missing', e.studio_id, e.id::text, e.subject
from ledger_entry e
where not exists (select from settlement s where s.studio_id = e.studio_id and s.firing_id::text = e.subject)
  and not exists (select from payment p where p.studio_id = e.studio_id and p.id::text = e.subject)
  and not exists (select from incident i where i.studio_id = e.studio_id and i.id::text = e.subject)
  and not exists (select from booking_fee b where b.studio_id = e.studio_id and b.booking_id::text = e.subject)

union all
-- What a firing's entries come to, reversals taken off, is not its latest settlement, party by party and part by part.
select 'settlement-entries-differ', studio_id, firing_id::text, party || ' ' || part || ': settled ' || sum(settled) || ', in the books ' || sum(booked)
from (
  select s.studio_id, s.firing_id, coalesce('Member:' || (share ->> 'id'), 'StudioShare') as party, p ->> 'name' as part,
    (p ->> 'amountMinor')::numeric as settled, 0::numeric as booked
  from settlement s cross join lateral jsonb_array_elements(s.split -> 'shares') share cross join lateral jsonb_array_elements(share -> 'parts') p
  where not exists (select from settlement later where later.studio_id = s.studio_id and later.firing_id = s.firing_id and later.revision > s.revision)
  union all
  select e.studio_id, s.firing_id, case when e.debit in ('Firings', 'Vat') then e.credit else e.debit end, e.part,
    0, case when e.debit in ('Firings', 'Vat') then -e.amount_minor else e.amount_minor end
  from ledger_entry e join settlement s on s.studio_id = e.studio_id and s.firing_id::text = e.subject and s.revision = 1
) sides
group by studio_id, firing_id, party, part having sum(settled) <> sum(booked)

union all
-- Value added tax of a firing is in another account than its own, or something else is in that.
select 'vat-account-differs', e.studio_id, e.id::text, e.part || ': ' || e.debit || ' to ' || e.credit
from ledger_entry e
where (e.part = 'value-added-tax' and exists (select from settlement s where s.studio_id = e.studio_id and s.firing_id::text = e.subject)) <> ('Vat' in (e.debit, e.credit))

union all
-- The shares of a settlement do not add up to its total, or a share not to its parts.
select 'settlement-shares-differ', s.studio_id, s.firing_id::text, 'revision ' || s.revision
from settlement s
where (s.split ->> 'totalMinor')::numeric <> (select coalesce(sum((share ->> 'amountMinor')::numeric), 0) from jsonb_array_elements(s.split -> 'shares') share)
  or exists (select from jsonb_array_elements(s.split -> 'shares') share where (share ->> 'amountMinor')::numeric
    <> (select coalesce(sum((p ->> 'amountMinor')::numeric), 0) from jsonb_array_elements(share -> 'parts') p))

union all
-- A firing is settled without a settlement.
select 'firing-settlement-missing', f.studio_id, f.id::text, f.state
from firing f where f.state = 'Settled' and not exists (select from settlement s where s.studio_id = f.studio_id and s.firing_id = f.id)

union all
-- A settlement belongs to a firing that is not settled.
select 'settlement-firing-not-settled', s.studio_id, s.firing_id::text, f.state
from settlement s join firing f on f.studio_id = s.studio_id and f.id = s.firing_id where s.revision = 1 and f.state <> 'Settled'

union all
-- The revisions of a settlement have a hole.
select 'settlement-revision-missing', studio_id, firing_id::text, 'highest ' || max(revision) || ', rows ' || count(*)
from settlement group by studio_id, firing_id having max(revision) <> count(*)

union all
-- A payment does not have its one entry.
select 'payment-entry-differs', p.studio_id, p.id::text, p.amount_minor::text
from payment p
where (select count(*) from ledger_entry e where e.studio_id = p.studio_id and e.subject = p.id::text) <> 1
  or not exists (select from ledger_entry e where e.studio_id = p.studio_id and e.subject = p.id::text and e.amount_minor = p.amount_minor
    and 'Member:' || p.member_id in (e.debit, e.credit))

union all
-- An incident's entries do not come to its losses, a party's own left out.
select 'incident-entries-differ', i.studio_id, i.id::text, 'lost ' || lost.minor || ', in the books ' || booked.minor
from incident i
cross join lateral (
  select coalesce(sum((l ->> 'amountMinor')::numeric), 0) as minor from jsonb_array_elements(coalesce(i.losses -> 'items', i.losses)) l where (l ->> 'member') is distinct from i.caused_by::text
) lost
cross join lateral (select coalesce(sum(amount_minor), 0) as minor from ledger_entry e where e.studio_id = i.studio_id and e.subject = i.id::text) booked
where lost.minor <> booked.minor

union all
-- A fee does not have its one entry, or its booking was not withdrawn.
select 'booking-fee-entry-differs', f.studio_id, f.booking_id::text, f.amount_minor::text
from booking_fee f
where (select count(*) from ledger_entry e where e.studio_id = f.studio_id and e.subject = f.booking_id::text) <> 1
  or not exists (select from ledger_entry e where e.studio_id = f.studio_id and e.subject = f.booking_id::text and e.amount_minor = f.amount_minor
    and e.debit = 'Member:' || f.member_id and e.credit = 'StudioShare')
  or exists (select from booking b where b.studio_id = f.studio_id and b.id = f.booking_id and b.state <> 'Withdrawn')

union all
-- The entries of closed months are not those that were closed.
select 'closed-month-changed', c.studio_id, c.month, 'closed with ' || c.entries || ' of ' || c.amount_minor || ', now ' || now.entries || ' of ' || now.minor
from closing c
cross join lateral (
  select count(*) as entries, coalesce(sum(amount_minor), 0) as minor from ledger_entry e where e.studio_id = c.studio_id and e.at < c.closed_until
) now
where now.entries <> c.entries or now.minor <> c.amount_minor
order by 1, 2, 3;
