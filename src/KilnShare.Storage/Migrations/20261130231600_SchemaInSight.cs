using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore.Migrations;

namespace KilnShare.Storage.Migrations;

/// <summary>Lets the serving role see which migrations the tables have had, out of <c>Sql/schema-in-sight.sql</c>.</summary>
public partial class SchemaInSight : Migration
{
    /// <inheritdoc />
    protected override void Up(MigrationBuilder migrationBuilder) => migrationBuilder.Sql(SqlFile.Read("schema-in-sight"));
}
