using System;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore.Migrations;
using NodaTime;

#nullable disable

namespace KilnShare.Storage.Migrations
{
    /// <summary>Who approved a booking, what is offered to it and why it was let go; mends old rows by <c>Sql/booking-ends.sql</c>.</summary>
    public partial class BookingEnds : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<Instant>(
                name: "approved_at",
                table: "booking",
                type: "timestamp with time zone",
                nullable: true);

            migrationBuilder.AddColumn<Guid>(
                name: "approved_by",
                table: "booking",
                type: "uuid",
                nullable: true);

            migrationBuilder.AddColumn<Instant>(
                name: "let_go_at",
                table: "booking",
                type: "timestamp with time zone",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "let_go_reason",
                table: "booking",
                type: "text",
                nullable: true);

            migrationBuilder.AddColumn<Instant>(
                name: "offered_at",
                table: "booking",
                type: "timestamp with time zone",
                nullable: true);

            migrationBuilder.CreateIndex(
                name: "ix_booking_studio_id_approved_by",
                table: "booking",
                columns: new[] { "studio_id", "approved_by" });

            migrationBuilder.AddCheckConstraint(
                name: "ck_booking_approval",
                table: "booking",
                sql: "(approved_by is null) = (approved_at is null) and (approved_by is null or technician_reason is not null)");

            migrationBuilder.AddCheckConstraint(
                name: "ck_booking_let_go",
                table: "booking",
                sql: "(let_go_at is null) = (let_go_reason is null) and (let_go_at is null or state = 'Withdrawn')");

            migrationBuilder.AddCheckConstraint(
                name: "ck_booking_offer",
                table: "booking",
                sql: "offered_at is null or state = 'Waiting'");

            migrationBuilder.AddForeignKey(
                name: "fk_booking_member_studio_id_approved_by",
                table: "booking",
                columns: new[] { "studio_id", "approved_by" },
                principalTable: "member",
                principalColumns: new[] { "studio_id", "id" },
                onDelete: ReferentialAction.Restrict);

            migrationBuilder.Sql(SqlFile.Read("booking-ends"));
        }
    }
}
