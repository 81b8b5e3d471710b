using System;
using Microsoft.EntityFrameworkCore.Migrations;
using NodaTime;

#nullable disable

namespace KilnShare.Storage.Migrations
{
    /// <inheritdoc />
    public partial class Initial : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AlterDatabase()
                .Annotation("Npgsql:PostgresExtension:btree_gist", ",,");

            migrationBuilder.CreateTable(
                name: "studio",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    name = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: false),
                    time_zone = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    currency = table.Column<string>(type: "character(3)", fixedLength: true, maxLength: 3, nullable: false),
                    per_kwh = table.Column<decimal>(type: "numeric(16,6)", precision: 16, scale: 6, nullable: false),
                    allows_overtaking = table.Column<bool>(type: "boolean", nullable: false),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_studio", x => x.studio_id);
                    table.CheckConstraint("ck_studio_per_kwh", "per_kwh between 0 and 1000000");
                });

            migrationBuilder.CreateTable(
                name: "account",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    account = table.Column<string>(type: "text", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_account", x => new { x.studio_id, x.account });
                    table.ForeignKey(
                        name: "fk_account_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "audit",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: true),
                    action = table.Column<string>(type: "text", nullable: false),
                    subject = table.Column<string>(type: "text", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_audit", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_audit_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "clay",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    body = table.Column<string>(type: "jsonb", nullable: false),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    archived_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_clay", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_clay_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "cost_rules",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    rules = table.Column<string>(type: "jsonb", nullable: false),
                    version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_cost_rules", x => x.studio_id);
                    table.ForeignKey(
                        name: "fk_cost_rules_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "glaze",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    glaze = table.Column<string>(type: "jsonb", nullable: false),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    archived_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_glaze", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_glaze_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "house_rules",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    rules = table.Column<string>(type: "jsonb", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_house_rules", x => x.studio_id);
                    table.ForeignKey(
                        name: "fk_house_rules_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "job",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    kind = table.Column<string>(type: "text", nullable: false),
                    subject = table.Column<Guid>(type: "uuid", nullable: false),
                    run_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    done_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    attempts = table.Column<int>(type: "integer", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_job", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_job_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "member",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    name = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: false),
                    role = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    archived_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_member", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_member_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "outbox",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    kind = table.Column<string>(type: "text", nullable: false),
                    payload = table.Column<string>(type: "jsonb", nullable: false),
                    delivered_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_outbox", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_outbox_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "schedule",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    name = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: false),
                    purpose = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: true),
                    schedule = table.Column<string>(type: "jsonb", nullable: false),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_schedule", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_schedule_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "tariff",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    name = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: false),
                    terms = table.Column<string>(type: "jsonb", nullable: false),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_tariff", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_tariff_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "ledger_entry",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    kind = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    debit = table.Column<string>(type: "text", nullable: false),
                    credit = table.Column<string>(type: "text", nullable: false),
                    amount_minor = table.Column<long>(type: "bigint", nullable: false),
                    currency = table.Column<string>(type: "character(3)", fixedLength: true, maxLength: 3, nullable: false),
                    subject = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    part = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_ledger_entry", x => new { x.studio_id, x.id });
                    table.CheckConstraint("ck_ledger_entry_accounts", "debit <> credit");
                    table.CheckConstraint("ck_ledger_entry_amount", "amount_minor > 0");
                    table.ForeignKey(
                        name: "fk_ledger_entry_account_studio_id_credit",
                        columns: x => new { x.studio_id, x.credit },
                        principalTable: "account",
                        principalColumns: new[] { "studio_id", "account" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_ledger_entry_account_studio_id_debit",
                        columns: x => new { x.studio_id, x.debit },
                        principalTable: "account",
                        principalColumns: new[] { "studio_id", "account" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "access_token",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    hash = table.Column<byte[]>(type: "bytea", nullable: false),
                    label = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: false),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    expires_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    revoked_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_access_token", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_access_token_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "closing",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    month = table.Column<string>(type: "character(7)", fixedLength: true, maxLength: 7, nullable: false),
                    closed_until = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    entries = table.Column<long>(type: "bigint", nullable: false),
                    amount_minor = table.Column<decimal>(type: "numeric(38,0)", precision: 38, scale: 0, nullable: false),
                    names = table.Column<string>(type: "jsonb", nullable: false),
                    closed_by = table.Column<Guid>(type: "uuid", nullable: false),
                    closed_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_closing", x => new { x.studio_id, x.month });
                    table.CheckConstraint("ck_closing_month", "month ~ '^[0-9]{4}-[0-9]{2}$'");
                    table.ForeignKey(
                        name: "fk_closing_member_studio_id_closed_by",
                        columns: x => new { x.studio_id, x.closed_by },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "idempotency",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    key = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    request_hash = table.Column<byte[]>(type: "bytea", nullable: false),
                    status = table.Column<int>(type: "integer", nullable: false),
                    body = table.Column<string>(type: "text", nullable: false),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_idempotency", x => new { x.studio_id, x.member_id, x.key });
                    table.ForeignKey(
                        name: "fk_idempotency_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "payment",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    kind = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    amount_minor = table.Column<long>(type: "bigint", nullable: false),
                    reason = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: true),
                    made_by = table.Column<Guid>(type: "uuid", nullable: false),
                    at = table.Column<Instant>(type: "timestamp with time zone", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_payment", x => new { x.studio_id, x.id });
                    table.CheckConstraint("ck_payment_amount", "amount_minor between 1 and 1000000000000000");
                    table.ForeignKey(
                        name: "fk_payment_member_studio_id_made_by",
                        columns: x => new { x.studio_id, x.made_by },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_payment_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "piece",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    making = table.Column<string>(type: "jsonb", nullable: false),
                    quantity = table.Column<int>(type: "integer", nullable: false),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    archived_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_piece", x => new { x.studio_id, x.id });
                    table.CheckConstraint("ck_piece_quantity", "quantity between 1 and 500");
                    table.ForeignKey(
                        name: "fk_piece_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "kiln",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    making = table.Column<string>(type: "jsonb", nullable: false),
                    furniture = table.Column<string>(type: "jsonb", nullable: false),
                    out_of_service_reason = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: true),
                    tariff_id = table.Column<Guid>(type: "uuid", nullable: true),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    archived_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_kiln", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_kiln_studio_studio_id",
                        column: x => x.studio_id,
                        principalTable: "studio",
                        principalColumn: "studio_id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_kiln_tariff_studio_id_tariff_id",
                        columns: x => new { x.studio_id, x.tariff_id },
                        principalTable: "tariff",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "piece_copy",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    piece_id = table.Column<Guid>(type: "uuid", nullable: false),
                    copy = table.Column<int>(type: "integer", nullable: false),
                    stage = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    step = table.Column<int>(type: "integer", nullable: false),
                    bisqued_at = table.Column<string>(type: "character varying(4)", maxLength: 4, nullable: true),
                    dryness = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: true),
                    dry_since = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    layers_fired_at = table.Column<string>(type: "jsonb", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_piece_copy", x => new { x.studio_id, x.piece_id, x.copy });
                    table.ForeignKey(
                        name: "fk_piece_copy_piece_studio_id_piece_id",
                        columns: x => new { x.studio_id, x.piece_id },
                        principalTable: "piece",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "firing",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    kiln_id = table.Column<Guid>(type: "uuid", nullable: false),
                    aim = table.Column<string>(type: "jsonb", nullable: false),
                    state = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    outcome = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: true),
                    starts_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    schedule_id = table.Column<Guid>(type: "uuid", nullable: true),
                    hours_basis = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    firing_hours = table.Column<decimal>(type: "numeric(8,3)", precision: 8, scale: 3, nullable: false),
                    cooling_hours = table.Column<decimal>(type: "numeric(8,3)", precision: 8, scale: 3, nullable: false),
                    ends_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    lit_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    unloaded_at = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    held_up_by_id = table.Column<Guid>(type: "uuid", nullable: true),
                    held_up_until = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_firing", x => new { x.studio_id, x.id });
                    table.CheckConstraint("ck_firing_time", "ends_at > starts_at and (held_up_by_id is null) = (held_up_until is null)");
                    table.ForeignKey(
                        name: "fk_firing_firing_studio_id_held_up_by_id",
                        columns: x => new { x.studio_id, x.held_up_by_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_firing_kiln_studio_id_kiln_id",
                        columns: x => new { x.studio_id, x.kiln_id },
                        principalTable: "kiln",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_firing_schedule_studio_id_schedule_id",
                        columns: x => new { x.studio_id, x.schedule_id },
                        principalTable: "schedule",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "kiln_upkeep",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    kiln_id = table.Column<Guid>(type: "uuid", nullable: false),
                    kind = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    ohms = table.Column<decimal>(type: "numeric(9,4)", precision: 9, scale: 4, nullable: true),
                    note = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: true),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_kiln_upkeep", x => new { x.studio_id, x.id });
                    table.CheckConstraint("ck_kiln_upkeep", "(kind = 'Resistance') = (ohms is not null) and (ohms is null or ohms > 0)");
                    table.ForeignKey(
                        name: "fk_kiln_upkeep_kiln_studio_id_kiln_id",
                        columns: x => new { x.studio_id, x.kiln_id },
                        principalTable: "kiln",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_kiln_upkeep_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "custody",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    piece_id = table.Column<Guid>(type: "uuid", nullable: false),
                    copy = table.Column<int>(type: "integer", nullable: false),
                    kind = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    rack = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_custody", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_custody_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_custody_piece_copy_studio_id_piece_id_copy",
                        columns: x => new { x.studio_id, x.piece_id, x.copy },
                        principalTable: "piece_copy",
                        principalColumns: new[] { "studio_id", "piece_id", "copy" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "booking",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    state = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    waits_for = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: true),
                    accepts = table.Column<string[]>(type: "text[]", nullable: false),
                    technician_reason = table.Column<string>(type: "text", nullable: true),
                    reserved_until = table.Column<Instant>(type: "timestamp with time zone", nullable: true),
                    reserve_id = table.Column<Guid>(type: "uuid", nullable: true),
                    stayed_behind = table.Column<bool>(type: "boolean", nullable: false),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_booking", x => new { x.studio_id, x.id });
                    table.CheckConstraint("ck_booking_reserve", "reserved_until is null or (state <> 'Waiting' and reserve_id is null)");
                    table.CheckConstraint("ck_booking_waits", "(state = 'Waiting') = (waits_for is not null)");
                    table.ForeignKey(
                        name: "fk_booking_booking_studio_id_reserve_id",
                        columns: x => new { x.studio_id, x.reserve_id },
                        principalTable: "booking",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_booking_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_booking_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "firing_load",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    load_version = table.Column<long>(type: "bigint", nullable: false),
                    accepting = table.Column<bool>(type: "boolean", nullable: false),
                    booked_mass_g = table.Column<decimal>(type: "numeric", nullable: false),
                    mass_limit_g = table.Column<decimal>(type: "numeric", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_firing_load", x => new { x.studio_id, x.firing_id });
                    table.CheckConstraint("ck_firing_load_mass", "booked_mass_g >= 0 and (mass_limit_g is null or booked_mass_g <= mass_limit_g)");
                    table.ForeignKey(
                        name: "fk_firing_load_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "firing_surcharges",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    uses = table.Column<string>(type: "jsonb", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_firing_surcharges", x => new { x.studio_id, x.firing_id });
                    table.ForeignKey(
                        name: "fk_firing_surcharges_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "incident",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    caused_by = table.Column<Guid>(type: "uuid", nullable: true),
                    losses = table.Column<string>(type: "jsonb", nullable: false),
                    reason = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: false),
                    written_by = table.Column<Guid>(type: "uuid", nullable: false),
                    at = table.Column<Instant>(type: "timestamp with time zone", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_incident", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_incident_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_incident_member_studio_id_caused_by",
                        columns: x => new { x.studio_id, x.caused_by },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_incident_member_studio_id_written_by",
                        columns: x => new { x.studio_id, x.written_by },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "lighting_checks",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    list = table.Column<string>(type: "jsonb", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    checked_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_lighting_checks", x => new { x.studio_id, x.firing_id });
                    table.ForeignKey(
                        name: "fk_lighting_checks_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_lighting_checks_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "load_item",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    piece_id = table.Column<Guid>(type: "uuid", nullable: false),
                    copy = table.Column<int>(type: "integer", nullable: false),
                    fate = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    frozen = table.Column<string>(type: "jsonb", nullable: false),
                    reason = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: true),
                    shelf_no = table.Column<int>(type: "integer", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_load_item", x => new { x.studio_id, x.firing_id, x.piece_id, x.copy });
                    table.CheckConstraint("ck_load_item_reason", "(fate = 'LeftBehind') = (reason is not null)");
                    table.ForeignKey(
                        name: "fk_load_item_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_load_item_piece_copy_studio_id_piece_id_copy",
                        columns: x => new { x.studio_id, x.piece_id, x.copy },
                        principalTable: "piece_copy",
                        principalColumns: new[] { "studio_id", "piece_id", "copy" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "log_chunk",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    number = table.Column<int>(type: "integer", nullable: false),
                    count = table.Column<int>(type: "integer", nullable: false),
                    encoded = table.Column<byte[]>(type: "bytea", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_log_chunk", x => new { x.studio_id, x.firing_id, x.number });
                    table.CheckConstraint("ck_log_chunk_count", "count >= 1 and number >= 0");
                    table.ForeignKey(
                        name: "fk_log_chunk_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "meter_reading",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    read_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    register_kwh = table.Column<decimal>(type: "numeric(14,3)", precision: 14, scale: 3, nullable: false),
                    meter = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: false),
                    is_shared = table.Column<bool>(type: "boolean", nullable: false),
                    kwh_per_unit = table.Column<decimal>(type: "numeric(10,6)", precision: 10, scale: 6, nullable: true),
                    @event = table.Column<string>(name: "event", type: "character varying(24)", maxLength: 24, nullable: false),
                    rolls_over_at_kwh = table.Column<decimal>(type: "numeric(14,3)", precision: 14, scale: 3, nullable: true),
                    new_register_kwh = table.Column<decimal>(type: "numeric(14,3)", precision: 14, scale: 3, nullable: true),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_meter_reading", x => new { x.studio_id, x.id });
                    table.CheckConstraint("ck_meter_reading", "register_kwh >= 0 and (kwh_per_unit is null or kwh_per_unit > 0) and (event = 'Rollover') = (rolls_over_at_kwh is not null) and (event = 'Exchange') = (new_register_kwh is not null)");
                    table.ForeignKey(
                        name: "fk_meter_reading_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_meter_reading_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "outcome",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    piece_id = table.Column<Guid>(type: "uuid", nullable: false),
                    copy = table.Column<int>(type: "integer", nullable: false),
                    grade = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    defects = table.Column<string>(type: "jsonb", nullable: false),
                    note = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: true),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    created_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_outcome", x => new { x.studio_id, x.id });
                    table.ForeignKey(
                        name: "fk_outcome_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_outcome_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_outcome_piece_copy_studio_id_piece_id_copy",
                        columns: x => new { x.studio_id, x.piece_id, x.copy },
                        principalTable: "piece_copy",
                        principalColumns: new[] { "studio_id", "piece_id", "copy" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "plan_post",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    post_no = table.Column<int>(type: "integer", nullable: false),
                    x = table.Column<long>(type: "bigint", nullable: false),
                    y = table.Column<long>(type: "bigint", nullable: false),
                    from_um = table.Column<long>(type: "bigint", nullable: false),
                    to_um = table.Column<long>(type: "bigint", nullable: false),
                    heights = table.Column<long[]>(type: "bigint[]", nullable: false),
                    stands_on = table.Column<int>(type: "integer", nullable: true),
                    carries = table.Column<int[]>(type: "integer[]", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_plan_post", x => new { x.studio_id, x.firing_id, x.post_no });
                    table.ForeignKey(
                        name: "fk_plan_post_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "plan_shelf",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    shelf_no = table.Column<int>(type: "integer", nullable: false),
                    shelf_id = table.Column<string>(type: "text", nullable: false),
                    x = table.Column<long>(type: "bigint", nullable: false),
                    y = table.Column<long>(type: "bigint", nullable: false),
                    rotation_thousandths = table.Column<int>(type: "integer", nullable: false),
                    top = table.Column<long>(type: "bigint", nullable: false),
                    clear_above = table.Column<long>(type: "bigint", nullable: false),
                    area_use = table.Column<decimal>(type: "numeric(6,3)", precision: 6, scale: 3, nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_plan_shelf", x => new { x.studio_id, x.firing_id, x.shelf_no });
                    table.ForeignKey(
                        name: "fk_plan_shelf_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "settlement",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    revision = table.Column<int>(type: "integer", nullable: false),
                    energy_kwh = table.Column<decimal>(type: "numeric(14,3)", precision: 14, scale: 3, nullable: false),
                    split = table.Column<string>(type: "jsonb", nullable: false),
                    currency = table.Column<string>(type: "character(3)", fixedLength: true, maxLength: 3, nullable: false),
                    basis = table.Column<string>(type: "jsonb", nullable: false),
                    reason = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: true),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    settled_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_settlement", x => new { x.studio_id, x.firing_id, x.revision });
                    table.CheckConstraint("ck_settlement_revision", "revision >= 1");
                    table.ForeignKey(
                        name: "fk_settlement_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_settlement_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "unmetered_energy",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    energy = table.Column<string>(type: "jsonb", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    written_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_unmetered_energy", x => new { x.studio_id, x.firing_id });
                    table.ForeignKey(
                        name: "fk_unmetered_energy_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_unmetered_energy_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "witness_cone",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    level = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: false),
                    cone = table.Column<string>(type: "character varying(4)", maxLength: 4, nullable: false),
                    bend_degrees = table.Column<double>(type: "double precision", nullable: false),
                    end_rate_c_per_hour = table.Column<double>(type: "double precision", nullable: false),
                    written_at = table.Column<Instant>(type: "timestamp with time zone", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_witness_cone", x => new { x.studio_id, x.id });
                    table.CheckConstraint("ck_witness_cone_bend", "bend_degrees between 0 and 180 and end_rate_c_per_hour > 0");
                    table.ForeignKey(
                        name: "fk_witness_cone_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_witness_cone_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "booked_copy",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    piece_id = table.Column<Guid>(type: "uuid", nullable: false),
                    copy = table.Column<int>(type: "integer", nullable: false),
                    booking_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    step = table.Column<int>(type: "integer", nullable: false),
                    frozen = table.Column<string>(type: "jsonb", nullable: false),
                    is_room = table.Column<bool>(type: "boolean", nullable: false),
                    state = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    shelf_no = table.Column<int>(type: "integer", nullable: true),
                    x = table.Column<long>(type: "bigint", nullable: true),
                    y = table.Column<long>(type: "bigint", nullable: true),
                    rotation_thousandths = table.Column<int>(type: "integer", nullable: true),
                    stack_level = table.Column<int>(type: "integer", nullable: true),
                    open_above = table.Column<bool>(type: "boolean", nullable: true),
                    core_x = table.Column<long>(type: "bigint", nullable: true),
                    core_y = table.Column<long>(type: "bigint", nullable: true),
                    core_radius = table.Column<long>(type: "bigint", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_booked_copy", x => new { x.studio_id, x.booking_id, x.piece_id, x.copy });
                    table.CheckConstraint("ck_booked_copy_place", "(state = 'Confirmed') = (shelf_no is not null)");
                    table.CheckConstraint("ck_booked_copy_room", "is_room = (coalesce(frozen -> 'ware', 'null') = 'null')");
                    table.ForeignKey(
                        name: "fk_booked_copy_booking_studio_id_booking_id",
                        columns: x => new { x.studio_id, x.booking_id },
                        principalTable: "booking",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "booking_fee",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    booking_id = table.Column<Guid>(type: "uuid", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    kind = table.Column<string>(type: "character varying(24)", maxLength: 24, nullable: false),
                    amount_minor = table.Column<long>(type: "bigint", nullable: false),
                    quoted_minor = table.Column<long>(type: "bigint", nullable: true),
                    at = table.Column<Instant>(type: "timestamp with time zone", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_booking_fee", x => new { x.studio_id, x.booking_id });
                    table.CheckConstraint("ck_booking_fee_amount", "amount_minor between 1 and 1000000000000000");
                    table.ForeignKey(
                        name: "fk_booking_fee_booking_studio_id_booking_id",
                        columns: x => new { x.studio_id, x.booking_id },
                        principalTable: "booking",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_booking_fee_firing_studio_id_firing_id",
                        columns: x => new { x.studio_id, x.firing_id },
                        principalTable: "firing",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "fk_booking_fee_member_studio_id_member_id",
                        columns: x => new { x.studio_id, x.member_id },
                        principalTable: "member",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "booking_quote",
                columns: table => new
                {
                    studio_id = table.Column<Guid>(type: "uuid", nullable: false),
                    booking_id = table.Column<Guid>(type: "uuid", nullable: false),
                    load_version = table.Column<long>(type: "bigint", nullable: false),
                    firing_id = table.Column<Guid>(type: "uuid", nullable: false),
                    member_id = table.Column<Guid>(type: "uuid", nullable: false),
                    quoted = table.Column<string>(type: "jsonb", nullable: false),
                    at = table.Column<Instant>(type: "timestamp with time zone", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("pk_booking_quote", x => new { x.studio_id, x.booking_id, x.load_version });
                    table.ForeignKey(
                        name: "fk_booking_quote_booking_studio_id_booking_id",
                        columns: x => new { x.studio_id, x.booking_id },
                        principalTable: "booking",
                        principalColumns: new[] { "studio_id", "id" },
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateIndex(
                name: "ix_access_token_studio_id_hash",
                table: "access_token",
                columns: new[] { "studio_id", "hash" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "ix_access_token_studio_id_member_id",
                table: "access_token",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_booked_copy_studio_id_firing_id",
                table: "booked_copy",
                columns: new[] { "studio_id", "firing_id" });

            migrationBuilder.CreateIndex(
                name: "ix_booked_copy_studio_id_piece_id_copy",
                table: "booked_copy",
                columns: new[] { "studio_id", "piece_id", "copy" });

            migrationBuilder.CreateIndex(
                name: "ux_booked_copy_live",
                table: "booked_copy",
                columns: new[] { "studio_id", "piece_id", "copy", "step" },
                unique: true,
                filter: "state <> 'Withdrawn'");

            migrationBuilder.CreateIndex(
                name: "ix_booking_studio_id_firing_id",
                table: "booking",
                columns: new[] { "studio_id", "firing_id" });

            migrationBuilder.CreateIndex(
                name: "ix_booking_studio_id_member_id",
                table: "booking",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_booking_studio_id_reserve_id",
                table: "booking",
                columns: new[] { "studio_id", "reserve_id" });

            migrationBuilder.CreateIndex(
                name: "ix_booking_fee_studio_id_firing_id",
                table: "booking_fee",
                columns: new[] { "studio_id", "firing_id" });

            migrationBuilder.CreateIndex(
                name: "ix_booking_fee_studio_id_member_id",
                table: "booking_fee",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_booking_quote_studio_id_firing_id",
                table: "booking_quote",
                columns: new[] { "studio_id", "firing_id" });

            migrationBuilder.CreateIndex(
                name: "ix_closing_studio_id_closed_by",
                table: "closing",
                columns: new[] { "studio_id", "closed_by" });

            migrationBuilder.CreateIndex(
                name: "ix_closing_studio_id_closed_until",
                table: "closing",
                columns: new[] { "studio_id", "closed_until" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "ix_custody_studio_id_member_id",
                table: "custody",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_custody_studio_id_piece_id_copy",
                table: "custody",
                columns: new[] { "studio_id", "piece_id", "copy" });

            migrationBuilder.CreateIndex(
                name: "ix_firing_studio_id_held_up_by_id",
                table: "firing",
                columns: new[] { "studio_id", "held_up_by_id" });

            migrationBuilder.CreateIndex(
                name: "ix_firing_studio_id_kiln_id_starts_at",
                table: "firing",
                columns: new[] { "studio_id", "kiln_id", "starts_at" });

            migrationBuilder.CreateIndex(
                name: "ix_firing_studio_id_schedule_id",
                table: "firing",
                columns: new[] { "studio_id", "schedule_id" });

            migrationBuilder.CreateIndex(
                name: "ix_incident_studio_id_caused_by",
                table: "incident",
                columns: new[] { "studio_id", "caused_by" });

            migrationBuilder.CreateIndex(
                name: "ix_incident_studio_id_firing_id",
                table: "incident",
                columns: new[] { "studio_id", "firing_id" });

            migrationBuilder.CreateIndex(
                name: "ix_incident_studio_id_written_by",
                table: "incident",
                columns: new[] { "studio_id", "written_by" });

            migrationBuilder.CreateIndex(
                name: "ix_job_studio_id_run_at",
                table: "job",
                columns: new[] { "studio_id", "run_at" },
                filter: "done_at is null");

            migrationBuilder.CreateIndex(
                name: "ix_kiln_studio_id_tariff_id",
                table: "kiln",
                columns: new[] { "studio_id", "tariff_id" });

            migrationBuilder.CreateIndex(
                name: "ix_kiln_upkeep_studio_id_kiln_id",
                table: "kiln_upkeep",
                columns: new[] { "studio_id", "kiln_id" });

            migrationBuilder.CreateIndex(
                name: "ix_kiln_upkeep_studio_id_member_id",
                table: "kiln_upkeep",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_ledger_entry_studio_id_credit_at",
                table: "ledger_entry",
                columns: new[] { "studio_id", "credit", "at" })
                .Annotation("Npgsql:IndexInclude", new[] { "amount_minor" });

            migrationBuilder.CreateIndex(
                name: "ix_ledger_entry_studio_id_debit_at",
                table: "ledger_entry",
                columns: new[] { "studio_id", "debit", "at" })
                .Annotation("Npgsql:IndexInclude", new[] { "amount_minor" });

            migrationBuilder.CreateIndex(
                name: "ix_ledger_entry_studio_id_subject",
                table: "ledger_entry",
                columns: new[] { "studio_id", "subject" });

            migrationBuilder.CreateIndex(
                name: "ix_lighting_checks_studio_id_member_id",
                table: "lighting_checks",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_load_item_studio_id_piece_id_copy",
                table: "load_item",
                columns: new[] { "studio_id", "piece_id", "copy" });

            migrationBuilder.CreateIndex(
                name: "ix_meter_reading_studio_id_member_id",
                table: "meter_reading",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_meter_reading_studio_id_meter",
                table: "meter_reading",
                columns: new[] { "studio_id", "meter" });

            migrationBuilder.CreateIndex(
                name: "ux_meter_reading_at",
                table: "meter_reading",
                columns: new[] { "studio_id", "firing_id", "meter", "read_at" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "ix_outcome_studio_id_firing_id_piece_id_copy",
                table: "outcome",
                columns: new[] { "studio_id", "firing_id", "piece_id", "copy" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "ix_outcome_studio_id_member_id",
                table: "outcome",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_outcome_studio_id_piece_id_copy",
                table: "outcome",
                columns: new[] { "studio_id", "piece_id", "copy" });

            migrationBuilder.CreateIndex(
                name: "ix_payment_studio_id_made_by",
                table: "payment",
                columns: new[] { "studio_id", "made_by" });

            migrationBuilder.CreateIndex(
                name: "ix_payment_studio_id_member_id",
                table: "payment",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_piece_studio_id_member_id",
                table: "piece",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_settlement_studio_id_member_id",
                table: "settlement",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_unmetered_energy_studio_id_member_id",
                table: "unmetered_energy",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_witness_cone_studio_id_firing_id",
                table: "witness_cone",
                columns: new[] { "studio_id", "firing_id" });

            migrationBuilder.CreateIndex(
                name: "ix_witness_cone_studio_id_member_id",
                table: "witness_cone",
                columns: new[] { "studio_id", "member_id" });
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "access_token");

            migrationBuilder.DropTable(
                name: "audit");

            migrationBuilder.DropTable(
                name: "booked_copy");

            migrationBuilder.DropTable(
                name: "booking_fee");

            migrationBuilder.DropTable(
                name: "booking_quote");

            migrationBuilder.DropTable(
                name: "clay");

            migrationBuilder.DropTable(
                name: "closing");

            migrationBuilder.DropTable(
                name: "cost_rules");

            migrationBuilder.DropTable(
                name: "custody");

            migrationBuilder.DropTable(
                name: "firing_load");

            migrationBuilder.DropTable(
                name: "firing_surcharges");

            migrationBuilder.DropTable(
                name: "glaze");

            migrationBuilder.DropTable(
                name: "house_rules");

            migrationBuilder.DropTable(
                name: "idempotency");

            migrationBuilder.DropTable(
                name: "incident");

            migrationBuilder.DropTable(
                name: "job");

            migrationBuilder.DropTable(
                name: "kiln_upkeep");

            migrationBuilder.DropTable(
                name: "ledger_entry");

            migrationBuilder.DropTable(
                name: "lighting_checks");

            migrationBuilder.DropTable(
                name: "load_item");

            migrationBuilder.DropTable(
                name: "log_chunk");

            migrationBuilder.DropTable(
                name: "meter_reading");

            migrationBuilder.DropTable(
                name: "outbox");

            migrationBuilder.DropTable(
                name: "outcome");

            migrationBuilder.DropTable(
                name: "payment");

            migrationBuilder.DropTable(
                name: "plan_post");

            migrationBuilder.DropTable(
                name: "plan_shelf");

            migrationBuilder.DropTable(
                name: "settlement");

            migrationBuilder.DropTable(
                name: "unmetered_energy");

            migrationBuilder.DropTable(
                name: "witness_cone");

            migrationBuilder.DropTable(
                name: "booking");

            migrationBuilder.DropTable(
                name: "account");

            migrationBuilder.DropTable(
                name: "piece_copy");

            migrationBuilder.DropTable(
                name: "firing");

            migrationBuilder.DropTable(
                name: "piece");

            migrationBuilder.DropTable(
                name: "kiln");

            migrationBuilder.DropTable(
                name: "schedule");

            migrationBuilder.DropTable(
                name: "member");

            migrationBuilder.DropTable(
                name: "tariff");

            migrationBuilder.DropTable(
                name: "studio");
        }
    }
}
