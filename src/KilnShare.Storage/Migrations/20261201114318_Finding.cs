using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace KilnShare.Storage.Migrations
{
    /// <summary>Indexes for finding firings, pieces and bookings, and what is needed to ask for the next firing of a copy.</summary>
    public partial class Finding : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropIndex(
                name: "ix_booking_studio_id_member_id",
                table: "booking");

            migrationBuilder.CreateIndex(
                name: "ix_piece_copy_studio_id_stage_piece_id",
                table: "piece_copy",
                columns: new[] { "studio_id", "stage", "piece_id" });

            migrationBuilder.CreateIndex(
                name: "ix_firing_studio_id_starts_at_id",
                table: "firing",
                columns: new[] { "studio_id", "starts_at", "id" });

            migrationBuilder.CreateIndex(
                name: "ix_booking_studio_id_member_id_id",
                table: "booking",
                columns: new[] { "studio_id", "member_id", "id" });

            migrationBuilder.CreateIndex(
                name: "ix_booking_studio_id_waits_for_id",
                table: "booking",
                columns: new[] { "studio_id", "waits_for", "id" },
                filter: "waits_for is not null");

            migrationBuilder.Sql(SqlFile.Read("finding"));
        }
    }
}
