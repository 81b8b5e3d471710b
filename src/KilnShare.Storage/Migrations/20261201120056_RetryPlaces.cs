using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace KilnShare.Storage.Migrations
{
    /// <summary>What a retry is told again: where the thing is, and its version.</summary>
    public partial class RetryPlaces : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<string>(
                name: "location",
                table: "idempotency",
                type: "text",
                nullable: true);

            migrationBuilder.AddColumn<long>(
                name: "version",
                table: "idempotency",
                type: "bigint",
                nullable: true);
        }
    }
}
