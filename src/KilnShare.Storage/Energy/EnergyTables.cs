using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Energy;

internal static class EnergyTables
{
    public static void Map(ModelBuilder model) => model.Entity<MeterEntry>(t =>
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
