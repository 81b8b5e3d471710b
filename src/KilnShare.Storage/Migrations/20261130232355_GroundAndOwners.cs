using System;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore.Migrations;
using NodaTime;

#nullable disable

namespace KilnShare.Storage.Migrations
{
    /// <inheritdoc />
    public partial class GroundAndOwners : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropIndex(
                name: "ux_meter_reading_at",
                table: "meter_reading");

            migrationBuilder.AddColumn<Instant>(
                name: "closed_at",
                table: "studio",
                type: "timestamp with time zone",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "closed_reason",
                table: "studio",
                type: "character varying(2000)",
                maxLength: 2000,
                nullable: true);

            migrationBuilder.AddColumn<Instant>(
                name: "struck_at",
                table: "meter_reading",
                type: "timestamp with time zone",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "struck_because",
                table: "meter_reading",
                type: "character varying(2000)",
                maxLength: 2000,
                nullable: true);

            migrationBuilder.AddColumn<Guid>(
                name: "struck_by",
                table: "meter_reading",
                type: "uuid",
                nullable: true);

            migrationBuilder.AddColumn<long>(
                name: "version",
                table: "house_rules",
                type: "bigint",
                nullable: false,
                defaultValue: 1L);

            migrationBuilder.AddColumn<string>(
                name: "reason",
                table: "audit",
                type: "character varying(2000)",
                maxLength: 2000,
                nullable: true);

            migrationBuilder.CreateTable(
                name: "plan_ground",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    making = table.Column<string>(type: "jsonb", nullable: false),
                    furniture = table.Column<string>(type: "jsonb", nullable: false),
                    kiln_version = table.Column<long>(type: "bigint", nullable: false),
                    marked_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_plan_ground", x => new { x.studio_id, x.firing_id });
                    table.ForeignKey(
                        name: "fk_plan_ground_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.AddCheckConstraint(
                name: "ck_studio_closed",
                table: "studio",
                sql: "(closed_at is null) = (closed_reason is null)");

            migrationBuilder.CreateIndex(
                name: "ux_meter_reading_at",
                table: "meter_reading",
                columns: new[] { "studio_id", "firing_id", "meter", "read_at" },
                unique: true,
                filter: "struck_at is null");

            migrationBuilder.AddCheckConstraint(
                name: "ck_meter_reading_struck",
                table: "meter_reading",
                sql: "(struck_at is null) = (struck_by is null) and (struck_at is null) = (struck_because is null)");

            migrationBuilder.Sql(SqlFile.Read("ground-and-owners"));
        }
    }
}
