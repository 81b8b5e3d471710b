using System;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore.Migrations;
using NodaTime;

#nullable disable

namespace KilnShare.Storage.Migrations
{
    /// <inheritdoc />
    public partial class FiringFacts : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropIndex(
                name: "ux_booked_copy_live",
                table: "booked_copy");

            migrationBuilder.AddColumn<string>(
                name: "before",
                table: "load_item",
                type: "jsonb",
                nullable: true);

            migrationBuilder.AddColumn<bool>(
                name: "awaits_command",
                table: "firing",
                type: "boolean",
                nullable: false,
                defaultValue: false);

            migrationBuilder.AddColumn<bool>(
                name: "is_lit_by_log",
                table: "firing",
                type: "boolean",
                nullable: false,
                defaultValue: false);

            migrationBuilder.AddColumn<string>(
                name: "lit_answered_by",
                table: "firing",
                type: "character varying(120)",
                maxLength: 120,
                nullable: true);

            migrationBuilder.AddColumn<bool>(
                name: "lit_without_checks",
                table: "firing",
                type: "boolean",
                nullable: false,
                defaultValue: false);

            migrationBuilder.AddColumn<string>(
                name: "reached_by",
                table: "firing",
                type: "character varying(24)",
                maxLength: 24,
                nullable: true);

            migrationBuilder.AddColumn<double>(
                name: "reached_c",
                table: "firing",
                type: "double precision",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "reached_cone",
                table: "firing",
                type: "character varying(4)",
                maxLength: 4,
                nullable: true);

            migrationBuilder.CreateTable(
                name: "firing_correction",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    reason = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    outcome_before = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    outcome = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    copies = table.Column<string>(type: "jsonb", nullable: false),
                    settlement_revision = table.Column<int>(type: "integer", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_firing_correction", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_firing_correction_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_firing_correction_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.AddCheckConstraint(
                name: "ck_firing_reached",
                table: "firing",
                sql: "(reached_by is null) = (reached_cone is null and reached_c is null)");

            migrationBuilder.CreateIndex(
                name: "ux_booked_copy_live",
                table: "booked_copy",
                columns: new[] { "studio_id", "piece_id", "copy", "step" },
                unique: true,
                filter: "state <> 'Withdrawn' and step >= 0");

            migrationBuilder.CreateIndex(
                name: "ix_firing_correction_studio_id_firing_id",
                table: "firing_correction",
                columns: new[] { "studio_id", "firing_id" });

            migrationBuilder.CreateIndex(
                name: "ix_firing_correction_studio_id_member_id",
                table: "firing_correction",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.Sql(SqlFile.Read("firing-facts"));
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "firing_correction");

            migrationBuilder.DropCheckConstraint(
                name: "ck_firing_reached",
                table: "firing");

            migrationBuilder.DropIndex(
                name: "ux_booked_copy_live",
                table: "booked_copy");

            migrationBuilder.DropColumn(
                name: "before",
                table: "load_item");

            migrationBuilder.DropColumn(
                name: "awaits_command",
                table: "firing");

            migrationBuilder.DropColumn(
                name: "is_lit_by_log",
                table: "firing");

            migrationBuilder.DropColumn(
                name: "lit_answered_by",
                table: "firing");

            migrationBuilder.DropColumn(
                name: "lit_without_checks",
                table: "firing");

            migrationBuilder.DropColumn(
                name: "reached_by",
                table: "firing");

            migrationBuilder.DropColumn(
                name: "reached_c",
                table: "firing");

            migrationBuilder.DropColumn(
                name: "reached_cone",
                table: "firing");

            migrationBuilder.CreateIndex(
                name: "ux_booked_copy_live",
                table: "booked_copy",
                columns: new[] { "studio_id", "piece_id", "copy", "step" },
                unique: true,
                filter: "state <> 'Withdrawn'");
        }
    }
}
