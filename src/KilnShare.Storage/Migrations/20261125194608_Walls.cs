using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore.Migrations;

namespace KilnShare.Storage.Migrations;

/// <summary>Exclusions, row-level security and rights, out of <c>Sql/walls.sql</c>.</summary>
public partial class Walls : Migration
{
    /// <inheritdoc />
    protected override void Up(MigrationBuilder migrationBuilder) => migrationBuilder.Sql(SqlFile.Read("walls"));
}
