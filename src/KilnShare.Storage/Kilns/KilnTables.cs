using KilnShare.Core.Energy;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Kilns;

internal static class KilnTables
{
    public static void Map(ModelBuilder model) => model.Entity<Kiln>(t =>
    {
        t.ToTable("kiln");
        t.HasKey(k => new { k.StudioId, k.Id });
        t.Property(k => k.Making).AsJson();
        t.Property(k => k.Furniture).AsJson();
        t.Property(k => k.OutOfServiceReason).HasMaxLength(StudioLimits.MaxNote);
        t.Property(k => k.Version).IsConcurrencyToken();
        t.HasOne<StudioTariff>().WithMany().HasForeignKey(k => new { k.StudioId, k.TariffId }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<Studio>().WithMany().HasForeignKey(k => k.StudioId).OnDelete(DeleteBehavior.Restrict);
    });
}
