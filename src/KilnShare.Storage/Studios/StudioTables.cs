using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Studios;

internal static class StudioTables
{
    public static void Map(ModelBuilder model)
    {
        model.Entity<Studio>(t =>
        {
            t.ToTable("studio", c =>
            {
                c.HasCheckConstraint("ck_studio_per_kwh", $"per_kwh between 0 and {StudioLimits.MaxPerKwh}");
                c.HasCheckConstraint("ck_studio_closed", "(closed_at is null) = (closed_reason is null)");
            });
            t.Property(s => s.ClosedReason).HasMaxLength(StudioLimits.MaxNote);
            t.HasKey(s => s.StudioId);
            t.Property(s => s.Name).HasMaxLength(StudioLimits.MaxName);
            t.Property(s => s.TimeZone).HasMaxLength(StudioLimits.MaxTimeZone);
            t.Property(s => s.Currency).HasMaxLength(3).IsFixedLength();
            t.Property(s => s.PerKwh).HasPrecision(16, 6);
            t.Property(s => s.AmountsShownTo).HasDefaultValue(AmountsShownTo.Technicians);
            t.Property(s => s.Version).IsConcurrencyToken();
        });
        model.Entity<Member>(t =>
        {
            t.ToTable("member");
            t.HasKey(m => new { m.StudioId, m.Id });
            t.Property(m => m.Name).HasMaxLength(StudioLimits.MaxName);
            t.Property(m => m.Version).IsConcurrencyToken();
            t.HasOne<Studio>().WithMany().HasForeignKey(m => m.StudioId).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<AccessToken>(t =>
        {
            t.ToTable("access_token");
            t.HasKey(a => new { a.StudioId, a.Id });
            t.HasIndex(a => new { a.StudioId, a.Hash }).IsUnique();
            t.Property(a => a.Label).HasMaxLength(StudioLimits.MaxName);
            t.HasOne<Member>().WithMany().HasForeignKey(a => new { a.StudioId, a.MemberId }).OnDelete(DeleteBehavior.Restrict);
        });
    }
}
