-- The four roles of the service. Run as a login that may create roles; safe to run again.
-- kilnshare_owner   owns the tables and runs migrations
-- kilnshare_app     serves requests: no owner, no superuser, bound by row-level security
-- kilnshare_worker  claims jobs and outbox rows over all studios, and sees nothing else
-- kilnshare_audit   reads everything for the invariant checks, writes nothing; nothing that serves HTTP uses it
do $$
declare wanted text;
begin
  foreach wanted in array array['kilnshare_owner', 'kilnshare_app', 'kilnshare_worker', 'kilnshare_audit'] loop
    if not exists (select from pg_roles where rolname = wanted) then
      execute format('create role %I login', wanted);
    end if;
  end loop;
end $$;
alter role kilnshare_app nobypassrls nosuperuser nocreatedb nocreaterole;
alter role kilnshare_worker nobypassrls nosuperuser nocreatedb nocreaterole;
alter role kilnshare_audit bypassrls nosuperuser nocreatedb nocreaterole;
alter role kilnshare_audit set default_transaction_read_only = on;
