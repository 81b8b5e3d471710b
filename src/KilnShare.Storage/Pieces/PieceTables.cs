using KilnShare.Core.Cones;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Pieces;

internal static class PieceTables
{
    public static void Map(ModelBuilder model)
    {
        model.Entity<Piece>(t =>
        {
            t.ToTable("piece", c => c.HasCheckConstraint("ck_piece_quantity", $"quantity between 1 and {PieceLimits.MaxQuantity}"));
            t.HasKey(p => new { p.StudioId, p.Id });
            t.Property(p => p.Making).AsJson();
            t.Property(p => p.Version).IsConcurrencyToken();
            t.HasIndex(p => new { p.StudioId, p.MemberId });
            t.HasOne<Member>().WithMany().HasForeignKey(p => new { p.StudioId, p.MemberId }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<PieceCopy>(t =>
        {
            t.ToTable("piece_copy");
            t.HasKey(c => new { c.StudioId, c.PieceId, c.Copy });
            t.HasIndex(c => new { c.StudioId, c.Stage, c.PieceId });
            t.Property(c => c.LayersFiredAt).AsJson<IReadOnlyList<Cone>>();
            t.HasOne<Piece>().WithMany().HasForeignKey(c => new { c.StudioId, c.PieceId }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<CustodyEvent>(t =>
        {
            t.ToTable("custody");
            t.HasKey(e => new { e.StudioId, e.Id });
            t.Property(e => e.Rack).HasMaxLength(StudioLimits.MaxName);
            t.Property(e => e.Note).HasMaxLength(StudioLimits.MaxNote);
            t.HasIndex(e => new { e.StudioId, e.PieceId, e.Copy });
            t.HasOne<PieceCopy>().WithMany().HasForeignKey(e => new { e.StudioId, e.PieceId, e.Copy }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(e => new { e.StudioId, e.MemberId }).OnDelete(DeleteBehavior.Restrict);
        });
    }
}
