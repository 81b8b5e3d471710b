using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace KilnShare.Storage.Migrations
{
    /// <inheritdoc />
    public partial class AmountsShown : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<string>(
                name: "amounts_shown_to",
                table: "studio",
                type: "character varying(24)",
                maxLength: 24,
                nullable: false,
                defaultValue: "Technicians");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropColumn(
                name: "amounts_shown_to",
                table: "studio");
        }
    }
}
