-- A service that may not change the tables looks at its start whether they are those of its program. The history names migrations and nobody's data.
grant select on "__EFMigrationsHistory" to kilnshare_app;
