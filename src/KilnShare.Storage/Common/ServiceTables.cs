using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Common;

/// <summary>Tables of the service itself: idempotency, audit, outbox, jobs.</summary>
internal static class ServiceTables
{
    public static void Map(ModelBuilder model)
    {
        model.Entity<IdempotencyRow>(t =>
        {
            t.ToTable("idempotency");
            t.HasKey(r => new { r.StudioId, r.MemberId, r.Key });
            t.Property(r => r.Key).HasMaxLength(StudioLimits.MaxIdempotencyKey);
            t.HasOne<Member>().WithMany().HasForeignKey(r => new { r.StudioId, r.MemberId }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<AuditRow>(t =>
        {
            t.ToTable("audit");
            t.HasKey(r => new { r.StudioId, r.Id });
            t.Property(r => r.Reason).HasMaxLength(StudioLimits.MaxNote);
            t.HasOne<Studio>().WithMany().HasForeignKey(r => r.StudioId).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<OutboxRow>(t =>
        {
            t.ToTable("outbox");
            t.HasKey(r => new { r.StudioId, r.Id });
            t.Property(r => r.Payload).HasColumnType("jsonb");
            t.HasOne<Studio>().WithMany().HasForeignKey(r => r.StudioId).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<JobRow>(t =>
        {
            t.ToTable("job");
            t.HasKey(r => new { r.StudioId, r.Id });
            t.HasIndex(r => new { r.StudioId, r.RunAt }).HasFilter("done_at is null");
            t.HasOne<Studio>().WithMany().HasForeignKey(r => r.StudioId).OnDelete(DeleteBehavior.Restrict);
        });
    }
}
