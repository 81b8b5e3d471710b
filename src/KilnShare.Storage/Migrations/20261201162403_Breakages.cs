using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace KilnShare.Storage.Migrations
{
    /// <inheritdoc />
    public partial class Breakages : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<string>(
                name: "note",
                table: "custody",
                type: "character varying(2000)",
                maxLength: 2000,
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "stage_before",
                table: "custody",
                type: "character varying(24)",
                maxLength: 24,
                nullable: true);
        }
    }
}
