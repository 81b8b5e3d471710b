using KilnShare.Core.Materials;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Materials;

internal static class MaterialTables
{
    public static void Map(ModelBuilder model)
    {
        model.Entity<StudioClay>(t =>
        {
            t.ToTable("clay");
            t.HasKey(c => new { c.StudioId, c.Id });
            t.Property(c => c.Body).AsJson();
            t.Property(c => c.Version).IsConcurrencyToken();
            t.HasIndex(c => new { c.StudioId, c.MemberId });
            t.HasOne<Studio>().WithMany().HasForeignKey(c => c.StudioId).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(c => new { c.StudioId, c.MemberId }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<StudioGlaze>(t =>
        {
            t.ToTable("glaze");
            t.HasKey(g => new { g.StudioId, g.Id });
            t.Property(g => g.Glaze).AsJson();
            t.Property(g => g.Version).IsConcurrencyToken();
            t.HasIndex(g => new { g.StudioId, g.MemberId });
            t.HasOne<Studio>().WithMany().HasForeignKey(g => g.StudioId).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(g => new { g.StudioId, g.MemberId }).OnDelete(DeleteBehavior.Restrict);
        });
    }
}
