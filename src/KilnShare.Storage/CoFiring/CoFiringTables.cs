using KilnShare.Core.CoFiring;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.CoFiring;

internal static class CoFiringTables
{
    public static void Map(ModelBuilder model) => model.Entity<StudioHouseRules>(t =>
    {
        t.ToTable("house_rules");
        t.HasKey(r => r.StudioId);
        t.Property(r => r.Rules).AsJson();
        t.HasOne<Studio>().WithOne().HasForeignKey<StudioHouseRules>(r => r.StudioId).OnDelete(DeleteBehavior.Restrict);
    });
}
