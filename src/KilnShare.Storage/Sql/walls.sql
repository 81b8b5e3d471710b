-- The walls of the house, whatever the code does. Run once, by the owner, after the first tables.

-- A kiln is kept for one live firing at a time (planned times; actual times are facts and free).
alter table firing add constraint ex_firing_kiln_time
  exclude using gist (studio_id with =, kiln_id with =, tstzrange(starts_at, ends_at, '[)') with &&) where (state <> 'Cancelled');

-- Two confirmed copies never share a place: discs inside the footprints must not overlap on a level of a shelf.
alter table booked_copy add constraint ex_booked_copy_place
  exclude using gist (studio_id with =, firing_id with =, shelf_no with =, stack_level with =,
    circle(point(core_x::float8, core_y::float8), core_radius::float8) with &&) where (state = 'Confirmed')
  deferrable initially deferred;

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
  foreach wanted in array array['account', 'ledger_entry', 'settlement', 'meter_reading', 'payment', 'incident', 'custody', 'witness_cone', 'kiln_upkeep', 'outcome', 'audit',
    'outbox'] loop
    call wall_table(wanted, 'select, insert');
  end loop;
end $$;

-- Words can be taken back, figures cannot.
grant update (reason) on payment, incident, settlement to kilnshare_app;

grant usage on schema public to kilnshare_app, kilnshare_worker, kilnshare_audit;
grant select, update on job, outbox to kilnshare_worker;
create policy worker_claims on job to kilnshare_worker using (true) with check (true);
create policy worker_claims on outbox to kilnshare_worker using (true) with check (true);
