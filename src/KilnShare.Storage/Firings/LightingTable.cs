using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Firings;

internal static class LightingTable
{
    public static void Map(ModelBuilder model) => model.Entity<LightingChecks>(t =>
    {
        t.ToTable("lighting_checks");
        t.HasKey(c => new { c.StudioId, c.FiringId });
        t.Property(c => c.List).AsJson();
        t.HasOne<Firing>().WithMany().HasForeignKey(c => new { c.StudioId, c.FiringId }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<Member>().WithMany().HasForeignKey(c => new { c.StudioId, c.MemberId }).OnDelete(DeleteBehavior.Restrict);
    });
}
