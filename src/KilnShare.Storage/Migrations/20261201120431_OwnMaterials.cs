using System;
using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace KilnShare.Storage.Migrations
{
    /// <inheritdoc />
    public partial class OwnMaterials : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<Guid>(
                name: "member_id",
                table: "glaze",
                type: "uuid",
                nullable: true);

            migrationBuilder.AddColumn<Guid>(
                name: "member_id",
                table: "clay",
                type: "uuid",
                nullable: true);

            migrationBuilder.CreateIndex(
                name: "ix_glaze_studio_id_member_id",
                table: "glaze",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.CreateIndex(
                name: "ix_clay_studio_id_member_id",
                table: "clay",
                columns: new[] { "studio_id", "member_id" });

            migrationBuilder.AddForeignKey(
                name: "fk_clay_member_studio_id_member_id",
                table: "clay",
                columns: new[] { "studio_id", "member_id" },
                principalTable: "member",
                principalColumns: new[] { "studio_id", "id" },
                onDelete: ReferentialAction.Restrict);

            migrationBuilder.AddForeignKey(
                name: "fk_glaze_member_studio_id_member_id",
                table: "glaze",
                columns: new[] { "studio_id", "member_id" },
                principalTable: "member",
                principalColumns: new[] { "studio_id", "id" },
                onDelete: ReferentialAction.Restrict);
        }
    }
}
