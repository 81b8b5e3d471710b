using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using Microsoft.EntityFrameworkCore;
using KilnShare.Storage.Common;

namespace KilnShare.Storage.Firings;

internal static class FiringTables
{
    public static void Map(ModelBuilder model) => model.Entity<Firing>(t =>
    {
        t.ToTable("firing", c => c.HasCheckConstraint("ck_firing_time", "ends_at > starts_at"));
        t.HasKey(f => new { f.StudioId, f.Id });
        t.Property(f => f.Aim).AsJson();
        t.Property(f => f.FiringHours).HasPrecision(8, 3);
        t.Property(f => f.CoolingHours).HasPrecision(8, 3);
        t.Property(f => f.Version).IsConcurrencyToken();
        t.HasIndex(f => new { f.StudioId, f.KilnId, f.StartsAt });
        t.HasOne<Kiln>().WithMany().HasForeignKey(f => new { f.StudioId, f.KilnId }).OnDelete(DeleteBehavior.Restrict);
    });
}
