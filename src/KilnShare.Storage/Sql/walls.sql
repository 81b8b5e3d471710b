-- The walls of the house, whatever the code does. Run once, by the owner, after the first tables.

-- A kiln is kept for one live firing at a time (planned times; actual times are facts and free).
alter table firing add constraint ex_firing_kiln_time
  exclude using gist (studio_id with =, kiln_id with =, tstzrange(starts_at, ends_at, '[)') with &&) where (state <> 'Cancelled');

-- Two confirmed copies never share a place: discs inside the footprints must not overlap on a level of a shelf.
alter table booked_copy add constraint ex_booked_copy_place
  exclude using gist (studio_id with =, firing_id with =, shelf_no with =, stack_level with =,
    circle(point(core_x::float8, core_y::float8), core_radius::float8) with &&) where (state = 'Confirmed')
  deferrable initially deferred;

-- A booked copy is a copy that exists; reserved room is no piece's.
alter table booked_copy
  add column named_piece_id uuid generated always as (case when is_room then null else piece_id end) stored,
  add constraint fk_booked_copy_piece_copy foreign key (studio_id, named_piece_id, copy) references piece_copy (studio_id, piece_id, copy) on delete restrict;

-- The studio that this connection may see; null (and so no row) when none was set.
create function current_studio() returns uuid language sql stable parallel safe
  as $$ select nullif(current_setting('kilnshare.studio', true), '')::uuid $$;

-- Walls one table off by studio and gives the serving role its rights. Later migrations call it for their own tables.
create procedure wall_table(wanted text, rights text) language plpgsql as $$
begin
  execute format('alter table %I enable row level security', wanted);
  execute format('alter table %I force row level security', wanted);
  execute format('create policy studio_wall on %I using (studio_id = current_studio()) with check (studio_id = current_studio())', wanted);
  execute format('grant %s on %I to kilnshare_app', rights, wanted);
  execute format('grant select on %I to kilnshare_audit', wanted);
end $$;

do $$
declare
  wanted text;
begin
  foreach wanted in array array['studio', 'member', 'access_token', 'kiln', 'clay', 'glaze', 'piece', 'piece_copy', 'firing', 'firing_load', 'booking',
    'booked_copy', 'job', 'house_rules', 'lighting_checks', 'cost_rules', 'firing_surcharges', 'schedule', 'tariff', 'log_chunk', 'unmetered_energy'] loop
    call wall_table(wanted, 'select, insert, update');
  end loop;
  foreach wanted in array array['plan_shelf', 'plan_post', 'load_item', 'idempotency'] loop
    call wall_table(wanted, 'select, insert, update, delete');
  end loop;
  -- What was written stays written: books, meters, outcomes and the audit trail are append-only for the service.
  foreach wanted in array array['account', 'ledger_entry', 'settlement', 'meter_reading', 'payment', 'incident', 'booking_quote', 'booking_fee', 'closing', 'custody', 'witness_cone', 'kiln_upkeep', 'outcome', 'audit',
    'outbox'] loop
    call wall_table(wanted, 'select, insert');
  end loop;
end $$;

-- Words can be taken back, figures cannot.
grant update (reason) on payment, incident, settlement to kilnshare_app;
grant update (names) on closing to kilnshare_app;

-- A closed month takes no entry. Whoever writes an entry shares the studio's books until its transaction ends, whoever closes a month has them
-- alone: a closing waits for entries under way, and an entry that waited for a closing sees it (each query of a volatile function looks anew;
-- under one snapshot for the whole transaction it could not, so that is refused).
create function books_open(studio uuid, dated timestamptz) returns boolean language plpgsql volatile as $$
begin
  if current_setting('transaction_isolation') <> 'read committed' then
    raise exception 'The books are written under read committed.' using errcode = '25001';
  end if;
  perform pg_advisory_xact_lock_shared(hashtextextended('books:' || studio, 0));
  if exists (select from closing c where c.studio_id = studio and c.closed_until > dated) then
    raise exception 'The month is closed.' using errcode = '23514', constraint = 'ck_ledger_entry_month_open';
  end if;
  return true;
end $$;
create function books_alone(studio uuid) returns boolean language plpgsql volatile as $$
begin
  perform pg_advisory_xact_lock(hashtextextended('books:' || studio, 0));
  return true;
end $$;
create policy open_month on ledger_entry as restrictive for insert with check (books_open(studio_id, at));
create policy closed_alone on closing as restrictive for insert with check (books_alone(studio_id));

grant usage on schema public to kilnshare_app, kilnshare_worker, kilnshare_audit;
grant select, update on job, outbox to kilnshare_worker;
create policy worker_claims on job to kilnshare_worker using (true) with check (true);
create policy worker_claims on outbox to kilnshare_worker using (true) with check (true);
