using System;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore.Migrations;
using NodaTime;

#nullable disable

namespace KilnShare.Storage.Migrations
{
    /// <inheritdoc />
    public partial class OutcomeChanges : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<Instant>(
                name: "changed_at",
                table: "outcome",
                type: "timestamp with time zone",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "details",
                table: "outcome",
                type: "jsonb",
                nullable: true);

            migrationBuilder.AddColumn<Instant>(
                name: "judged_at",
                table: "outcome",
                type: "timestamp with time zone",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "look",
                table: "outcome",
                type: "jsonb",
                nullable: true);

            migrationBuilder.AddColumn<long>(
                name: "version",
                table: "outcome",
                type: "bigint",
                nullable: false,
                defaultValue: 1L);

            migrationBuilder.AddColumn<bool>(
                name: "would_use_again",
                table: "outcome",
                type: "boolean",
                nullable: true);

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

            migrationBuilder.CreateTable(
                name: "earlier_outcome",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    outcome_id = table.Column<Guid>(type: "uuid", nullable: false),
                    version = table.Column<long>(type: "bigint", nullable: false),
                    grade = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    defects = table.Column<string>(type: "jsonb", nullable: false),
                    note = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: true),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    said_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    details = table.Column<string>(type: "jsonb", nullable: true),
                    look = table.Column<string>(type: "jsonb", nullable: true),
                    would_use_again = table.Column<bool>(type: "boolean", nullable: true),
                    judged_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_earlier_outcome", x => new { x.studio_id, x.outcome_id, x.version });
                    table.ForeignKey(
                        name: "fk_earlier_outcome_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_earlier_outcome_outcome_studio_id_outcome_id",
                        columns: x => new { x.studio_id, x.outcome_id },
                        principalTable: "outcome",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateIndex(
                name: "ix_earlier_outcome_studio_id_member_id",
                table: "earlier_outcome",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.Sql(SqlFile.Read("outcome-changes"));
        }
    }
}
