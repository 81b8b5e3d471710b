using System.Globalization;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Firings;

internal static class FiringTables
{
    public static void Map(ModelBuilder model)
    {
        MapFiring(model);
        MapCorrections(model);
        model.Entity<StudioSchedule>(t =>
        {
            t.ToTable("schedule");
            t.HasKey(s => new { s.StudioId, s.Id });
            t.Property(s => s.Name).HasMaxLength(StudioLimits.MaxName);
            t.Property(s => s.Purpose).HasMaxLength(StudioLimits.MaxNote);
            t.Property(s => s.Schedule).AsJson();
            t.Property(s => s.Version).IsConcurrencyToken();
            t.HasOne<Studio>().WithMany().HasForeignKey(s => s.StudioId).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<LogChunk>(t =>
        {
            t.ToTable("log_chunk", c => c.HasCheckConstraint("ck_log_chunk_count", "count >= 1 and number >= 0"));
            t.HasKey(c => new { c.StudioId, c.FiringId, c.Number });
            t.Ignore(c => c.Readings);
            t.HasOne<Firing>().WithMany().HasForeignKey(c => new { c.StudioId, c.FiringId }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<WitnessEntry>(t =>
        {
            t.ToTable("witness_cone", c => c.HasCheckConstraint(
                "ck_witness_cone_bend", string.Create(
                    CultureInfo.InvariantCulture, $"bend_degrees between 0 and {WitnessCone.MostDegrees} and end_rate_c_per_hour > 0")));
            t.HasKey(w => new { w.StudioId, w.Id });
            t.Property(w => w.Level).HasMaxLength(WitnessEntry.MaxLevel);
            t.HasIndex(w => new { w.StudioId, w.FiringId });
            t.HasOne<Firing>().WithMany().HasForeignKey(w => new { w.StudioId, w.FiringId }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(w => new { w.StudioId, w.MemberId }).OnDelete(DeleteBehavior.Restrict);
        });
    }

    private static void MapCorrections(ModelBuilder model) => model.Entity<FiringCorrection>(t =>
    {
        t.ToTable("firing_correction");
        t.HasKey(c => new { c.StudioId, c.Id });
        t.Property(c => c.Reason).HasMaxLength(StudioLimits.MaxNote);
        t.Property(c => c.Copies).AsJson();
        t.HasIndex(c => new { c.StudioId, c.FiringId });
        t.HasOne<Firing>().WithMany().HasForeignKey(c => new { c.StudioId, c.FiringId }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<Member>().WithMany().HasForeignKey(c => new { c.StudioId, c.MemberId }).OnDelete(DeleteBehavior.Restrict);
    });

    private static void MapFiring(ModelBuilder model) => model.Entity<Firing>(t =>
    {
        t.ToTable("firing", c =>
        {
            c.HasCheckConstraint("ck_firing_time", "ends_at > starts_at and (held_up_by_id is null) = (held_up_until is null)");
            c.HasCheckConstraint("ck_firing_reached", "(reached_by is null) = (reached_cone is null and reached_c is null)");
        });
        t.Property(f => f.LitAnsweredBy).HasMaxLength(StudioLimits.MaxName);
        t.HasKey(f => new { f.StudioId, f.Id });
        t.Property(f => f.Aim).AsJson();
        t.Property(f => f.FiringHours).HasPrecision(8, 3);
        t.Property(f => f.CoolingHours).HasPrecision(8, 3);
        t.Property(f => f.Version).IsConcurrencyToken();
        t.HasIndex(f => new { f.StudioId, f.KilnId, f.StartsAt });
        t.HasIndex(f => new { f.StudioId, f.StartsAt, f.Id });
        t.HasOne<Kiln>().WithMany().HasForeignKey(f => new { f.StudioId, f.KilnId }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<StudioSchedule>().WithMany().HasForeignKey(f => new { f.StudioId, f.ScheduleId }).OnDelete(DeleteBehavior.Restrict);
        t.HasOne<Firing>().WithMany().HasForeignKey(f => new { f.StudioId, f.HeldUpById }).OnDelete(DeleteBehavior.Restrict);
    });
}
