using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Energy;

internal static class EnergyTables
{
    public static void Map(ModelBuilder model)
    {
        MapMeters(model);
        model.Entity<StudioTariff>(t =>
        {
            t.ToTable("tariff");
            t.HasKey(x => new { x.StudioId, x.Id });
            t.Property(x => x.Name).HasMaxLength(StudioLimits.MaxName);
            t.Property(x => x.Terms).AsJson();
            t.Property(x => x.Version).IsConcurrencyToken();
            t.HasOne<Studio>().WithMany().HasForeignKey(x => x.StudioId).OnDelete(DeleteBehavior.Restrict);
        });
    }

    private static void MapMeters(ModelBuilder model) => model.Entity<MeterEntry>(t =>
    {
        t.ToTable("meter_reading", c => c.HasCheckConstraint("ck_meter_reading", "register_kwh >= 0 and (event = 'Rollover') = (rolls_over_at_kwh is not null) and (event = 'Exchange') = (new_register_kwh is not null)"));
        t.HasKey(r => new { r.StudioId, r.Id });
        t.Property(r => r.RegisterKwh).HasPrecision(14, 3);
        t.Property(r => r.RollsOverAtKwh).HasPrecision(14, 3);
        t.Property(r => r.NewRegisterKwh).HasPrecision(14, 3);
        t.HasIndex(r => new { r.StudioId, r.FiringId, r.ReadAt }).IsUnique();
        t.HasOne<Firing>().WithMany().HasForeignKey(r => new { r.StudioId, r.FiringId }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<Member>().WithMany().HasForeignKey(r => new { r.StudioId, r.MemberId }).OnDelete(DeleteBehavior.Restrict);
    });
}
