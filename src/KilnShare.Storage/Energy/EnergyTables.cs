using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Energy;

internal static class EnergyTables
{
    public static void Map(ModelBuilder model)
    {
        MapMeters(model);
        MapUpkeep(model);
        model.Entity<UnmeteredEnergy>(t =>
        {
            t.ToTable("unmetered_energy");
            t.HasKey(x => new { x.StudioId, x.FiringId });
            t.Property(x => x.Energy).AsJson();
            t.HasOne<Firing>().WithMany().HasForeignKey(x => new { x.StudioId, x.FiringId }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(x => new { x.StudioId, x.MemberId }).OnDelete(DeleteBehavior.Restrict);
        });
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
        t.ToTable("meter_reading", c =>
        {
            c.HasCheckConstraint("ck_meter_reading_struck", "(struck_at is null) = (struck_by is null) and (struck_at is null) = (struck_because is null)");
            c.HasCheckConstraint(
                "ck_meter_reading",
                "register_kwh >= 0 and (kwh_per_unit is null or kwh_per_unit > 0) and (event = 'Rollover') = (rolls_over_at_kwh is not null) and (event = "
                    + "'Exchange') = (new_register_kwh is not null)");
        });
        t.HasKey(r => new { r.StudioId, r.Id });
        t.Property(r => r.RegisterKwh).HasPrecision(14, 3);
        t.Property(r => r.RollsOverAtKwh).HasPrecision(14, 3);
        t.Property(r => r.NewRegisterKwh).HasPrecision(14, 3);
        t.Property(r => r.Meter).HasMaxLength(MeterEntry.MaxMeter);
        t.Property(r => r.KwhPerUnit).HasPrecision(10, 6);
        t.Property(r => r.StruckBecause).HasMaxLength(StudioLimits.MaxNote);
        t.HasIndex(r => new { r.StudioId, r.FiringId, r.Meter, r.ReadAt }).IsUnique().HasFilter("struck_at is null").HasDatabaseName("ux_meter_reading_at");
        t.HasIndex(r => new { r.StudioId, r.Meter });
        t.HasOne<Firing>().WithMany().HasForeignKey(r => new { r.StudioId, r.FiringId }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<Member>().WithMany().HasForeignKey(r => new { r.StudioId, r.MemberId }).OnDelete(DeleteBehavior.Restrict);
    });

    private static void MapUpkeep(ModelBuilder model) => model.Entity<UpkeepEntry>(t =>
    {
        t.ToTable("kiln_upkeep", c => c.HasCheckConstraint("ck_kiln_upkeep", "(kind = 'Resistance') = (ohms is not null) and (ohms is null or ohms > 0)"));
        t.HasKey(e => new { e.StudioId, e.Id });
        t.Property(e => e.Ohms).HasPrecision(9, 4);
        t.Property(e => e.Note).HasMaxLength(StudioLimits.MaxNote);
        t.HasIndex(e => new { e.StudioId, e.KilnId });
        t.HasOne<Kiln>().WithMany().HasForeignKey(e => new { e.StudioId, e.KilnId }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<Member>().WithMany().HasForeignKey(e => new { e.StudioId, e.MemberId }).OnDelete(DeleteBehavior.Restrict);
    });
}
